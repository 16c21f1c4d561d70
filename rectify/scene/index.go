package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// edge is a straight stretch of an outline or stroke, ready for distances.
// Its end is kept, not worked out, so that edges that share a point agree on
// which side of anything it lies.
type edge struct{ ax, ay, bx, by, dx, dy, invLen2 float64 }

func newEdge(a, b mat.Point) edge {
	e := edge{ax: a.X, ay: a.Y, bx: b.X, by: b.Y, dx: b.X - a.X, dy: b.Y - a.Y}
	if l := e.dx*e.dx + e.dy*e.dy; l > 0 {
		e.invLen2 = 1 / l
	}
	return e
}

// dist2 is the squared distance of a point from the edge.
func (e *edge) dist2(x, y float64) float64 {
	px, py := x-e.ax, y-e.ay
	t := (px*e.dx + py*e.dy) * e.invLen2
	if t < 0 {
		t = 0
	} else if t > 1 {
		t = 1
	}
	px, py = px-t*e.dx, py-t*e.dy
	return px*px + py*py
}

// crosses reports whether the edge crosses the segment from (x, y) to (u, v).
func (e *edge) crosses(x, y, u, v float64) bool {
	a := e.dx*(y-e.ay) - e.dy*(x-e.ax)
	b := e.dx*(v-e.ay) - e.dy*(u-e.ax)
	if (a > 0) == (b > 0) {
		return false
	}
	sx, sy := u-x, v-y
	c := sx*(e.ay-y) - sy*(e.ax-x)
	d := sx*(e.by-y) - sy*(e.bx-x)
	return (c > 0) != (d > 0)
}

// ringEdges are the edges of closed rings.
func ringEdges(rings ...[]mat.Point) []edge {
	var out []edge
	for _, r := range rings {
		for i, p := range r {
			out = append(out, newEdge(p, r[(i+1)%len(r)]))
		}
	}
	return out
}

// lineEdges are the edges of open lines.
func lineEdges(lines ...[]mat.Point) []edge {
	var out []edge
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			out = append(out, newEdge(l[i-1], l[i]))
		}
	}
	return out
}

// entry is what one cell of the index knows of one shape.
type entry struct {
	body, child int32 // child -1 is the body itself
	inside      bool  // of the cell's centre, for solids
	edges       []edge
}

// index finds the shapes near a point: a plain grid of square cells.
type index struct {
	x0, y0, cellMM float64
	nx, ny         int
	cells          [][]entry
}

func newIndex(box bounds, cellMM float64) *index {
	// An odd origin keeps the cells' centres off outlines with round numbers:
	// a centre on an outline has no side.
	ix := &index{x0: box.minX - 0.2360679775, y0: box.minY - 0.4142135624, cellMM: cellMM}
	ix.nx = int((box.maxX-ix.x0)/cellMM) + 1
	ix.ny = int((box.maxY-ix.y0)/cellMM) + 1
	ix.cells = make([][]entry, ix.nx*ix.ny)
	return ix
}

// at returns the cell of a point and the cell's centre, nil outside.
func (ix *index) at(x, y float64) (cell []entry, cx, cy float64) {
	fx, fy := (x-ix.x0)/ix.cellMM, (y-ix.y0)/ix.cellMM
	if !(fx >= 0 && fy >= 0 && fx < float64(ix.nx) && fy < float64(ix.ny)) {
		return nil, 0, 0
	}
	i, j := int(fx), int(fy)
	cx, cy = ix.centre(i, j)
	return ix.cells[j*ix.nx+i], cx, cy
}

func (ix *index) centre(i, j int) (x, y float64) {
	return ix.x0 + (float64(i)+0.5)*ix.cellMM, ix.y0 + (float64(j)+0.5)*ix.cellMM
}

