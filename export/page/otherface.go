package page

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// OtherFaceLine is the line that an edge makes on the other face.
type OtherFaceLine struct {
	EdgeID string
	Cut    pattern.Cut
	Path   curve.Path
}

// otherTolMM bounds the flattening of other-face lines.
const otherTolMM = 0.02

// OtherFaceLines returns the other face's lines of the edges that lean:
// thickness × tan of the angle inside the cut line for a bevel, outside for
// an undercut, ended where they meet the neighbouring edges' lines on that
// face. Edges of pieces without a thickness have none.
func OtherFaceLines(p pattern.Piece) []OtherFaceLine {
	sides := sidesOf(p)
	for i := range sides {
		if len(sides) > 1 {
			join(&sides[i], &sides[(i+1)%len(sides)])
		}
	}
	var lines []OtherFaceLine
	for _, s := range sides {
		if s.inset != 0 && len(s.pts) > 1 {
			lines = append(lines, OtherFaceLine{s.edge.ID, s.edge.Cut, curve.Polyline(s.pts...)})
		}
	}
	return lines
}

// InsetMM returns how far inside the cut line the other face's edge lies;
// negative outside, 0 for a straight cut or an unknown thickness.
func InsetMM(thicknessMM float64, c pattern.Cut) float64 {
	if thicknessMM <= 0 {
		return 0
	}
	switch d := thicknessMM * math.Tan(c.AngleDeg*math.Pi/180); c.Kind {
	case pattern.Bevel:
		return d
	case pattern.Undercut:
		return -d
	}
	return 0
}

// EdgePath returns the segments of an edge, going round past the outline's
// last one, and no segment twice.
func EdgePath(p pattern.Piece, e pattern.Edge) curve.Path {
	var path curve.Path
	n := len(p.Outline.Segments)
	for i := range min(e.Count, n) {
		path.Segments = append(path.Segments, p.Outline.Segments[((e.First+i)%n+n)%n])
	}
	return path
}

// side is an edge's line on the other face while the lines are joined.
type side struct {
	edge  pattern.Edge
	inset float64
	pts   []mat.Point
}

// sidesOf returns the lines of all edges, unjoined; nothing when no edge
// leans.
func sidesOf(p pattern.Piece) []side {
	var sides []side
	leaning := false
	for _, e := range p.Edges {
		s := side{edge: e, inset: InsetMM(p.ThicknessMM, e.Cut)}
		s.pts = shifted(EdgePath(p, e).Flatten(otherTolMM), s.inset)
		leaning = leaning || s.inset != 0
		if len(s.pts) > 1 {
			sides = append(sides, s)
		}
	}
	if !leaning {
		return nil
	}
	return sides
}

// shifted moves a line to the right of its run (inwards, for an outline) by
// d mm, and drops points that fold back over themselves where the line bends
// more tightly than d.
func shifted(pts []mat.Point, d float64) []mat.Point {
	if d == 0 {
		return pts
	}
	var moved []mat.Point
	for i, p := range pts {
		a, b := pts[max(0, i-1)], pts[min(len(pts)-1, i+1)]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		if l == 0 {
			continue
		}
		q := mat.Point{X: p.X - d*(b.Y-a.Y)/l, Y: p.Y + d*(b.X-a.X)/l}
		if distance(q, pts) > math.Abs(d)*0.99-2*otherTolMM {
			moved = append(moved, q)
		}
	}
	return moved
}

// distance returns how far q lies from a line, in mm.
func distance(q mat.Point, pts []mat.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		dx, dy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			t = min(max(((q.X-a.X)*dx+(q.Y-a.Y)*dy)/l, 0), 1)
		}
		best = min(best, math.Hypot(a.X+t*dx-q.X, a.Y+t*dy-q.Y))
	}
	return best
}

// longestMitre bounds how far lines are lengthened to meet at a corner, as a
// multiple of the larger inset.
const longestMitre = 4

// join ends line a and begins line b where they meet at the corner between
// them: cut back where they cross, lengthened where they fall short. Lines
// that do not meet stay as they are.
func join(a, b *side) {
	reach := longestMitre * max(math.Abs(a.inset), math.Abs(b.inset))
	if reach == 0 {
		return
	}
	n := len(a.pts)
	la := append(append([]mat.Point{}, a.pts...), beyond(a.pts[n-2], a.pts[n-1], reach))
	lb := append([]mat.Point{beyond(b.pts[1], b.pts[0], reach)}, b.pts...)
	best, found := crossing{}, false
	fromEnd := 0.0
	for i := len(la) - 1; i > 0; i-- {
		fromStart := 0.0
		for j := 1; j < len(lb); j++ {
			if at, ok := meet(la[i-1], la[i], lb[j-1], lb[j]); ok {
				c := crossing{at, i, j, fromEnd + away(la[i], at) + fromStart + away(lb[j-1], at)}
				if !found || c.cost < best.cost {
					best, found = c, true
				}
			}
			fromStart += away(lb[j-1], lb[j])
		}
		fromEnd += away(la[i-1], la[i])
	}
	if found {
		a.pts = append(la[:best.i:best.i], best.at)
		b.pts = append([]mat.Point{best.at}, lb[best.j:]...)
	}
}

// crossing is a place where two lines meet: before point i of one and j of
// the other. The cost is how much of the two would be lost.
type crossing struct {
	at   mat.Point
	i, j int
	cost float64
}

func away(a, b mat.Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// beyond returns the point by mm past b on the way from a.
func beyond(a, b mat.Point, by float64) mat.Point {
	l := away(a, b)
	if l == 0 {
		return b
	}
	return mat.Point{X: b.X + by*(b.X-a.X)/l, Y: b.Y + by*(b.Y-a.Y)/l}
}

// meet returns where segments p-q and r-s cross.
func meet(p, q, r, s mat.Point) (mat.Point, bool) {
	dx, dy, ex, ey := q.X-p.X, q.Y-p.Y, s.X-r.X, s.Y-r.Y
	det := dx*ey - dy*ex
	if det == 0 {
		return mat.Point{}, false
	}
	t := ((r.X-p.X)*ey - (r.Y-p.Y)*ex) / det
	u := ((r.X-p.X)*dy - (r.Y-p.Y)*dx) / det
	const eps = 1e-9
	if t < -eps || t > 1+eps || u < -eps || u > 1+eps {
		return mat.Point{}, false
	}
	return mat.Point{X: p.X + t*dx, Y: p.Y + t*dy}, true
}
