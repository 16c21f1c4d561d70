package desk

import (
	"fmt"
	"image/color"
	"math"
	"strconv"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
)

// paintReshape draws nodes and handles, guide lines, the selecting rectangle
// and the line of a tool.
func (e *editor) paintReshape(p painter) {
	if e.tool == toolReshape {
		e.paintGuides(p)
		e.paintGrips(p)
		e.paintNodeOff(p)
		e.paintNodeHover(p)
	}
	if e.gesture.kind == gestureBox && e.gesture.moved {
		r := view.Bounds([]view.Point{e.gesture.from, e.pointer})
		e.front.FillRect(r, withAlpha(e.pal.accent, 28))
		e.front.StrokeRect(r, 1.5*e.px, e.pal.accent)
	}
	if e.cross && e.tool != toolSelect && e.tool != toolReshape {
		e.paintCross(p)
	}
	if drawsLine(e.tool) {
		e.paintPoints(p)
	}
}

// paintCross draws the place at which the keyboard gives a tool its next point.
func (e *editor) paintCross(p painter) {
	at := e.pointer
	for _, w := range []struct {
		width float64
		ink   color.NRGBA
	}{{4, p.pal.halo}, {2, p.pal.accent}} {
		for _, d := range []view.Point{{X: 12}, {Y: 12}} {
			p.Line(view.Point{X: at.X - d.X*p.px, Y: at.Y - d.Y*p.px}, view.Point{X: at.X + d.X*p.px, Y: at.Y + d.Y*p.px}, w.width*p.px, w.ink)
		}
	}
}

// dashedLine draws a dashed line between device positions.
func (e *editor) dashedLine(a, b view.Point, width float64, c color.NRGBA) {
	e.front.Line(a, b, (width+2)*e.px, e.pal.halo)
	e.front.Dashed([]view.Point{a, b}, []float64{7 * e.px, 5 * e.px}, width*e.px, c)
}

// paintGrips draws nodes, corners as squares and smooth ones as discs, filled
// when selected; handles as small discs on a stalk.
func (e *editor) paintGrips(p painter) {
	grips := e.s.Grips()
	nodes := map[[2]int]view.Point{}
	for _, g := range grips {
		if in := g.In(p.space); g.Kind == session.GripNode && len(in) > 0 {
			nodes[[2]int{g.Loop, g.Node}] = p.view.ToDevice(in[0])
		}
	}
	for _, g := range grips {
		in := g.In(p.space)
		if len(in) == 0 {
			continue
		}
		at := p.view.ToDevice(in[0])
		if g.Kind == session.GripNode {
			p.grip(at, g)
			continue
		}
		if g.Kind == session.GripMark {
			p.markGrip(at, g.Selected)
			e.gripTag(p, at, g)
			continue
		}
		if g.Kind == session.GripLine {
			p.lineGrip(at, g.Selected)
			e.gripTag(p, at, g)
			continue
		}
		o := nodes[[2]int{g.Loop, g.Node}]
		p.Line(o, at, 3*p.px, p.pal.halo)
		p.Line(o, at, 1.2*p.px, p.pal.accent)
		r := 2.5 * p.px
		if h, ok := e.s.HandleOf(e.handle); ok && g.Kind == h.Kind && g.Node == h.Node && g.Loop == h.Loop {
			r = 5 * p.px
		}
		p.FillDisc(at, r+p.px, p.pal.halo)
		p.FillDisc(at, r, p.pal.accent)
	}
}

// gripTag tells above a selected mark or node of a line what gripTitle says.
func (e *editor) gripTag(p painter, at view.Point, g session.Grip) {
	if text := e.gripTitle(g); text != "" && g.Selected && e.text != nil && !p.magnified {
		p.Tag(e.text, view.Point{X: at.X, Y: at.Y - 22*p.px}, text, p.pal.panel, p.pal.accent)
	}
}

