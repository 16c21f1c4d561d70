package desk

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

func TestAFailedRetraceKeepsTheWork(t *testing.T) {
	b, _ := onStage(t)
	_ = b.s.SetCut("A2", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30})
	before := b.s.Document()
	b.job.FailTrace = true
	b.settingChanged(b.s.SetRaised(rectify.Raised{ThicknessMM: 8, CameraHeightMM: 600}))
	b.settle()
	d := b.s.Document()
	if d.Squared != before.Squared || d.Pattern.Pieces[0].Edges[1].Cut.AngleDeg != 30 || !b.s.Stale() {
		t.Fatal("the work is gone")
	}
	if !strings.HasPrefix(b.strip.text.Text, "The pieces could not be traced anew") || len(b.ways()) != 1 {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	test.Tap(b.ways()[0])
	if b.s.Stale() || b.s.Document().Raised.ThicknessMM != 0 {
		t.Error("the way back does not lead back")
	}
}

// The maker can go from a sheet back to the mat's lines.
func TestFromASheetBackToTheLines(t *testing.T) {
	b, p := onStage(t)
	m := b.job.Model()
	b.s.ChooseSheet("A4", 297, 210)
	b.s.ProposeSheet([4]photo.Point{
		m.ToPhoto(mat.Point{X: 2, Y: 5}), m.ToPhoto(mat.Point{X: 299, Y: 5}),
		m.ToPhoto(mat.Point{X: 299, Y: 215}), m.ToPhoto(mat.Point{X: 2, Y: 215}),
	})
	b.squareUpFromSheet()
	b.settle()
	if b.s.Document().SolvedBy != session.BySheet || p.hand.note.Text != tr.square.bySheet || !p.lines.Visible() {
		t.Fatal("not squared up from the sheet, or it is not said")
	}
	b.typed("p")
	b.settle()
	if b.s.Document().SolvedBy != session.BySheet {
		t.Error("P does not square up in the same way again")
	}
	test.Tap(p.lines)
	b.settle()
	if b.s.Document().SolvedBy != session.ByLines || p.lines.Visible() {
		t.Error("the lines are not found after all")
	}
	b.squareUpFromSheet()
	b.settle()
	test.Tap(p.pitch.buttons[0])
	b.settle()
	if b.s.Document().SolvedBy != session.ByLines {
		t.Error("choosing the lines' distance does not lead back to them")
	}
}

func TestTracingAgainKeepsMarks(t *testing.T) {
	b := ready(t)
	_ = b.s.SetCut("A2", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30})
	b.typed("t")
	b.settle()
	if b.s.LeaningCuts() != 1 {
		t.Error("tracing again dropped a cut")
	}
	b.typed("p")
	b.settle()
	if b.s.LeaningCuts() != 1 {
		t.Error("squaring up again dropped a cut")
	}
}

func TestAdviceShowsItsPlace(t *testing.T) {
	b, p := onStage(t)
	b.adviceOf, b.adviceKept = b.s.Document().Squared, []rectify.Advice{
		{Text: "Something. Do this.", At: mat.Point{X: 250, Y: 200}, MM: 0.4},
		{Text: "Another. Do that.", At: mat.Point{X: 20, Y: 20}, MM: 0.2},
	}
	b.changed()
	if len(p.advice.first.Objects) != 1 || len(p.advice.rest.body.Objects) != 1 || p.advice.rest.head.Text != tr.square.oneMore {
		t.Fatalf("%d and %d pieces of advice", len(p.advice.first.Objects), len(p.advice.rest.body.Objects))
	}
	b.goPlace(b.adviceKept[0].At)
	if at := b.seen(250, 200); math.Abs(float64(at.X)-float64(b.editor.w)/2) > 1 || math.Abs(float64(at.Y)-float64(b.editor.h)/2) > 1 {
		t.Errorf("the place is at %v of %d by %d", at, b.editor.w, b.editor.h)
	}
}

func TestEveryGroupOpensByKeyboard(t *testing.T) {
	b, p := onStage(t)
	for i, f := range p.folds() {
		if f.isOpen() {
			t.Errorf("group %d is open from the start", i)
		}
		b.win.Canvas().Focus(f.head)
		f.head.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
		if !f.isOpen() {
			t.Errorf("group %d does not open by the space bar", i)
		}
		if w := p.object().MinSize().Width; w > panelWidth {
			t.Errorf("with group %d open the panel is %v wide", i, w)
		}
	}
	for _, m := range []rune{'c', 'd'} {
		b.typed(string(m))
		if w := p.object().MinSize().Width; w > panelWidth {
			t.Errorf("%c makes the panel %v wide", m, w)
		}
	}
}

