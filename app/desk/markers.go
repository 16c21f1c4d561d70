package desk

import (
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/photo"
)

// Markers are the points a tool has placed: crossings, corners of a sheet, or
// the ends of the tape.

// placing reports whether presses place markers on the photograph.
func (e *editor) placing() bool { return e.tool == toolCorners || e.tool == toolSheet }

// marker returns where a marker of the tool lies in the photograph.
func (e *editor) marker(i int) (photo.Point, bool) {
	doc := e.s.Document()
	switch {
	case i < 0:
	case e.tool == toolCorners && i < len(doc.Corners):
		return doc.Corners[i].At, true
	case e.tool == toolSheet && i < len(doc.Sheet.Corners):
		return doc.Sheet.Corners[i], true
	case e.tool == toolTape && i < len(e.tape):
		return e.tapeInPhoto(i)
	}
	return photo.Point{}, false
}

// markerAt returns the marker nearest to a place within reach px, -1 for none.
func (e *editor) markerAt(at photo.Point, reachPx float64) int {
	if e.tool == toolSheet {
		return e.s.SheetCornerAt(at, reachPx)
	}
	return e.s.CornerAt(at, reachPx)
}

// moveMarker moves a marker as part of a drag or a run of nudges.
func (e *editor) moveMarker(i int, to photo.Point) {
	switch e.tool {
	case toolCorners:
		e.s.MoveCorner(i, to, false)
	case toolSheet:
		e.s.MoveSheetCorner(i, to)
	case toolTape:
		e.moveTape(i, to)
	}
}

// place puts a marker at a place in the photograph.
func (e *editor) place(at photo.Point, free bool) {
	p := e.s.Photo()
	if p == nil || !p.Inside(at, 0) {
		return
	}
	e.nudged = false
	if e.tool == toolSheet {
		if i := e.s.AddSheetCorner(at); i >= 0 {
			e.corner = i
		}
		e.host.changed()
		return
	}
	snapped := false
	if !free {
		at, snapped = e.host.snap(at, e.reach())
	}
	e.corner = e.s.AddCorner(at, snapped)
	e.host.changed()
	e.host.cornerPlaced(e.corner)
}

// dropCorner lets a dragged crossing snap; the whole drag is one step of undo.
func (e *editor) dropCorner(free bool) {
	if at, ok := e.marker(e.corner); ok && !free && e.tool == toolCorners {
		if to, ok := e.host.snap(at, e.reach()); ok {
			e.s.MoveCorner(e.corner, to, true)
		}
	}
	e.s.EndGesture()
	e.host.changed()
}

// nudge moves the marker last touched by px of the photograph; false when
// there is none.
func (e *editor) nudge(dxPx, dyPx float64) bool {
	at, ok := e.marker(e.corner)
	if !ok {
		return false
	}
	e.nudged = true
	e.moveMarker(e.corner, photo.Point{X: at.X + dxPx, Y: at.Y + dyPx})
	e.host.changed()
	return true
}

// tapeInPhoto returns an end of the tape in the photograph; none of one that
// lies on paper.
func (e *editor) tapeInPhoto(i int) (photo.Point, bool) {
	v, ok := e.s.View()
	if !ok || e.onPaper() {
		return photo.Point{}, false
	}
	return v.ToPhoto(toMat(e.tape[i])), true
}

// moveTape moves an end of the tape to a place in the photograph.
func (e *editor) moveTape(i int, to photo.Point) {
	if v, ok := e.s.View(); ok && !e.onPaper() && i >= 0 && i < len(e.tape) {
		if m, ok := v.ToMat(to); ok {
			e.tape[i] = view.Point(m)
			e.redraw()
		}
	}
}

// layTape puts an end of the tape at a device position; a third begins anew.
func (e *editor) layTape(at view.Point) {
	if len(e.tape) >= 2 {
		e.tape = nil
	}
	m, ok := e.placeAt(at)
	if !ok {
		return
	}
	e.tape = append(e.tape, m)
	e.corner, e.nudged = len(e.tape)-1, false
	if len(e.tape) == 2 {
		e.host.measured()
	}
}

// tapeCheck returns the tape as a length to be checked; false while it has not
// two ends.
func (e *editor) tapeCheck() (session.LengthCheck, bool) {
	if e.tool != toolTape || len(e.tape) != 2 {
		return session.LengthCheck{}, false
	}
	a, okA := e.tapeInPhoto(0)
	b, okB := e.tapeInPhoto(1)
	return session.LengthCheck{From: a, To: b}, okA && okB
}
