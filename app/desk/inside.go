package desk

import (
	"flatwright/app/desk/session"
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
// given points takes its next one. The first of a line inside a piece chooses
// the piece.
func (e *editor) snapTool(m mat.Point, free bool) mat.Point {
	reach := e.reach() / e.worldPerMM()
	if e.tool == toolLine && len(e.tape) == 0 {
		e.pickUnder()
	}
	switch {
	case free:
		return m
	case e.tool == toolLine:
		var others []mat.Point
		for _, q := range e.tape {
			others = append(others, mat.Point(q))
		}
		return e.s.SnapLine(m, others, reach).At
	}
	return e.s.Snap(m, reach).At
}

// pickUnder selects the piece under the pointer, and leaves what is selected
// where there is none.
func (e *editor) pickUnder() {
	if id := e.s.Shapes().PieceAt(e.space, e.view().ToWorld(e.pointer)); id != "" {
		e.s.SelectPiece(id)
		e.host.changed()
	}
}