// gripTitle is how far along its edge the selected mark lies, or how long the
// line of a node is, and what it was drawn to; empty for other grips.
func (e *editor) gripTitle(g session.Grip) string {
	text := ""
	switch g.Kind {
	case session.GripMark:
		if edge, mm, ok := e.s.MarkAlong(); ok {
			text = fmt.Sprintf(tr.repair.fromStart, edgeTitle(edge, mm, e.system))
		}
	case session.GripLine:
		text = e.lineTitle(g.Loop)
	}
	if text == "" {
		return ""
	}
	return text + e.snappedTo()
}

// snappedTo says what the dragged mark or line was drawn to, behind its place.
func (e *editor) snappedTo() string {
	w := &tr.repair
	if e.gesture.kind != gestureGrip {
		return ""
	}
	text := map[session.SnapKind]string{
		session.SnapMiddle: w.atMiddle, session.SnapNode: w.atNode, session.SnapGuide: w.level, session.SnapMark: w.atMark, session.SnapEdge: w.onOutline,
	}[e.snapped.Kind]
	if e.snapped.Kind == session.SnapMark && e.snapped.Of != "" {
		text = fmt.Sprintf(w.meetsMark, e.snapped.Of)
	}
	if text == "" {
		return ""
	}
	return "  " + text
}

// grip draws one node.
func (p painter) grip(at view.Point, g session.Grip) {
	fill, r := p.pal.panel, 4*p.px
	if g.Selected {
		fill, r = p.pal.accent, 5*p.px
	}
	if !g.Corner {
		p.FillDisc(at, r, fill)
		p.Circle(at, r, 1.5*p.px, p.pal.ink)
		return
	}
	box := view.Rect{Min: view.Point{X: at.X - r, Y: at.Y - r}, Max: view.Point{X: at.X + r, Y: at.Y + r}}
	p.FillRect(box, fill)
	p.StrokeRect(box, 1.5*p.px, p.pal.ink)
}

// markGrip draws where a registration mark is taken hold of: a triangle, which
// no node is.
func (p painter) markGrip(at view.Point, selected bool) {
	fill, r := p.pal.panel, 5*p.px
	if selected {
		fill, r = p.pal.accent, 6*p.px
	}
	pts := []view.Point{{X: at.X, Y: at.Y - r}, {X: at.X + r, Y: at.Y + 0.8*r}, {X: at.X - r, Y: at.Y + 0.8*r}}
	p.FillPolygon([][]view.Point{pts}, fill)
	p.Polyline(append(pts, pts[0]), 1.5*p.px, p.pal.ink)
}

// lineGrip draws a node of a line inside the piece: a square on its corner.
func (p painter) lineGrip(at view.Point, selected bool) {
	fill, r := p.pal.panel, 4.5*p.px
	if selected {
		fill, r = p.pal.accent, 5.5*p.px
	}
	pts := []view.Point{{X: at.X, Y: at.Y - r}, {X: at.X + r, Y: at.Y}, {X: at.X, Y: at.Y + r}, {X: at.X - r, Y: at.Y}}
	p.FillPolygon([][]view.Point{pts}, fill)
	p.Polyline(append(pts, pts[0]), 1.5*p.px, p.pal.ink)
}

// paintGuides draws what the drag was drawn to.
func (e *editor) paintGuides(p painter) {
	if e.gesture.kind != gestureGrip || e.snapped.Kind == session.SnapNone {
		return
	}
	at := e.onScreen(view.Point(e.snapped.At))
	for _, g := range e.snapped.Guides {
		e.dashedLine(e.onScreen(view.Point(g)), at, 1, e.pal.accent)
	}
	if e.snapped.Kind != session.SnapGuide {
		p.Circle(at, 9*p.px, 4*p.px, p.pal.halo)
		p.Circle(at, 9*p.px, 2*p.px, p.pal.accent)
	}
}

// paintNodeHover tells what the node under the pointer is, where it lies and how
// far off the measured outline.
func (e *editor) paintNodeHover(p painter) {
	grips := e.s.Grips()
	if e.gesture.kind == gestureGrip || e.gripHover < 0 || e.gripHover >= len(grips) || e.text == nil {
		return
	}
	g := grips[e.gripHover]
	in := g.In(p.space)
	if g.Kind != session.GripNode || len(in) == 0 || g.Selected && e.nudging() {
		return
	}
	kind := tr.repair.smoothNode
	if g.Corner {
		kind = tr.repair.cornerNode
	}
	text := kind + "  " + placeTitle(view.Point(g.At), e.system)
	if off, ok := e.s.OffMM(g.Loop, g.Node); ok {
		text += "  " + fmt.Sprintf(tr.repair.nodeOff, e.system.Residual(off, 2))
	}
	at := p.view.ToDevice(in[0])
	e.tag(p, view.Point{X: at.X, Y: at.Y - 22*p.px}, text, p.pal.ink)
}