// span is the range of cells of a row or column that [lo, hi] touches.
func span(lo, hi, origin, cell float64, n int) (from, to int) {
	from = int(math.Floor((lo - origin) / cell))
	to = int(math.Floor((hi - origin) / cell))
	return max(from, 0), min(to, n-1)
}

// add files a shape. Every cell within reachMM of an edge holds that edge;
// cells inside a solid hold an entry without edges.
func (ix *index) add(body, child int32, edges []edge, solid bool, reachMM float64) {
	near := map[int][]edge{}
	for _, e := range edges {
		ix.addEdge(near, e, reachMM)
	}
	if !solid {
		for c, es := range near {
			ix.cells[c] = append(ix.cells[c], entry{body: body, child: child, edges: es})
		}
		return
	}
	inside := ix.insideCells(edges)
	for c, es := range near {
		ix.cells[c] = append(ix.cells[c], entry{body, child, inside[c], es})
		delete(inside, c)
	}
	for c := range inside {
		ix.cells[c] = append(ix.cells[c], entry{body: body, child: child, inside: true})
	}
}

func (ix *index) addEdge(near map[int][]edge, e edge, reachMM float64) {
	reach := reachMM + ix.cellMM*math.Sqrt2/2
	i0, i1 := span(min(e.ax, e.bx)-reach, max(e.ax, e.bx)+reach, ix.x0, ix.cellMM, ix.nx)
	j0, j1 := span(min(e.ay, e.by)-reach, max(e.ay, e.by)+reach, ix.y0, ix.cellMM, ix.ny)
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			if cx, cy := ix.centre(i, j); e.dist2(cx, cy) <= reach*reach {
				near[j*ix.nx+i] = append(near[j*ix.nx+i], e)
			}
		}
	}
}

// insideCells are the cells whose centre is inside by the even-odd rule.
func (ix *index) insideCells(edges []edge) map[int]bool {
	crossings := map[int][]float64{}
	for _, e := range edges {
		j0, j1 := span(min(e.ay, e.by)-ix.cellMM, max(e.ay, e.by)+ix.cellMM, ix.y0, ix.cellMM, ix.ny)
		for j := j0; j <= j1; j++ {
			if _, cy := ix.centre(0, j); (e.ay > cy) != (e.by > cy) {
				crossings[j] = append(crossings[j], e.ax+e.dx*(cy-e.ay)/e.dy)
			}
		}
	}
	inside := map[int]bool{}
	for j, xs := range crossings {
		i0, i1 := span(minOf(xs), maxOf(xs), ix.x0, ix.cellMM, ix.nx)
		for i := i0; i <= i1; i++ {
			cx, _ := ix.centre(i, j)
			if oddLeft(xs, cx) {
				inside[j*ix.nx+i] = true
			}
		}
	}
	return inside
}

func oddLeft(xs []float64, x float64) bool {
	odd := false
	for _, c := range xs {
		if c < x {
			odd = !odd
		}
	}
	return odd
}

// signed is the signed distance from a solid's outline, above 0 inside, good
// up to the reach it was filed with; cx, cy is the cell's centre.
func (e *entry) signed(x, y, cx, cy float64) float64 {
	if len(e.edges) == 0 {
		if e.inside {
			return math.Inf(1)
		}
		return math.Inf(-1)
	}
	best, inside := math.Inf(1), e.inside
	for i := range e.edges {
		best = min(best, e.edges[i].dist2(x, y))
		if e.edges[i].crosses(x, y, cx, cy) {
			inside = !inside
		}
	}
	if inside {
		return math.Sqrt(best)
	}
	return -math.Sqrt(best)
}

// covers reports whether a solid covers the whole cell.
func (e *entry) covers() bool { return e.child < 0 && e.inside && len(e.edges) == 0 }

// distance is the distance from a stroke's centre line.
func (e *entry) distance(x, y float64) float64 {
	best := math.Inf(1)
	for i := range e.edges {
		best = min(best, e.edges[i].dist2(x, y))
	}
	return math.Sqrt(best)
}
