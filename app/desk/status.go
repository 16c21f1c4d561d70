package desk

import (
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
)

// statusLine is the one line at the bottom: where the pointer is, how sure
// that is, the zoom, what undo would undo, and what is running.
type statusLine struct {
	d                       *desk
	cursor, here, zoom      *widget.Label
	undo                    *widget.Label
	running                 *widget.Label
	bar                     *widget.ProgressBar
	stop                    *button
	work, line              *fyne.Container
	workRoom                fyne.Size
	ground                  *canvas.Rectangle
	box                     fyne.CanvasObject
	lastCursor, lastHere    string
	lastZoom, lastUndo, now string
}

func newStatusLine(d *desk) *statusLine {
	s := &statusLine{d: d, cursor: label(""), here: label(""), zoom: label(""), undo: label(""), running: label("")}
	s.bar = widget.NewProgressBar()
	s.bar.TextFormatter = func() string { return fmt.Sprintf("%.0f %%", s.bar.Value*100) }
	s.stop = newButton(tr.stop, d.stopWork)
	s.undo.Truncation, s.running.Truncation = fyne.TextTruncateEllipsis, fyne.TextTruncateEllipsis
	s.work = container.NewHBox(atMost(runningWidth, s.running), fixed(150, s.bar), s.stop)
	s.ground = canvas.NewRectangle(d.pal.panel)
	left := container.NewHBox(fixed(170, s.cursor), fixed(150, s.here), fixed(130, s.zoom))
	s.line = container.NewBorder(nil, nil, left, s.work, s.undo)
	s.box = container.NewStack(s.ground, container.New(layout.NewCustomPaddedLayout(0, 0, 8, 8), s.line))
	return s
}

// runningWidth is the breadth that the name of what runs has at most: undo's
// words keep some room beside it in the smallest window.
const runningWidth = 190

// update writes all of the line.
func (s *statusLine) update() {
	s.pointed()
	text := tr.nothingToUndo
	if e := s.d.s.NextUndo(); e.Action != session.NoAction {
		text = fmt.Sprintf(tr.undo, editTitle(e))
	}
	put(s.undo, &s.lastUndo, text)
	visible(s.work, s.d.runner.busy())
	if s.d.runner.busy() {
		put(s.running, &s.now, s.d.runner.name)
		s.bar.SetValue(s.d.runner.part)
	}
	s.makeRoom()
}

// makeRoom lays the line out anew when what runs takes more or less of it.
func (s *statusLine) makeRoom() {
	room := fyne.Size{}
	if s.work.Visible() {
		room = s.work.MinSize()
	}
	if room != s.workRoom {
		s.workRoom = room
		s.line.Refresh()
	}
}

// stopWork stops what runs because the maker wants it, says so, and offers to
// begin it again.
func (d *desk) stopWork() {
	if !d.runner.busy() {
		return
	}
	name := d.runner.name
	d.runner.stop()
	var again []way
	switch name {
	case tr.squaring:
		again = []way{{tr.squareUp, d.squareUpAgain}}
	case tr.tracing:
		again = []way{{tr.trace, d.trace}}
	}
	d.strip.say(fmt.Sprintf(tr.stopped, name), again...)
	d.changed()
}

// pointed writes what follows the pointer.
func (s *statusLine) pointed() {
	e := s.d.editor
	cursor, here := "", ""
	if m, ok := e.placeAt(e.pointer); ok && e.pointerIn {
		cursor = placeTitle(m, e.system)
	}
	if m, ok := e.matAt(e.pointer); ok && e.pointerIn {
		if mm, ok := s.d.s.PlusMinusAt(mat.Point(m)); ok {
			here = fmt.Sprintf(tr.here, plusMinus(mm, e.system))
		}
	}
	put(s.cursor, &s.lastCursor, cursor)
	put(s.here, &s.lastHere, here)
	put(s.zoom, &s.lastZoom, s.zoomText())
}

func (s *statusLine) zoomText() string {
	e := s.d.editor
	switch {
	case s.d.s.Photo() == nil || !e.fitted[e.plane()]:
		return ""
	case e.space == session.OnMat:
		return fmt.Sprintf(tr.pxPer.in(e.system), e.view().Scale*e.system.UnitMM())
	}
	pct := e.view().Scale * 100
	return fmt.Sprintf(tr.zoom, fmt.Sprintf("%.0f %%", math.Round(pct)))
}

// put sets a label only when its text changes: a label's refresh costs a
// layout.
func put(l *widget.Label, last *string, text string) {
	if *last != text {
		*last = text
		l.SetText(text)
	}
}