func TestTheMagnifierStaysWithANudgedCorner(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(5, 4))
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(20, 20)}})
	b.arrow(fyne.KeyLeft, 0)
	want := b.editor.view().ToDevice(view.Point(b.s.Document().Corners[0].At))
	if c, ok := b.editor.loupeCentre(); !ok || c != want {
		t.Errorf("it shows %v, the corner is at %v", c, want)
	}
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(30, 20)}})
	if c, _ := b.editor.loupeCentre(); c.X != 30 {
		t.Errorf("it does not follow the pointer again: %v", c)
	}
}

func TestEveryFailureHasItsWayOut(t *testing.T) {
	b, _ := onStage(t)
	crossings := &grid.NotFoundError{Lines: 5, Spans: 9, At: photo.Point{X: 400, Y: 300}}
	for name, c := range map[string]struct {
		err  error
		ways []string
	}{
		"no lines":       {&grid.NotFoundError{}, []string{tr.byHand, tr.square.useSheet}},
		"few lines":      {fmt.Errorf("squaring up: %w", crossings), []string{tr.byHand, tr.square.useSheet, tr.square.showWhere}},
		"a count":        {&rectify.CountError{Corner: 2}, []string{"Show corner 3", tr.square.useSheet}},
		"all counts":     {&rectify.CountError{Corner: -1}, []string{tr.byHand, tr.square.useSheet}},
		"a sheet turned": {&rectify.RectangleError{Corner: -1, Swap: true}, []string{tr.square.swap}},
		"a sheet corner": {&rectify.RectangleError{Corner: 1}, []string{"Show corner 2"}},
		"height":         {&rectify.HeightError{SigmaMM: 80}, []string{tr.square.giveCamera}},
		"a bent mat":     {&rectify.BentError{MM: 1}, []string{tr.open}},
		"scale":          {rectify.ErrScale, []string{tr.square.fixSize}},
		"anything":       {errors.New("something else."), []string{tr.byHand, tr.square.useSheet}},
	} {
		b.failSquare(c.err)
		var got []string
		for _, w := range b.ways() {
			got = append(got, w.Text)
		}
		if !slices.Equal(got, c.ways) {
			t.Errorf("%s: %q, want %q", name, got, c.ways)
		}
		if text := b.strip.text.Text; !strings.HasSuffix(text, ".") || strings.HasSuffix(text, "..") {
			t.Errorf("%s: the strip says %q", name, text)
		}
	}
	b.failSquare(crossings)
	test.Tap(b.ways()[2])
	if d := b.editor.view().ToDevice(view.Point(crossings.At)); math.Abs(d.X-float64(b.editor.w)/2) > 1 {
		t.Errorf("the place is shown at %v", d)
	}
}

func TestACornerThatStandsOutIsShown(t *testing.T) {
	b, _ := onStage(t)
	b.s.ChooseSheet("A4", 210, 297)
	b.s.ProposeSheet([4]photo.Point{{X: 100, Y: 100}, {X: 900, Y: 100}, {X: 900, Y: 700}, {X: 100, Y: 700}})
	b.failSquare(&rectify.RectangleError{Corner: 2})
	test.Tap(b.ways()[0])
	want := b.editor.view().ToDevice(view.Point{X: 900, Y: 700})
	if c, ok := b.editor.loupeCentre(); b.editor.tool != toolSheet || b.editor.corner != 2 || !ok || c != want {
		t.Errorf("tool %d, corner %d, the magnifier at %v", b.editor.tool, b.editor.corner, c)
	}
}

// fineLines is a job on a mat with lines of two spacings.
type fineLines struct{ *practice.Job }

func (fineLines) Kinds(*rectify.Squared) []LineKind { return []LineKind{{12, 9}, {24, 18}} }

func TestWhichLinesThePitchMeans(t *testing.T) {
	b, p := onStage(t)
	if p.kinds.box.Visible() {
		t.Fatal("a choice where there is none")
	}
	b.o.Job = fineLines{b.job}
	b.changed()
	if !p.kinds.box.Visible() || p.kinds.label.Text != "Lines 25.4 mm apart are" {
		t.Fatalf("no choice, or it says %q", p.kinds.label.Text)
	}
	want := []string{tr.square.kindAuto, "the widest spaced: 12 × 9 squares", "the next closer: 24 × 18 squares"}
	if !slices.Equal(p.kinds.choice.Options, want) {
		t.Errorf("to choose from %q", p.kinds.choice.Options)
	}
	p.kinds.choice.SetSelectedIndex(2)
	if o, _ := b.s.Options(session.ByLines); o.Kind != 2 || !b.runner.busy() {
		t.Errorf("kind %d", o.Kind)
	}
	b.settle()
	b.doUndo()
	if b.s.Document().Kind != 0 || b.s.Stale() || p.kinds.choice.SelectedIndex() != 0 {
		t.Error("one undo does not take the choice back")
	}
}
