package desk

import (
	"context"
	"fmt"
	"math"
	"strings"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/trace"
)

// squarePanel returns the panel of squaring up.
func (d *desk) squarePanel() *squarePanel {
	p, _ := d.panels[session.StageSquareUp].(*squarePanel)
	return p
}

// setPitch chooses the distance between the mat's lines; after a sheet it means
// that the lines are to be used.
func (d *desk) setPitch(mm float64) {
	changed := d.s.SetPitch(mm)
	if doc := d.s.Document(); doc.Squared != nil && doc.SolvedBy == session.BySheet {
		d.changed()
		d.squareUp()
		return
	}
	d.settingChanged(changed)
}

// settingChanged shows a changed setting, and squares up again where that is
// what it asks for.
func (d *desk) settingChanged(changed bool) {
	d.changed()
	if changed && d.s.Stale() {
		d.squareUpBy(d.s.Document().SolvedBy)
	}
}

// squareUp finds the lines by itself.
func (d *desk) squareUp() { d.squareUpBy(session.ByLines) }

// squareUpAgain squares up in the way it was done before.
func (d *desk) squareUpAgain() {
	by := session.ByLines
	if doc := d.s.Document(); doc.Squared != nil {
		by = doc.SolvedBy
	}
	d.squareUpBy(by)
}

// squareUpByHand solves from the placed corners.
func (d *desk) squareUpByHand() { d.squareUpBy(session.ByCrossings) }

// squareUpFromSheet solves from a sheet of known size.
func (d *desk) squareUpFromSheet() { d.squareUpBy(session.BySheet) }

// canSquareUp tells what is missing, and where to give it.
func (d *desk) canSquareUp(by session.Means) bool {
	known := len(d.s.UsableCorners())
	switch {
	case d.s.Photo() == nil:
		d.strip.say(tr.noPhotoYet, way{tr.open, d.chooseFile})
	case by == session.ByCrossings && known < session.LeastCorners:
		d.strip.say(fmt.Sprintf(tr.needCorners, known))
	case by != session.BySheet && d.s.Document().PitchMM <= 0:
		d.goTo(session.StageSquareUp)
		d.strip.say(tr.needPitch)
	default:
		return true
	}
	return false
}

// squareUpBy solves in one way. While there are pieces, the new solution is
// shown only together with them: pieces that the maker has worked on come along
// as they are, others are traced anew, and those that stand higher or lower now
// are traced anew with what was said of them carried over.
func (d *desk) squareUpBy(by session.Means) {
	if !d.canSquareUp(by) {
		return
	}
	o, err := d.s.Options(by)
	if err != nil {
		d.failSquare(err)
		return
	}
	p, doc, with := d.s.Photo(), d.s.Document(), o
	along := d.s.ComesAlong()
	retrace := d.s.HasOwn() && !along
	d.strip.hide()
	d.runner.start(tr.squaring, func(ctx context.Context, told func(float64)) (func(), error) {
		share := 1.0
		if retrace {
			share = 0.5
		}
		o.Progress = func(_ string, part float64) { told(share * part) }
		q, err := d.o.Job.SquareUp(ctx, p, o)
		if err != nil {
			return nil, err
		}
		x := session.Solution{Squared: q, By: by, With: doc.Settings, Options: with, Along: along}
		if !retrace {
			return func() { d.take(x) }, nil
		}
		x.Traced, err = d.o.Job.Trace(ctx, q, trace.Options{Progress: func(part float64) { told(0.5 + 0.5*part) }})
		if err != nil {
			return nil, &retraceError{err}
		}
		return func() { d.take(x) }, nil
	}, d.failSquare)
}

// retraceError tells that a new solution was found, but no pieces with it.
type retraceError struct{ err error }

func (e *retraceError) Error() string { return fmt.Sprintf(tr.square.traceKept, plain(e.err)) }

func (e *retraceError) Unwrap() error { return e.err }

