package desk

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// Repairs by hand: what the tracing missed, took for a piece, or drew wrong.

// looker looks at the photograph again; what it learned of the mat is kept
// until the photograph is squared up anew. Work goroutines share it.
type looker struct {
	mu    sync.Mutex
	again *trace.Again
}

// use hands over what was learned of a photograph, learning it first when
// needed. One goroutine at a time gets it.
func (l *looker) use(ctx context.Context, q *rectify.Squared, do func(a *trace.Again) error) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.again == nil || l.again.Of() != q {
		a, err := trace.LookAgain(ctx, q)
		if err != nil {
			return err
		}
		l.again = a
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return do(l.again)
}

// lookAgain runs work on the photograph off the window's goroutine.
func (d *desk) lookAgain(name string, do func(a *trace.Again) (func(), error), failed func(error)) {
	q := d.s.Document().Squared
	if q == nil {
		d.strip.say(opening(session.ErrNotSquaredUp) + ".")
		return
	}
	d.runner.start(name, func(ctx context.Context, told func(float64)) (apply func(), err error) {
		told(0.1)
		err = d.looker.use(ctx, q, func(a *trace.Again) error {
			told(0.6)
			apply, err = do(a)
			return err
		})
		return apply, err
	}, failed)
}

// leaveOut takes the selected pieces out of the pattern.
func (d *desk) leaveOut() {
	ids := d.s.SelectedPieces()
	if err := d.s.LeaveOut(); err != nil {
		d.strip.say(d.inWords(err) + ".")
		return
	}
	d.strip.tell(fmt.Sprintf(tr.repair.leftOut, strings.Join(ids, ", ")))
	d.strip.passes()
	d.changed()
}

// deletePressed is Delete without a tool: a piece or a chosen line inside it
// goes at once, a chosen edge only asks for its piece.
func (d *desk) deletePressed() {
	e, onEdge := d.s.SelectedEdge()
	p, ok := d.s.SelectedPiece()
	_, _, onLine := d.s.SelectedLine()
	switch {
	case !ok:
		d.strip.say(opening(session.ErrNoPiece) + ".")
	case onLine && len(d.s.SelectedPieces()) == 1:
		d.removeLine()
	case onEdge && len(d.s.SelectedPieces()) == 1:
		d.strip.say(fmt.Sprintf(tr.repair.edgeNotPiece, e.ID), way{fmt.Sprintf(tr.repair.leaveOutPiece, p.ID), d.leaveOut})
	default:
		d.leaveOut()
	}
}

// toggleAdding begins to add missed pieces by clicks, or stops.
func (d *desk) toggleAdding() { d.toggleTool(toolAdd, tr.repair.addHow) }

// toggleTool takes a tool up, saying how it is used, or puts it down.
func (d *desk) toggleTool(t tool, how string) {
	if d.editor.tool == t {
		d.putDown()
		return
	}
	if d.s.Document().Squared == nil {
		d.strip.say(opening(session.ErrNotSquaredUp) + ".")
		return
	}
	d.pairing, d.siding = "", ""
	d.editor.setTool(t)
	if p, ok := d.panels[session.StageTrace].(*tracePanel); ok {
		p.repair.fold.open(true)
	}
	if d.stage < session.StageTrace || d.stage > session.StageMarkUp {
		d.goTo(session.StageTrace)
	}
	d.strip.tell(how)
	d.changed()
}

// putDown goes back to selecting.
func (d *desk) putDown() {
	d.editor.setTool(toolSelect)
	d.s.ClearNodes()
	d.strip.hide()
	d.changed()
}

// addAt adds the piece that lies at a place of the mat.
func (d *desk) addAt(at mat.Point) {
	d.addFrom(at, (*trace.Again).PieceAt, func(err error) {
		if errors.Is(err, find.ErrRunsOff) {
			d.strip.say(d.inWords(err)+".", way{tr.repair.takePart, func() { d.addFrom(at, (*trace.Again).PartAt, d.lookFailed) }})
			return
		}
		d.lookFailed(err)
	})
}

