package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
)

// tag is an edge's name, set along the edge, in the pattern's frame.
type tag struct {
	text    string
	colour  page.Colour
	centre  mat.Point
	turnRad float64
	corners [4]mat.Point
}

const (
	tagCapMM = 2.2
	// tagGapMM is kept free between a tag and any line.
	tagGapMM = 0.7
)

// placeTags names the edges, longest first in effect: each takes the first
// free place from its middle outwards, inside the piece if there is one.
func (a *pieceArt) placeTags() {
	for i := range a.piece.Edges {
		if t, ok := a.placeTag(i); ok {
			a.tags = append(a.tags, t)
		}
	}
}

func (a *pieceArt) placeTag(edge int) (tag, bool) {
	e := a.piece.Edges[edge]
	s, _ := page.CutLineStyle(e.Cut)
	text := joined(" ", e.ID, page.CutTag(e.Cut), a.seams[e.ID])
	return a.placeBeside(a.piece.EdgePath(edge).Flatten(artTolMM), text, s.Colour, edgeSides[:])
}

// edgeSides are the sides on which an edge's tag may stand, inside first.
var edgeSides = [...]tagSide{{1, true}, {-1, false}}

// lineSides are those of an inside line's tag.
var lineSides = [...]tagSide{{1, true}, {-1, true}}

// tagSide is a side of a line, and whether a tag there must lie inside the
// piece.
type tagSide struct {
	inwards float64
	inside  bool
}

// placeWorkTags writes beside the inside lines what is done along them.
func (a *pieceArt) placeWorkTags() {
	for _, l := range a.piece.Lines {
		text := page.WorkTag(l.Work)
		if text == "" {
			continue
		}
		if t, ok := a.placeBeside(l.Path.Flatten(artTolMM), text, page.ScoreStyle.Colour, lineSides[:]); ok {
			a.tags = append(a.tags, t)
		}
	}
}

// placeBeside finds a free place for words beside a line.
func (a *pieceArt) placeBeside(pts []mat.Point, text string, colour page.Colour, sides []tagSide) (tag, bool) {
	text = lettering.Regular.Clean(text)
	if len(pts) < 2 || text == "" {
		return tag{}, false
	}
	w := lettering.Regular.WidthMM(text, tagCapMM)
	for _, side := range sides {
		for _, off := range []float64{2.4, 4, 6, 8.5, 11, 14} {
			for _, part := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
				t := newTag(pts, part, side.inwards*off, w)
				t.text, t.colour = text, colour
				if a.free(t, side.inside) {
					return t, true
				}
			}
		}
	}
	return tag{}, false
}

// newTag sets a tag off mm to the right of the edge's run (inside the piece)
// at a part of its length.
func newTag(pts []mat.Point, part, off, widthMM float64) tag {
	at, dir := alongLine(pts, part)
	turn := math.Atan2(dir.Y, dir.X)
	c := mat.Point{X: at.X - off*dir.Y, Y: at.Y + off*dir.X}
	if turn > math.Pi/2+1e-9 || turn <= -math.Pi/2+1e-9 {
		turn += math.Pi
	}
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

// free reports whether a tag's box meets no line or other tag and lies on the
// wanted side of the outline.
func (a *pieceArt) free(t tag, inside bool) bool {
	if page.Inside(t.centre, a.loops[0]) != inside {
		return false
	}
	for i, loop := range a.loops {
		if crosses(t.corners, loop, true) || (i > 0 && page.Inside(t.centre, loop)) {
			return false
		}
	}
	for _, line := range a.lines {
		if crosses(t.corners, line, false) {
			return false
		}
	}
	for _, o := range a.tags {
		if crosses(t.corners, o.corners[:], true) {
			return false
		}
	}
	return true
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

func (t tag) draw(c Canvas, f frame) {
	w := lettering.Regular.WidthMM(t.text, tagCapMM)
	d := turned(mat.Point{X: -w / 2, Y: tagCapMM / 2}, t.turnRad)
	at := f.point(mat.Point{X: t.centre.X + d.X, Y: t.centre.Y + d.Y})
	c.Text(Words{At: at, Text: t.text, Face: lettering.Regular, CapMM: tagCapMM, Colour: t.colour, TurnRad: t.turnRad})
}