// failSquare says why squaring up failed, with the ways out that fit.
func (d *desk) failSquare(err error) {
	d.goTo(session.StageSquareUp)
	d.strip.say(strings.TrimRight(d.inWords(err), ".")+".", d.waysOut(err)...)
}

// take takes a solution in. A first one is traced; a later one brings its
// pieces along.
func (d *desk) take(x session.Solution) {
	d.noteSolved(d.s.Photo(), x)
	kept := d.s.Take(x)
	d.editor.setTool(toolSelect)
	d.listMats()
	if x.Traced == nil && !kept.Along {
		d.goTo(session.StageSquareUp)
		d.trace()
	} else {
		d.changed()
		d.tellCarried(kept)
	}
	d.noteFit()
	d.warnOfPoorFit(x.Squared)
	d.keepReport()
}

// tellCarried says what became of the maker's marks.
func (d *desk) tellCarried(c session.Carried) {
	switch {
	case c.Lost() > 0:
		d.strip.say(fmt.Sprintf(tr.square.marksLost, lostText(c)), way{tr.square.takeBack, d.doUndo})
	case c.Repaired:
		d.strip.say(tr.repair.replaced, way{tr.square.takeBack, d.doUndo})
	case c.Along:
		d.strip.tell(tr.square.cameAlong)
	case c.Kept > 0:
		d.strip.tell(tr.square.marksKept)
	}
}

func lostText(c session.Carried) string {
	var parts []string
	if len(c.LostCuts) > 0 {
		parts = append(parts, fmt.Sprintf(tr.square.cutsLost, strings.Join(c.LostCuts, ", ")))
	}
	if len(c.LostPieces) > 0 {
		parts = append(parts, fmt.Sprintf(tr.square.piecesLost, strings.Join(c.LostPieces, ", ")))
	}
	if len(c.LostSeams) > 0 {
		parts = append(parts, fmt.Sprintf(tr.square.seamsLost, strings.Join(c.LostSeams, ", ")))
	}
	return strings.Join(parts, tr.square.and)
}

// A fit worse than this, in px of a photograph 4000 px wide, has counted or
// placed something wrongly: good ones lie at a quarter of it.
const poorFitPx = 1.0

// warnOfPoorFit tells when the lines do not lie where the solution puts them.
func (d *desk) warnOfPoorFit(q *rectify.Squared) {
	p := d.s.Photo()
	if p == nil || q.Fit == nil || q.Fit.RMSPx <= poorFitPx*math.Max(1, float64(max(p.Width, p.Height))/4000) {
		return
	}
	d.strip.say(fmt.Sprintf(tr.poorFit, q.Fit.RMSPx), way{tr.byHand, d.placeCorners})
}

func (d *desk) trace() {
	q := d.s.Document().Squared
	if q == nil {
		d.squareUp()
		return
	}
	d.runner.start(tr.tracing, func(ctx context.Context, told func(float64)) (func(), error) {
		t, err := d.o.Job.Trace(ctx, q, trace.Options{Progress: told})
		if err != nil {
			return nil, err
		}
		return func() { d.traced(t) }, nil
	}, func(err error) { d.fail("trace", way{tr.traceAgain, d.trace}, d.inWords(err)) })
}

func (d *desk) traced(t *trace.Traced) {
	kept := d.s.SetTraced(t)
	d.runner.journal.note(tr.journal.pieces, len(t.Pattern.Pieces))
	if d.editor.placing() {
		d.changed()
	} else {
		d.goTo(session.StageMarkUp)
	}
	d.tellCarried(kept)
	d.keepReport()
	d.remember()
}

// toggleCorners starts or ends placing corners by hand.
func (d *desk) toggleCorners() {
	if d.editor.tool == toolCorners {
		d.editor.setTool(toolSelect)
		d.changed()
		return
	}
	d.placeCorners()
}

func (d *desk) placeCorners() { d.startPlacing(toolCorners) }

