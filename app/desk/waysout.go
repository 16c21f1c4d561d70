package desk

import (
	"errors"
	"fmt"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
)

// waysOut are what the maker can do about a failure of squaring up, the
// likeliest first.
func (d *desk) waysOut(err error) []way {
	p := d.squarePanel()
	byHand, bySheet := way{tr.byHand, d.placeCorners}, way{tr.square.useSheet, d.placeSheet}
	var height *rectify.HeightError
	var span *rectify.SpanError
	var count *rectify.CountError
	var sheet *rectify.RectangleError
	var notFound *grid.NotFoundError
	var bent *rectify.BentError
	var again *retraceError
	switch {
	case errors.As(err, &bent):
		// No other way of reading makes the mat flat.
		return []way{{tr.open, d.chooseFile}}
	case errors.As(err, &height):
		return []way{{tr.square.giveCamera, func() { p.raised.ask(height) }}}
	case errors.As(err, &span), errors.Is(err, rectify.ErrScale):
		return []way{{tr.square.fixSize, func() { p.size.fold.open(true) }}}
	case errors.Is(err, session.ErrSheet), errors.Is(err, session.ErrSheetShape):
		return nil
	case errors.As(err, &sheet):
		return d.sheetWays(sheet)
	case errors.As(err, &again):
		if d.s.Stale() {
			return []way{{tr.square.takeBack, d.doUndo}}
		}
		return nil
	case errors.As(err, &count) && count.Corner >= 0:
		return []way{d.showMarker(toolCorners, count.Corner), bySheet}
	case errors.As(err, &notFound) && notFound.Spans > 0:
		return []way{byHand, bySheet, {tr.square.showWhere, func() { d.goPhoto(notFound.At) }}}
	}
	return []way{byHand, bySheet}
}

// sheetWays are what the maker can do about a sheet that does not fit.
func (d *desk) sheetWays(err *rectify.RectangleError) []way {
	switch {
	case err.Swap:
		return []way{{tr.square.swap, func() { d.s.SwapSheet(); d.squareUpFromSheet() }}}
	case err.Corner >= 0:
		return []way{d.showMarker(toolSheet, err.Corner)}
	}
	return nil
}

// showMarker leads to a corner that stands out.
func (d *desk) showMarker(t tool, i int) way {
	return way{fmt.Sprintf(tr.square.showCorner, i+1), func() {
		if d.editor.tool != t {
			d.startPlacing(t)
		}
		d.editor.corner = i
		if at, ok := d.editor.marker(i); ok {
			d.goPhoto(at)
			d.editor.nudged = true
		}
		d.focusEditor()
	}}
}

// goPhoto brings a place of the photograph to the middle.
func (d *desk) goPhoto(at photo.Point) {
	d.editor.setSpace(session.InPhoto)
	d.editor.showPhoto(at)
	d.changed()
}