// addFrom adds what a look at a place of the mat finds.
func (d *desk) addFrom(at mat.Point, look func(*trace.Again, mat.Point, trace.Options) (pattern.Piece, []curve.Sample, error), failed func(error)) {
	at = d.s.PointOntoMat(at)
	d.lookAgain(tr.repair.looking, func(a *trace.Again) (func(), error) {
		p, samples, err := look(a, at, trace.Options{ThicknessMM: d.usualThicknessMM()})
		if err != nil {
			return nil, err
		}
		return func() {
			p, samples := d.s.PieceFromMat(p), d.s.SamplesFromMat(samples)
			if id := d.s.PieceCovering(p.Outline); id != "" {
				d.s.SelectPiece(id)
				d.strip.tell(fmt.Sprintf(tr.repair.already, id))
				d.changed()
				return
			}
			id, err := d.s.AddPiece(p, samples)
			if err != nil {
				d.strip.say(d.inWords(err) + ".")
				return
			}
			d.strip.tell(fmt.Sprintf(tr.repair.added, id))
			d.strip.passes()
			d.changed()
		}, nil
	}, failed)
}

// lookFailed says why nothing came of a look at the photograph.
func (d *desk) lookFailed(err error) {
	text := d.inWords(err) + "."
	if errors.Is(err, find.ErrBareMat) {
		text = tr.repair.bare
	}
	d.strip.say(text)
}

// usualThicknessMM is the thickness that all pieces have; 0 when they differ.
func (d *desk) usualThicknessMM() float64 {
	all := d.s.Document().Pattern.Pieces
	if len(all) == 0 {
		return 0
	}
	for _, p := range all {
		if p.ThicknessMM != all[0].ThicknessMM {
			return 0
		}
	}
	return all[0].ThicknessMM
}

// toggleReshape begins to reshape the selected piece, or stops.
func (d *desk) toggleReshape() {
	if _, ok := d.s.SelectedPiece(); !ok && d.editor.tool != toolReshape {
		d.strip.say(opening(session.ErrNoPiece) + ".")
		return
	}
	d.toggleTool(toolReshape, tr.repair.reshapeHow)
	if d.editor.tool == toolReshape {
		d.measurePiece()
	}
}

// measurePiece measures the selected piece's outline in the photograph, unless
// that has been done or something else runs.
func (d *desk) measurePiece() {
	p, ok := d.s.SelectedPiece()
	if _, done := d.s.MeasuredOutline(p.ID); !ok || done || !d.s.Shown(p.ID) || d.runner.busy() || d.s.Document().Squared == nil {
		return
	}
	outline := d.s.OntoMat(p.Outline)
	d.lookAgain(tr.repair.measuring, func(a *trace.Again) (func(), error) {
		samples, err := a.Measure(outline)
		if err != nil {
			// Without a measure there is no deviation to tell; all else works.
			return func() {}, nil
		}
		return func() { d.s.SetMeasured(p.ID, d.s.SamplesFromMat(samples)); d.changed() }, nil
	}, d.lookFailed)
}

// addNode adds a node where the pointer is near the outline, an opening or a
// line inside, else in the middle of the stretch after the selected node.
func (d *desk) addNode() {
	e := d.editor
	if at, ok := e.matAt(e.pointer); ok && e.pointerIn {
		if off, known := d.s.PathOffMM(mat.Point(at)); known && off <= e.reach()/e.worldPerMM() {
			d.report(d.s.AddNode(mat.Point(at)))
			return
		}
	}
	d.report(d.s.AddNodeBetween())
}

// addMark adds a registration mark where the outline is nearest to the pointer,
// else at the middle of the selected edge.
func (d *desk) addMark() {
	e := d.editor
	if at, ok := e.matAt(e.pointer); ok && e.pointerIn {
		d.report(d.s.AddMark(mat.Point(at)))
		return
	}
	p, _ := d.s.SelectedPiece()
	x, ok := d.s.SelectedEdge()
	if k := slices.IndexFunc(p.Edges, func(y pattern.Edge) bool { return y.ID == x.ID }); ok && k >= 0 {
		if m, err := p.MarkAt(k, p.EdgeLengthMM(k)/2, 1); err == nil {
			d.report(d.s.AddMark(m.At))
			return
		}
	}
	d.strip.say(tr.pickEdge)
}

