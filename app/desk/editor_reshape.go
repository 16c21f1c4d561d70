package desk

import (
	"math"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// held is what a drag of a node or handle began with.
type held struct {
	grip session.Grip
	base pattern.Piece
	from mat.Point
	// targets are what a mark is drawn to.
	targets []session.Snapped
}

// gripAt returns the number of the grip at a device position, -1 for none.
// Handles lie over nodes only where they do not hide them.
func (e *editor) gripAt(at view.Point) int {
	best, near := -1, 8*e.px
	for i, g := range e.s.Grips() {
		in := g.In(e.space)
		if len(in) == 0 {
			continue
		}
		q := e.view().ToDevice(in[0])
		d := math.Hypot(q.X-at.X, q.Y-at.Y)
		if g.Kind == session.GripNode {
			d -= 2 * e.px
		}
		if d <= near {
			best, near = i, d
		}
	}
	return best
}

// grasp takes up the grip at a device position; false when there is none.
func (e *editor) grasp(at view.Point) bool {
	i := e.gripAt(at)
	p, ok := e.s.SelectedPiece()
	m, onMat := e.matAt(at)
	if i < 0 || !ok || !onMat {
		return false
	}
	g := e.s.Grips()[i]
	var targets []session.Snapped
	if g.Kind == session.GripMark {
		e.s.SelectMark(g.Node)
		targets = e.s.MarkTargets(g.Node)
	}
	if g.Kind == session.GripLine {
		e.s.SelectLineNode(g.Loop, g.Node)
	}
	if g.Kind == session.GripNode && (e.gesture.more || !g.Selected) {
		e.s.SelectNode(g.Loop, g.Node, e.gesture.more)
	}
	e.s.EndGesture()
	e.held = held{g, p, mat.Point(m), targets}
	e.gesture.kind = gestureGrip
	e.host.changed()
	return true
}

// dragGrip moves what is held. Free lets a handle turn by itself, and keeps a
// node from snapping.
func (e *editor) dragGrip(at view.Point, free bool) {
	m, ok := e.matAt(at)
	if !ok {
		return
	}
	h := e.held
	to := mat.Point{X: h.grip.At.X + m.X - h.from.X, Y: h.grip.At.Y + m.Y - h.from.Y}
	e.snapped = session.Snapped{At: to}
	reach := e.reach() / e.worldPerMM()
	if free {
		reach = 0
	}
	// What cannot be, as a line drawn together to nothing, leaves things as they
	// were last.
	switch h.grip.Kind {
	case session.GripMark:
		e.snapped, _ = e.s.DragMark(h.base, h.grip.Node, to, h.targets, reach)
	case session.GripLine:
		e.snapped, _ = e.s.DragLineNode(h.base, h.grip.Loop, h.grip.Node, to, reach)
	case session.GripNode:
		if !free {
			e.snapped = e.s.Snap(e.space, to, reach)
		}
		d := mat.Point{X: e.snapped.At.X - h.grip.At.X, Y: e.snapped.At.Y - h.grip.At.Y}
		_ = e.s.DragNodes(h.base, d)
	default:
		_ = e.s.DragHandle(h.base, h.grip, to, free)
	}
	e.host.changed()
}

// release ends the drag of a grip.
func (e *editor) release(gesture) {
	e.held, e.snapped = held{}, session.Snapped{}
	e.s.EndGesture()
	e.host.changed()
}

// takeUp selects the piece under a click while reshaping, or no node.
func (e *editor) takeUp(world view.Point) {
	if edge := e.shapes().EdgeAt(e.space, world, e.reach()); edge != "" {
		e.s.ClearNodes()
		e.s.SelectEdge(edge)
	} else if id := e.shapes().PieceAt(e.space, world); id != "" {
		e.s.ClearNodes()
		e.s.SelectPiece(id)
	}
	e.host.reshaping()
}

// toggle takes what lies under a click into the selection, or out of it.
func (e *editor) toggle(world view.Point) {
	if edge := e.shapes().EdgeAt(e.space, world, e.reach()); edge != "" {
		if shape, ok := e.shapes().Edge(edge); ok {
			e.s.TogglePick(session.Pick{Piece: shape.PieceID, Edge: edge})
		}
		return
	}
	e.s.TogglePick(session.Pick{Piece: e.shapes().PieceAt(e.space, world)})
}

// selectBox selects what lies within the dragged rectangle.
func (e *editor) selectBox(g gesture) {
	v := e.view()
	r := view.Bounds([]view.Point{v.ToWorld(g.from), v.ToWorld(e.pointer)})
	if e.tool == toolReshape {
		e.s.SelectNodesIn(e.space, r)
	} else {
		e.s.SelectPieces(e.shapes().PiecesIn(e.space, r), true)
	}
	e.host.changed()
}

// alsoPicked reports whether an edge, or all of its piece, is selected beside
// others.
func (e *editor) alsoPicked(s *session.EdgeShape) bool {
	all := e.s.Picks()
	if len(all) < 2 {
		return false
	}
	for _, x := range all {
		if x.Edge == s.ID || x.Edge == "" && x.Piece == s.PieceID {
			return true
		}
	}
	return false
}

// moveCross moves the place at which a tool takes its next point, from the
// middle of the view when the pointer is not in it.
func (e *editor) moveCross(dx, dy float64) {
	if !e.pointerIn && !e.cross {
		e.pointer = view.Point{X: float64(e.w) / 2, Y: float64(e.h) / 2}
	}
	e.cross, e.pointerIn = true, true
	e.pointer.X = math.Max(0, math.Min(float64(e.w-1), e.pointer.X+dx*e.px))
	e.pointer.Y = math.Max(0, math.Min(float64(e.h-1), e.pointer.Y+dy*e.px))
	e.redraw()
}

// clickCross gives the tool a point at its cross.
func (e *editor) clickCross() {
	if !e.pointerIn && !e.cross {
		e.moveCross(0, 0)
		return
	}
	e.click(gesture{kind: gesturePress, from: e.pointer})
}

// openMenu selects what lies under a press of the second button, unless it is
// selected already, and opens the actions for it.
func (e *editor) openMenu(at view.Point) {
	world := e.view().ToWorld(at)
	if e.tool == toolSelect {
		edge := e.shapes().EdgeAt(e.space, world, e.reach())
		piece := e.shapes().PieceAt(e.space, world)
		if s, ok := e.shapes().Edge(edge); ok {
			piece = s.PieceID
		}
		switch {
		case e.s.IsPicked(session.Pick{Piece: piece, Edge: edge}), e.s.IsPicked(session.Pick{Piece: piece}) && len(e.s.Picks()) > 1:
		case edge != "":
			e.s.SelectEdge(edge)
		case piece != "":
			e.s.SelectPiece(piece)
		}
		e.host.changed()
	}
	e.host.menu(fyne.NewPos(float32(at.X/e.px), float32(at.Y/e.px)))
}

// layLine puts a point of a tool at a device position, on a node or edge close
// by.
func (e *editor) layLine(at view.Point, free bool) {
	m, ok := e.matAt(at)
	if !ok {
		return
	}
	if e.tool == toolLine && len(e.tape) == 0 {
		e.pickUnder() // the first point chooses the piece
	}
	e.tape = append(e.tape, view.Point(e.snapTool(mat.Point(m), free)))
	if len(e.tape) < pointsOf(e.tool) {
		if e.tool == toolParts {
			e.host.shared()
		}
		e.redraw()
		return
	}
	var points []mat.Point
	for _, q := range e.tape {
		points = append(points, mat.Point(q))
	}
	e.tape = nil
	e.host.lined(e.tool, points)
}

// pointsOf is how many points a tool is given.
func pointsOf(t tool) int {
	switch t {
	case toolMeet:
		return 4
	case toolParts:
		return mostShared
	}
	return 2
}

// drawsLine reports whether a tool is given points one by one.
func drawsLine(t tool) bool {
	return t == toolSplit || t == toolAxis || t == toolMeet || t == toolParts || t == toolLine
}

// mostShared is how many points two parts may be given, both counted.
const mostShared = 40
