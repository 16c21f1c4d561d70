package desk

import (
	"image/color"
	"math"
	"strconv"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

// paintTags writes the pieces' letters, the leaning cuts, and what the pointer
// is on.
func (e *editor) paintTags(p painter) {
	if e.placing() || e.text == nil {
		return
	}
	sel, hasEdge := e.s.SelectedEdge()
	for i := range e.shapes().Pieces {
		s := &e.shapes().Pieces[i]
		if len(s.Label.In(p.space)) == 0 {
			continue
		}
		e.tag(p, p.view.ToDevice(s.Label.In(p.space)[0]), shortened(pieceTitle(s.ID, s.Name)), p.pal.ink)
		for k := range s.Edges {
			if d := &s.Edges[k]; d.Cut.Kind == pattern.Bevel || d.Cut.Kind == pattern.Undercut {
				e.cutTag(p, d)
			}
		}
	}
	e.paintSeamTags(p, sel.ID)
	if d, ok := e.shapes().Edge(sel.ID); ok && hasEdge {
		e.edgeTag(p, &d, p.pal.accent)
	}
	if d, ok := e.shapes().Edge(e.hover); ok && e.hover != sel.ID {
		e.edgeTag(p, &d, p.pal.ink)
	}
}

// paintSeamTags writes each seam's name at both of its edges, outside of the
// piece; the selected edge has its own tag there.
func (e *editor) paintSeamTags(p painter, selected string) {
	doc := e.s.Document()
	for _, m := range doc.Pattern.Seams {
		for _, run := range []pattern.Run{m.A, m.B} {
			for _, r := range run {
				d, ok := e.shapes().Edge(r.Edge)
				if !ok || r.Edge == selected {
					continue
				}
				at, n, seen := p.middle(d.Line.In(p.space))
				if !seen {
					continue
				}
				ink := p.pal.ink
				if e.mates[r.Edge] {
					ink = p.pal.accent
				}
				e.tag(p, view.Point{X: at.X - n.X*16*p.px, Y: at.Y - n.Y*16*p.px}, m.ID, ink)
			}
		}
	}
}

// tag writes on a plate of the panel's colour, pushed inwards from the border
// and the rulers.
func (e *editor) tag(p painter, at view.Point, text string, ink color.NRGBA) {
	w, h := p.Size()
	half, high := e.text.Width(text)/2+8*p.px, 14*p.px
	if on := (view.Rect{Max: view.Point{X: float64(w), Y: float64(h)}}).Overlaps(view.Rect{Min: at, Max: at}.Grown(half)); on {
		left, top := 0.0, 0.0
		if p.space == session.OnMat {
			left, top = leftRulerPx*p.px, rulerPx*p.px
		}
		at.X = math.Max(left+half, math.Min(float64(w)-half, at.X))
		at.Y = math.Max(top+high, math.Min(float64(h)-high, at.Y))
	}
	p.Tag(e.text, at, text, ink, withAlpha(p.pal.panel, 225))
}

// cutTag stands on the inner side of an edge's middle.
func (e *editor) cutTag(p painter, d *session.EdgeShape) {
	k := styleOf(d.Cut.Kind)
	at, n, seen := p.middle(d.Line.In(p.space))
	if !seen {
		return
	}
	at = view.Point{X: at.X + n.X*22*p.px, Y: at.Y + n.Y*22*p.px}
	p.Tag(e.text, at, cutTitle(d.Cut), hex(0xFFFFFF), darker(k.colour))
}

// darker makes a cut's colour dark enough to carry white text.
func darker(c color.NRGBA) color.NRGBA { return mix(c, color.NRGBA{A: 255}, 0.3) }

// edgeTag stands on the outer side of an edge's middle.
func (e *editor) edgeTag(p painter, d *session.EdgeShape, ink color.NRGBA) {
	at, n, seen := p.middle(d.Line.In(p.space))
	if !seen {
		return
	}
	w := e.text.Width(edgeTitle(d.ID, d.LengthMM, e.system))/2 + 14*p.px
	at = view.Point{X: at.X - n.X*w, Y: at.Y - n.Y*20*p.px}
	e.tag(p, at, edgeTitle(d.ID, d.LengthMM, e.system), ink)
}

// middle returns the device position half way along a line of points and the
// unit normal there that points to the inside of the piece; false for a line that
// the space does not show.
func (p painter) middle(pts []view.Point) (at, normal view.Point, ok bool) {
	dev := p.brief(pts)
	total := 0.0
	for i := 1; i < len(dev); i++ {
		total += math.Hypot(dev[i].X-dev[i-1].X, dev[i].Y-dev[i-1].Y)
	}
	done := 0.0
	for i := 1; i < len(dev); i++ {
		dx, dy := dev[i].X-dev[i-1].X, dev[i].Y-dev[i-1].Y
		l := math.Hypot(dx, dy)
		if l > 0 && done+l >= total/2 {
			t := (total/2 - done) / l
			return view.Point{X: dev[i-1].X + dx*t, Y: dev[i-1].Y + dy*t}, view.Point{X: -dy / l, Y: dx / l}, true
		}
		done += l
	}
	return at, normal, false
}

// paintFindings marks findings by number and by the shape of their severity: a
// triangle for a fault, a square for a warning, a circle for a note. A photograph
// has those only whose place it shows.
func (e *editor) paintFindings(p painter) {
	if e.text == nil {
		return
	}
	for i, f := range e.findings {
		if !e.marksFinding(f) {
			continue
		}
		at := e.onScreen(view.Point(f.At))
		sides, turn := 24, 0.0
		switch f.Severity {
		case pattern.Fault:
			sides, turn = 3, -math.Pi/2
		case pattern.Warning:
			sides, turn = 4, math.Pi/4
		}
		ink := severityInk(f.Severity, p.pal)
		shape := polygon(at, 10*p.px, sides, turn)
		p.Polyline(shape, 5*p.px, p.pal.halo)
		p.Polyline(shape, 2.5*p.px, ink)
		e.tag(p, view.Point{X: at.X + 22*p.px, Y: at.Y}, strconv.Itoa(i+1), ink)
	}
}

// polygon is a regular closed polygon whose first corner lies at an angle in
// radians.
func polygon(at view.Point, radius float64, sides int, turn float64) []view.Point {
	out := make([]view.Point, sides+1)
	for i := range out {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(sides))
		out[i] = view.Point{X: at.X + radius*cos, Y: at.Y + radius*sin}
	}
	return out
}
