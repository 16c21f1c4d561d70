package nest

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// boundary is the border of a no-fit polygon as a whole: with it the depth is
// the true distance to the way out, where the parts alone underrate it, the more
// the hollower the shapes are.
type boundary struct {
	segments []segment
	first    []int32 // [cell] of the grid, one more at the end
	near     []int32 // segments that can be the nearest to a place in the cell
	whole    []bool  // cells that lie inside altogether
}

// segment runs from (x, y) for length in the direction (dx, dy) of length 1.
type segment struct{ x, y, dx, dy, length float64 }

// newBoundary finds what parts of the sides of the convex parts no other part
// covers.
func newBoundary(n *noFit, g *grid) *boundary {
	b := &boundary{}
	for i := range n.parts {
		corners := n.parts[i].corners()
		for j, a := range corners {
			c := corners[(j+1)%len(corners)]
			long := math.Hypot(c.X-a.X, c.Y-a.Y)
			if long < 1e-12*(1+n.maxX-n.minX) {
				continue
			}
			b.addOpen(n, i, segment{a.X, a.Y, (c.X - a.X) / long, (c.Y - a.Y) / long, long})
		}
	}
	b.index(n, g)
	return b
}

// corners are where the sides of a convex polygon meet.
func (p *convex) corners() []mat.Point {
	out := make([]mat.Point, 0, len(p.edges))
	for i, e := range p.edges {
		f := p.edges[(i+1)%len(p.edges)]
		if det := e.nx*f.ny - e.ny*f.nx; math.Abs(det) > 1e-12 {
			out = append(out, mat.Point{X: (e.c*f.ny - f.c*e.ny) / det, Y: (e.nx*f.c - f.nx*e.c) / det})
		}
	}
	return out
}

// addOpen adds what the other parts leave of a side of part i.
func (b *boundary) addOpen(n *noFit, i int, s segment) {
	type stretch struct{ from, to float64 }
	var covered []stretch
	minX, maxX := min(s.x, s.x+s.length*s.dx), max(s.x, s.x+s.length*s.dx)
	minY, maxY := min(s.y, s.y+s.length*s.dy), max(s.y, s.y+s.length*s.dy)
	for k := range n.parts {
		p := &n.parts[k]
		if k == i || p.minX >= maxX || p.maxX <= minX || p.minY >= maxY || p.maxY <= minY {
			continue
		}
		if from, to := p.span(s.x, s.y, s.dx, s.dy); from < to && to > 0 && from < s.length {
			covered = append(covered, stretch{from, to})
		}
	}
	slices.SortFunc(covered, func(a, c stretch) int {
		if a.from < c.from {
			return -1
		}
		return 1
	})
	slack := 1e-9 * s.length
	at := 0.0
	add := func(to float64) {
		if to-at > slack {
			b.segments = append(b.segments, segment{s.x + at*s.dx, s.y + at*s.dy, s.dx, s.dy, to - at})
		}
	}
	for _, c := range covered {
		add(min(c.from, s.length))
		at = max(at, c.to)
	}
	add(s.length)
}

// index lists, for each cell of the grid, the segments that can be nearest: no
// farther from its middle than the nearest by more than its width.
func (b *boundary) index(n *noFit, g *grid) {
	w, h := 1/g.perX, 1/g.perY
	across := math.Hypot(w, h) * 1.01
	far := make([]float64, len(b.segments))
	for cy := range gridSide {
		for cx := range gridSide {
			b.first = append(b.first, int32(len(b.near)))
			x, y := g.minX+(float64(cx)+0.5)*w, g.minY+(float64(cy)+0.5)*h
			least := math.Inf(1)
			for i := range b.segments {
				far[i], _, _ = b.segments[i].to(x, y)
				least = min(least, far[i])
			}
			parts := g.at(x, y)
			sure := false
			for _, i := range parts {
				lo, _ := n.parts[i].depths(x-0.501*w, y-0.501*h, x+0.501*w, y+0.501*h)
				sure = sure || lo > 0
			}
			b.whole = append(b.whole, sure)
			if len(parts) == 0 {
				continue
			}
			for i, d := range far {
				if d <= least+across {
					b.near = append(b.near, int32(i))
				}
			}
		}
	}
	b.first = append(b.first, int32(len(b.near)))
}

// to returns the distance of a place from the segment and the way there.
func (s *segment) to(x, y float64) (d, dx, dy float64) {
	px, py := s.x-x, s.y-y
	t := -(px*s.dx + py*s.dy)
	if t < 0 {
		t = 0
	} else if t > s.length {
		t = s.length
	}
	px, py = px+t*s.dx, py+t*s.dy
	return math.Sqrt(px*px + py*py), px, py
}

// nearest returns the distance to the border from a place in a cell and the
// direction there.
func (b *boundary) nearest(cell int, x, y float64) (d, nx, ny float64) {
	d = math.Inf(1)
	for _, i := range b.near[b.first[cell]:b.first[cell+1]] {
		if v, dx, dy := b.segments[i].to(x, y); v < d {
			d, nx, ny = v, dx, dy
		}
	}
	if d > 0 {
		nx, ny = nx/d, ny/d
	}
	return d, nx, ny
}

// trueDepth is depth by the border of the whole. A place is inside when it is in
// one of the parts; its depth is then no less than in that part.
func (n *noFit) trueDepth(g *grid, x, y float64) float64 {
	cell := g.cell(x, y)
	b := g.border
	inside := 0.0
	if !b.whole[cell] {
		for _, i := range g.parts[g.first[cell]:g.first[cell+1]] {
			if inside = n.parts[i].depthOver(x, y, 0); inside > 0 {
				break
			}
		}
		if inside <= 0 {
			return 0
		}
	}
	best := math.Inf(1)
	for _, i := range b.near[b.first[cell]:b.first[cell+1]] {
		s := &b.segments[i]
		px, py := s.x-x, s.y-y
		t := -(px*s.dx + py*s.dy)
		if t < 0 {
			t = 0
		} else if t > s.length {
			t = s.length
		}
		px, py = px+t*s.dx, py+t*s.dy
		if v := px*px + py*py; v < best {
			best = v
		}
	}
	return math.Max(math.Sqrt(best), inside)
}

// trueExit returns the depth by the border of the whole and the way to it.
func (n *noFit) trueExit(g *grid, x, y float64) (depth, nx, ny float64) {
	depth = n.trueDepth(g, x, y)
	if depth <= 0 {
		return 0, 0, 0
	}
	d, nx, ny := g.border.nearest(g.cell(x, y), x, y)
	if d > 1e-3*depth {
		return depth, nx, ny
	}
	// So near to the border that the way there has no direction: the part's own.
	for _, i := range g.at(x, y) {
		p := &n.parts[i]
		least, k := math.Inf(1), -1
		for j, e := range p.edges {
			if v := e.c - e.nx*x - e.ny*y; v < least {
				least, k = v, j
			}
		}
		if least > 0 {
			return depth, p.edges[k].nx, p.edges[k].ny
		}
	}
	return depth, 1, 0
}
