package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/rectify/mat"
)

// newTag sets a tag off mm to the right of the edge's run (inside the piece)
// at a part of its length.
func newTag(pts []mat.Point, part, off, widthMM float64) tag {
	at, dir := alongLine(pts, part)
	c := mat.Point{X: at.X - off*dir.Y, Y: at.Y + off*dir.X}
	return tagAt(c, readable(math.Atan2(dir.Y, dir.X)), widthMM)
}

// squareTag sets a tag like newTag, but at right angles to the edge.
func squareTag(pts []mat.Point, part, off, widthMM float64) tag {
	at, dir := alongLine(pts, part)
	c := mat.Point{X: at.X - off*dir.Y, Y: at.Y + off*dir.X}
	return tagAt(c, readable(math.Atan2(dir.X, -dir.Y)), widthMM)
}

// readable turns words that would stand on their heads.
func readable(turnRad float64) float64 {
	if turnRad > math.Pi/2+1e-9 || turnRad <= -math.Pi/2+1e-9 {
		return turnRad + math.Pi
	}
	return turnRad
}

// tagAt sets a tag at a place, turned by rad.
func tagAt(c mat.Point, turn, widthMM float64) tag {
	t := tag{centre: c, turnRad: turn}
	hw, hh := widthMM/2+tagGapMM, tagCapMM/2+tagGapMM
	for i, d := range [4]mat.Point{{X: -hw, Y: -hh}, {X: hw, Y: -hh}, {X: hw, Y: hh}, {X: -hw, Y: hh}} {
		d = turned(d, turn)
		t.corners[i] = mat.Point{X: c.X + d.X, Y: c.Y + d.Y}
	}
	return t
}

// alongLine returns the point at a part of a polyline's length and the
// direction there, averaged over a little of it.
func alongLine(pts []mat.Point, part float64) (at, dir mat.Point) {
	total := 0.0
	for i := 1; i < len(pts); i++ {
		total += math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
	}
	at = pointAlong(pts, part*total)
	a, b := pointAlong(pts, part*total-3), pointAlong(pts, part*total+3)
	if l := math.Hypot(b.X-a.X, b.Y-a.Y); l > 0 {
		return at, mat.Point{X: (b.X - a.X) / l, Y: (b.Y - a.Y) / l}
	}
	return at, mat.Point{X: 1}
}

func pointAlong(pts []mat.Point, s float64) mat.Point {
	if s <= 0 {
		return pts[0]
	}
	for i := 1; i < len(pts); i++ {
		l := math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
		if s <= l && l > 0 {
			t := s / l
			return mat.Point{X: pts[i-1].X + t*(pts[i].X-pts[i-1].X), Y: pts[i-1].Y + t*(pts[i].Y-pts[i-1].Y)}
		}
		s -= l
	}
	return pts[len(pts)-1]
}

// overlap reports whether two boxes share a point.
func overlap(a, b [4]mat.Point) bool {
	return crosses(a, b[:], true) || page.Inside(middle(a), b[:]) || page.Inside(middle(b), a[:])
}

func middle(box [4]mat.Point) mat.Point {
	return mat.Point{X: (box[0].X + box[2].X) / 2, Y: (box[0].Y + box[2].Y) / 2}
}

// crosses reports whether a convex box meets a line.
func crosses(box [4]mat.Point, line []mat.Point, closed bool) bool {
	for i := 1; i < len(line); i++ {
		if boxMeets(box, line[i-1], line[i]) {
			return true
		}
	}
	return closed && len(line) > 0 && boxMeets(box, line[len(line)-1], line[0])
}

// boxMeets tells by separating axes: the box's two and the segment's normal.
func boxMeets(box [4]mat.Point, p, q mat.Point) bool {
	along := mat.Point{X: box[1].X - box[0].X, Y: box[1].Y - box[0].Y}
	axes := [3]mat.Point{
		along,
		{X: -along.Y, Y: along.X},
		{X: p.Y - q.Y, Y: q.X - p.X},
	}
	for _, n := range axes {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, c := range box {
			v := c.X*n.X + c.Y*n.Y
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		a, b := p.X*n.X+p.Y*n.Y, q.X*n.X+q.Y*n.Y
		if math.Max(a, b) < lo || math.Min(a, b) > hi {
			return false
		}
	}
	return true
}