// nudging reports whether nodes or handles are being moved by the arrows.
func (e *editor) nudging() bool {
	a := e.s.NextUndo().Action
	return e.gesture.kind == noGesture && e.s.InGesture() && (a == session.ActionMoveNode || a == session.ActionMoveHandle)
}

// paintNodeOff tells beside the node that is dragged or nudged how far it lies
// off the measured outline, and how far the whole piece does.
func (e *editor) paintNodeOff(p painter) {
	text, at := e.nodeOffTitle(), e.pointer
	if e.nudging() {
		var seen bool
		if at, seen = e.chosenGrip(); !seen {
			return
		}
	}
	if text != "" && e.text != nil {
		e.tag(p, view.Point{X: at.X, Y: math.Max(at.Y-26*p.px, 16*p.px)}, text, p.pal.accent)
	}
}

// nodeOffTitle is what is told of the node that is dragged or nudged; empty for
// none, and before its piece was measured.
func (e *editor) nodeOffTitle() string {
	piece, ok := e.s.SelectedPiece()
	if !ok || e.gesture.kind != gestureGrip && !e.nudging() {
		return ""
	}
	off, ok := e.s.NodeOffMM()
	if !ok {
		return ""
	}
	text := fmt.Sprintf(tr.repair.nodeOff, e.system.Residual(off, 2))
	if d, ok := e.s.Deviation(piece.ID); ok {
		text += "  " + fmt.Sprintf(tr.repair.worstOff, e.system.Residual(math.Max(off, d.WorstMM), 2))
	}
	return text
}

// chosenGrip is where the grip that was chosen last lies; false when the view's
// space does not show it.
func (e *editor) chosenGrip() (view.Point, bool) {
	g, ok := e.s.LastGrip()
	in := g.In(e.space)
	if !ok || len(in) == 0 {
		return view.Point{}, false
	}
	return e.view().ToDevice(in[0]), true
}

// showGrip moves the view, at its zoom, to the grip that was chosen last when it
// is not seen.
func (e *editor) showGrip() {
	at, ok := e.chosenGrip()
	if !ok || e.onPaper() {
		return
	}
	edge := 40 * e.px
	w, h := float64(e.w), float64(e.h)
	if seen := (view.Rect{Max: view.Point{X: w, Y: h}}).Grown(-math.Min(edge, math.Min(w, h)/4)); !seen.Contains(at) {
		e.setView(e.view().Panned(w/2-at.X, h/2-at.Y))
	}
}

// paintPoints draws the points that a tool has been given, by number where
// there are more than two, and the line to the pointer.
func (e *editor) paintPoints(p painter) {
	for i, m := range e.tape {
		at := e.onScreen(m)
		if i%2 == 1 {
			e.dashedLine(e.onScreen(e.tape[i-1]), at, 2, e.pal.accent)
		} else if to, _, ok := e.nextPoint(); ok && i == len(e.tape)-1 {
			e.dashedLine(at, to, 2, e.pal.accent)
			if text := e.drawnTitle(); text != "" && e.text != nil {
				e.tag(p, view.Point{X: to.X, Y: math.Max(to.Y-22*p.px, 16*p.px)}, text, p.pal.accent)
			}
		}
		p.Circle(at, 5*p.px, 4*p.px, p.pal.halo)
		p.Circle(at, 5*p.px, 2*p.px, p.pal.accent)
		n := i%2 + 1
		if e.tool == toolParts {
			n = i/2 + 1
		}
		if pointsOf(e.tool) > 2 && e.text != nil {
			e.tag(p, view.Point{X: at.X, Y: at.Y - 18*p.px}, strconv.Itoa(n), p.pal.accent)
		}
	}
}
