package nest

import "math"

// grid divides a no-fit polygon's box into cells and names, for each, the
// parts that can be the deepest somewhere in it: of a hundred parts few are
// left. Depths are the same with and without.
type grid struct {
	minX, minY, perX, perY float64 // cells per mm
	first                  []int32 // [cell], one more at the end
	parts                  []uint16
	// border is set when depths are to be true.
	border *boundary
}

// gridSide is how many cells lie along each side, and gridFrom how many parts
// make one worth while.
const (
	gridSide = 20
	gridFrom = 4
)

func newGrid(n *noFit) *grid {
	g := &grid{
		minX: n.minX, minY: n.minY,
		perX: gridSide / (n.maxX - n.minX), perY: gridSide / (n.maxY - n.minY),
	}
	hi := make([]float64, len(n.parts))
	for cy := range gridSide {
		for cx := range gridSide {
			g.first = append(g.first, int32(len(g.parts)))
			// A little larger than the cell, for the rounding of whoever asks.
			const slack = 1e-3
			x0, x1 := n.minX+(float64(cx)-slack)/g.perX, n.minX+(float64(cx+1)+slack)/g.perX
			y0, y1 := n.minY+(float64(cy)-slack)/g.perY, n.minY+(float64(cy+1)+slack)/g.perY
			sure := 0.0
			for i := range n.parts {
				var lo float64
				lo, hi[i] = n.parts[i].depths(x0, y0, x1, y1)
				sure = math.Max(sure, lo)
			}
			for i, h := range hi {
				if h > 0 && h >= sure {
					g.parts = append(g.parts, uint16(i))
				}
			}
		}
	}
	g.first = append(g.first, int32(len(g.parts)))
	return g
}

// depths returns bounds of the depth over a rectangle: the least, which lies at
// a corner for the depth is concave, and one that no depth exceeds.
func (p *convex) depths(x0, y0, x1, y1 float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(1)
	for _, e := range p.edges {
		ax, bx, ay, by := e.nx*x0, e.nx*x1, e.ny*y0, e.ny*y1
		if ax > bx {
			ax, bx = bx, ax
		}
		if ay > by {
			ay, by = by, ay
		}
		lo, hi = min(lo, e.c-bx-by), min(hi, e.c-ax-ay)
		if hi <= 0 {
			return lo, hi
		}
	}
	return lo, hi
}

// at returns the parts to look at for a place inside the box.
func (g *grid) at(x, y float64) []uint16 {
	c := g.cell(x, y)
	return g.parts[g.first[c]:g.first[c+1]]
}

func (g *grid) cell(x, y float64) int {
	cx, cy := int((x-g.minX)*g.perX), int((y-g.minY)*g.perY)
	if cx < 0 || cy < 0 || cx >= gridSide || cy >= gridSide {
		cx, cy = min(max(cx, 0), gridSide-1), min(max(cy, 0), gridSide-1)
	}
	return cy*gridSide + cx
}