// toggleSheet starts or ends placing the corners of a sheet of known size.
func (d *desk) toggleSheet() {
	if d.editor.tool == toolSheet {
		d.editor.setTool(toolSelect)
		d.changed()
		return
	}
	d.placeSheet()
}

func (d *desk) placeSheet() { d.startPlacing(toolSheet) }

func (d *desk) startPlacing(t tool) {
	if d.s.Photo() == nil {
		d.strip.say(tr.noPhotoYet, way{tr.open, d.chooseFile})
		return
	}
	d.strip.hide()
	d.editor.setTool(t)
	d.goTo(session.StageSquareUp)
	d.focusEditor()
}

// findSheet proposes the corners of the sheet.
func (d *desk) findSheet() {
	f, ok := d.o.Job.(SheetFinder)
	p := d.s.Photo()
	if !ok || p == nil {
		return
	}
	d.runner.start(tr.square.findingSheet, func(ctx context.Context, _ func(float64)) (func(), error) {
		corners, found := f.FindSheet(ctx, p)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return func() {
			if !found {
				d.strip.say(tr.square.noSheetFound)
				return
			}
			d.s.ProposeSheet(corners)
			d.changed()
			d.focusEditor()
		}, nil
	}, func(err error) { d.strip.say(d.inWords(err) + ".") })
}

func (d *desk) showLines(on bool) {
	d.editor.showLines = on
	d.changed()
}

func (d *desk) showNeedles(on bool) {
	d.editor.needles = on
	d.changed()
}

func (d *desk) showShade(on bool) {
	d.editor.shade = on
	d.changed()
}

// exaggerate draws misses so many times longer than they are.
func (d *desk) exaggerate(times float64) {
	d.editor.needles, d.editor.exaggerated = true, times
	d.changed()
}

// exaggerateMore goes through the exaggerations in turn.
func (d *desk) exaggerateMore() {
	next := exaggerations[0]
	for i, x := range exaggerations {
		if x == d.editor.exaggerated && i+1 < len(exaggerations) {
			next = exaggerations[i+1]
		}
	}
	d.exaggerate(next)
}

func (d *desk) toggleTape() {
	if d.editor.tool == toolTape {
		d.editor.setTool(toolSelect)
	} else if _, ok := d.s.View(); ok {
		d.editor.setTool(toolTape)
		d.strip.tell(tr.tapeHint)
		d.focusEditor()
	}
	d.changed()
}

// measured says what the tape reads.
func (d *desk) measured() {
	c, ok := d.editor.tapeCheck()
	if !ok {
		return
	}
	m, err := d.s.Measured(c)
	if err != nil {
		d.strip.say(d.inWords(err) + ".")
		return
	}
	reads := tapeTitle(d.editor.tape[0], d.editor.tape[1], d.editor.system)
	text := fmt.Sprintf(tr.square.tapeRead, reads, d.plusMinus(m.PlusMinusMM))
	if d.s.Document().Squared.Pose != nil {
		text = fmt.Sprintf(tr.square.tapeBoth, reads, d.length(m.MeasuredMM), d.plusMinus(m.PlusMinusMM))
	}
	d.strip.tell(text, way{tr.square.knowIt, d.checkLength})
}

// checkLength leads to typing the known length of what the tape lies over.
func (d *desk) checkLength() {
	if _, ok := d.s.View(); !ok {
		return
	}
	d.goTo(session.StageSquareUp)
	g := d.squarePanel().check
	g.fold.open(true)
	if _, ok := d.editor.tapeCheck(); !ok {
		if d.editor.tool != toolTape {
			d.toggleTape()
		}
		return
	}
	d.changed()
	d.win.Canvas().Focus(g.known)
}

// advice is what costs accuracy, worked out once for a solution.
func (d *desk) advice(q *rectify.Squared) []rectify.Advice {
	if d.adviceOf != q {
		d.adviceOf, d.adviceKept = q, q.Advice()
	}
	return d.adviceKept
}