func (d *desk) removeNodes() {
	if _, ok := d.s.SelectedMark(); ok {
		d.report(d.s.RemoveMark())
		return
	}
	if _, _, ok := d.s.SelectedLineNode(); ok {
		d.removeLine()
		return
	}
	err := d.s.RemoveNodes()
	var meet *pattern.EdgeNodeError
	if errors.As(err, &meet) {
		d.strip.say(d.inWords(err)+".", way{fmt.Sprintf(tr.repair.joinThese, meet.Before, meet.After), func() {
			d.report(d.s.JoinEdges(meet.Before, meet.After))
		}})
		return
	}
	d.report(err)
}

func (d *desk) toggleNodes() { d.report(d.s.ToggleNodes()) }

// straighten makes the selected stretch straight.
func (d *desk) straighten() {
	x, err := d.s.SelectedStretch()
	if err == nil {
		err = d.s.Straighten(x)
	}
	d.report(err)
}

// retrace traces the selected stretch anew along the photograph's edge.
func (d *desk) retrace() {
	x, err := d.s.SelectedStretch()
	if err != nil {
		d.report(err)
		return
	}
	p, _ := d.s.SelectedPiece()
	loop, err := p.Loop(x.Loop)
	switch {
	case err != nil || x.From == x.To:
		d.report(session.ErrTwoNodes)
		return
	case !d.s.Shown(p.ID):
		d.report(session.ErrOtherPhoto)
		return
	}
	loop = d.s.OntoMat(loop)
	d.lookAgain(tr.repair.retracing, func(a *trace.Again) (func(), error) {
		course, _, err := a.Between(loop, x.From, x.To, session.UsualToleranceMM)
		if err != nil {
			return nil, err
		}
		return func() {
			if err := d.s.Redraw(x, d.s.FromMat(course)); err != nil {
				d.report(err)
				return
			}
			d.s.ForgetMeasured(p.ID)
			d.measurePiece()
			d.strip.tell(fmt.Sprintf(tr.repair.retraced, d.length(course.Length()), p.ID))
			d.strip.passes()
			d.changed()
		}, nil
	}, d.lookFailed)
}

// Steps of the smoothness keys and ends of the slider, mm.
var tolerancesMM = [...]float64{0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.6, 0.8, 1.2, 2}

// smoother takes the selected piece's smoothness a step on, or back.
func (d *desk) smoother(by int) {
	p, ok := d.s.SelectedPiece()
	if !ok {
		d.strip.say(opening(session.ErrNoPiece) + ".")
		return
	}
	d.setSmoothness(max(0, min(d.smoothStep(p.ID)+by, len(tolerancesMM)-1)))
}

// smoothStep is the step of a piece's present smoothness.
func (d *desk) smoothStep(pieceID string) int {
	m, _ := d.s.MeasuredOutline(pieceID)
	if m.ToleranceMM == 0 {
		m.ToleranceMM = session.UsualToleranceMM
	}
	best := 0
	for i, v := range tolerancesMM {
		if math.Abs(v-m.ToleranceMM) < math.Abs(tolerancesMM[best]-m.ToleranceMM) {
			best = i
		}
	}
	return best
}

// setSmoothness lets the selected piece's outline follow what was measured
// within the tolerance of a step.
func (d *desk) setSmoothness(step int) {
	p, ok := d.s.SelectedPiece()
	if !ok || step < 0 || step >= len(tolerancesMM) {
		return
	}
	toleranceMM := tolerancesMM[step]
	kept, known := d.s.MeasuredOutline(p.ID)
	if !known && !d.s.Shown(p.ID) {
		d.report(session.ErrOtherPhoto)
		return
	}
	outline, measured := d.s.OntoMat(p.Outline), d.s.SamplesOntoMat(kept.Samples)
	d.lookAgain(tr.repair.following, func(a *trace.Again) (func(), error) {
		samples := measured
		if !known {
			var err error
			if samples, err = a.Measure(outline); err != nil {
				return nil, err
			}
		}
		course, _, err := a.Fit(samples, toleranceMM)
		if err != nil {
			return nil, err
		}
		return func() {
			if !known {
				d.s.SetMeasured(p.ID, d.s.SamplesFromMat(samples))
			}
			d.report(d.s.SetSmoothness(p, d.s.FromMat(course), toleranceMM))
		}, nil
	}, d.lookFailed)
}
