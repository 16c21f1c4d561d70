package desk

import (
	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
)

// Lines inside a piece by hand: where it is folded, scored or slit.

// toggleLine begins to draw lines inside a piece, or stops.
func (d *desk) toggleLine() { d.toggleTool(toolLine, tr.repair.lineHow) }

// drawnLine adds a line to the selected piece and goes on for the next.
func (d *desk) drawnLine(from, to mat.Point) {
	if _, ok := d.s.SelectedPiece(); !ok {
		d.strip.say(opening(session.ErrNoPiece) + ".")
		return
	}
	d.report(d.s.AddLine(from, to))
}

// removeLine takes the selected line away.
func (d *desk) removeLine() { d.report(d.s.RemoveLine()) }

// snapTool returns the place next to a point of the mat at which a tool that is
// given points takes its next one.
func (e *editor) snapTool(m mat.Point, free bool) mat.Point {
	reach := e.reach() / e.worldPerMM()
	switch {
	case free:
		return m
	case e.tool == toolLine:
		var others []mat.Point
		for _, q := range e.tape {
			others = append(others, mat.Point(q))
		}
		return e.s.SnapLine(e.space, m, others, reach).At
	}
	return e.s.Snap(e.space, m, reach).At
}

// nextPoint returns where on the screen the next point of a tool would be put,
// and its place on the mat; false where there is none.
func (e *editor) nextPoint() (at view.Point, m mat.Point, ok bool) {
	q, ok := e.matAt(e.pointer)
	if e.tool != toolLine || !ok || !e.pointerIn {
		return e.pointer, mat.Point(q), e.pointerIn && (ok || e.tool != toolLine)
	}
	m = e.snapTool(mat.Point(q), modifiers()&fyne.KeyModifierAlt != 0)
	return e.onScreen(view.Point(m)), m, true
}

// drawnTitle is the length of a line inside a piece that has been begun, as far
// as the pointer; empty for none.
func (e *editor) drawnTitle() string {
	if e.tool != toolLine || len(e.tape) != 1 {
		return ""
	}
	_, to, ok := e.nextPoint()
	if !ok {
		return ""
	}
	return tapeTitle(e.tape[0], view.Point(to), e.system)
}

// lineTitle is the length of a line inside the selected piece.
func (e *editor) lineTitle(line int) string {
	p, ok := e.s.SelectedPiece()
	if !ok || line < 0 || line >= len(p.Lines) {
		return ""
	}
	return e.system.Length(p.Lines[line].Path.Length(), 1)
}

// pickUnder selects the piece under the pointer, and leaves what is selected
// where there is none.
func (e *editor) pickUnder() {
	if id := e.s.Shapes().PieceAt(e.space, e.view().ToWorld(e.pointer)); id != "" {
		e.s.SelectPiece(id)
		e.host.changed()
	}
}
