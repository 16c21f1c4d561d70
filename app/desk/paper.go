package desk

import (
	"context"
	"reflect"
	"time"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

// PaperLayer is a Job that can tell where packed pieces lie on their sheets.
type PaperLayer interface {
	// OnPaper returns the sheets side by side and the pieces upon them. It may
	// take long; any goroutine may call it. It ends with the context's error when
	// that is done.
	OnPaper(ctx context.Context, x session.Printout) (Paper, error)
}

// Paper is a packed pattern as it comes out of the printer: sheets side by side,
// and on them the pieces, all in one frame of mm of paper.
type Paper struct {
	Sheets []PaperSheet
	// Pattern is the pattern with every piece moved to where it is printed.
	Pattern pattern.Pattern
	// Labels are where the pieces' labels are printed, by piece.
	Labels map[string]session.PaperLabel
}

// PaperSheet is a sheet and the paper around what it shows: all of it, up to
// where it is trimmed or another is laid over it.
type PaperSheet struct {
	SheetPlace
	PaperMin, PaperMax mat.Point
}

// paper is the packed pattern on the canvas, and what it was laid out for.
type paper struct {
	// wanted is set while the rung and the layout ask for it.
	wanted  bool
	sheets  []PaperSheet
	shapes  *session.Shapes
	bounds  view.Rect
	version int
	of      pattern.Pattern
	print   session.Print
	asking  bool
	since   time.Time
}

// placePaper lays the pieces out on paper anew when that is looked at and
// something has changed that shows there.
func (d *desk) placePaper() {
	l, ok := d.o.Job.(PaperLayer)
	x := &d.editor.paper
	version, print, doc := d.s.Version(), d.print().Laid(), d.s.Document().Pattern
	x.wanted = ok && d.stage == session.StagePrint && print.Packed
	if x.wanted && d.editor.tool == toolSheets {
		d.editor.setTool(toolSelect) // packed sheets are not moved
	}
	if len(doc.Pieces) == 0 {
		x.lay(Paper{}, nil)
		x.of = doc
	}
	if x.version != version && x.print == print && !x.asking && reflect.DeepEqual(x.of, doc) {
		x.version = version // what was done does not show on paper
	}
	if x.wanted && !x.asking && len(doc.Pieces) > 0 && (x.version != version || x.print != print) {
		d.layOut(l, doc, version, print)
	}
	d.editor.settlePlane()
}

// layOut works a layout out without holding the window up. The last one stays in
// sight meanwhile. When something changes that shows on paper, it is begun anew.
func (d *desk) layOut(l PaperLayer, doc pattern.Pattern, version int, print session.Print) {
	x := &d.editor.paper
	x.asking, x.since = true, time.Now()
	out := d.s.Printout()
	ctx := d.layoutContext()
	time.AfterFunc(showWorkAfter, func() { d.runner.post(d.editor.redraw) })
	go func() {
		p, err := l.OnPaper(ctx, out)
		var shapes *session.Shapes
		if err == nil { // else the number of pages says why
			shapes = session.ShapesOnPaper(p.Pattern, p.Labels)
		}
		d.runner.post(func() {
			if x.asking = false; ctx.Err() == nil {
				x.version, x.of, x.print = version, doc, print
				d.editor.layPaper(p, shapes)
			}
			d.changed()
		})
	}()
}

// laying is what is being laid out, be it pages or packed sheets.
type laying struct {
	of    pattern.Pattern
	print session.Print
	ctx   context.Context
	stop  context.CancelFunc
}

// layoutContext is the context of laying out the present pattern, which is done
// as soon as there is another.
func (d *desk) layoutContext() context.Context {
	x := &d.laying
	print, doc := d.print().Laid(), d.s.Document().Pattern
	if x.ctx != nil && x.ctx.Err() == nil && x.print == print && reflect.DeepEqual(x.of, doc) {
		return x.ctx
	}
	d.stopLaying()
	x.of, x.print = doc, print
	x.ctx, x.stop = context.WithCancel(context.Background())
	return x.ctx
}

// stopLaying ends what is being laid out; the next change begins it anew.
func (d *desk) stopLaying() {
	if d.laying.stop != nil {
		d.laying.stop()
	}
}

// lay takes up a layout; without shapes there is none.
func (x *paper) lay(p Paper, shapes *session.Shapes) {
	x.sheets, x.shapes, x.bounds = p.Sheets, shapes, view.Rect{}
	if shapes == nil {
		x.sheets = nil
	}
	for _, s := range x.sheets {
		x.bounds = x.bounds.Union(view.Rect{Min: view.Point(s.PaperMin), Max: view.Point(s.PaperMax)})
	}
}

// layPaper shows a layout: all of it when all of the last one was in sight. What
// was measured on the last one means nothing any more.
func (e *editor) layPaper(p Paper, shapes *session.Shapes) {
	if e.whole[onPaper] {
		e.fitted[onPaper] = false
	}
	if e.onPaper() {
		e.tape, e.corner, e.hover = nil, -1, ""
	}
	e.paper.lay(p, shapes)
}

// fitting is what fitting the view shows: the world, with the sheets that lie
// over it.
func (e *editor) fitting() view.Rect {
	r := e.world()
	if e.showSheets && e.space == session.OnMat && !e.onPaper() && !r.Empty() {
		for _, s := range e.sheets.all {
			r = r.Union(around(s, e.sheetsMoved()))
		}
	}
	return r
}

// The planes that have a view of their own: those of the spaces, and paper.
const (
	onPaper = int(session.OnMat) + 1
	planes  = onPaper + 1
)

// plane is the one looked at.
func (e *editor) plane() int {
	if e.onPaper() {
		return onPaper
	}
	return int(e.space)
}

// onPaper reports whether the flat view shows packed sheets. Tools that work on
// the mat see the pattern as it lies there.
func (e *editor) onPaper() bool {
	return e.paper.wanted && e.paper.shapes != nil && e.space == session.OnMat &&
		(e.tool == toolSelect || e.tool == toolTape)
}

// shapes are those that are looked at.
func (e *editor) shapes() *session.Shapes {
	if e.onPaper() {
		return e.paper.shapes
	}
	return e.s.Shapes()
}

// settlePlane forgets what was pointed at and measured when paper takes the
// mat's place, or the mat the paper's: its millimetres are others.
func (e *editor) settlePlane() {
	if now := e.onPaper(); now != e.wasOnPaper {
		e.wasOnPaper, e.hover = now, ""
		e.tape, e.corner, e.nudged = nil, -1, false
		if !e.fitted[e.plane()] {
			e.fit()
		}
	}
}

// flatMargin keeps what is fitted into the flat view clear of its rulers, in
// device px.
func (e *editor) flatMargin() float64 { return (leftRulerPx + 12) * e.px }

// matAt returns the point of the mat under a device position; none under one of
// packed sheets.
func (e *editor) matAt(at view.Point) (view.Point, bool) {
	if e.onPaper() || !e.fitted[e.space] {
		return view.Point{}, false
	}
	w := e.view().ToWorld(at)
	if e.space == session.OnMat {
		return w, true
	}
	v, ok := e.s.View()
	if !ok {
		return w, false
	}
	m, ok := v.ToMat(photo.Point(w))
	return view.Point(m), ok
}

// placeAt returns the millimetres under a device position: of the paper where
// that is looked at, else of the mat.
func (e *editor) placeAt(at view.Point) (view.Point, bool) {
	if e.onPaper() {
		return e.view().ToWorld(at), e.fitted[onPaper]
	}
	return e.matAt(at)
}

// sheetOf returns where the sheet of a page lies in the flat view; false for a
// page that is none, like the cover, and while the sheets are not known.
func (d *desk) sheetOf(page string) (view.Rect, bool) {
	e := d.editor
	if e.paper.wanted && e.paper.shapes != nil {
		for _, s := range e.paper.sheets {
			if s.Page == page {
				return around(s.SheetPlace, view.Point{}).
					With(view.Point(s.PaperMin)).With(view.Point(s.PaperMax)), true
			}
		}
	}
	if e.showSheets {
		for _, s := range e.sheets.all {
			if s.Page == page {
				return around(s, e.sheetsMoved()), true
			}
		}
	}
	return view.Rect{}, false
}

func around(s SheetPlace, by view.Point) view.Rect {
	return view.Rect{Min: moved(s.Min, by), Max: moved(s.Max, by)}
}

// showSheet brings the sheet of a page into view, as large as it can be.
func (d *desk) showSheet(page string) {
	r, ok := d.sheetOf(page)
	if !ok {
		return
	}
	e := d.editor
	if e.tool != toolSelect && e.tool != toolTape && e.tool != toolSheets {
		d.putDown()
	}
	e.setSpace(session.OnMat)
	if e.space == session.OnMat {
		e.setView(view.Fitted(r, float64(e.w), float64(e.h), e.flatMargin()))
	}
	d.changed()
}
