package desk

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
)

func (b *bench) crossing(c, r int) fyne.Position {
	m := b.job.Model()
	p := b.editor.view().ToDevice(view.Point(m.ToPhoto(mat.Point{X: float64(c) * practice.PitchMM, Y: float64(r) * practice.PitchMM})))
	return fyne.NewPos(float32(p.X), float32(p.Y))
}

func failed(t *testing.T) *bench {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{FailAlone: true})
	b.open(b.file)
	b.settle()
	b.capture()
	return b
}

func TestFailureSaysSoAndOffersCorners(t *testing.T) {
	b := failed(t)
	if !b.strip.shown() || b.strip.text.Text != "Only 3 lines found, all in the left half." {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	if n := len(b.ways()); n != 2 {
		t.Fatalf("%d ways out", n)
	}
	test.Tap(b.ways()[0])
	if b.editor.tool != toolCorners || b.strip.shown() {
		t.Error("the way out does not lead to placing corners")
	}
}

func TestFourCornersByHand(t *testing.T) {
	b := failed(t)
	b.typed("c")
	p := b.squarePanel().corners
	for i, k := range [][2]int{{1, 1}, {11, 1}, {11, 8}, {1, 8}} {
		b.click(b.crossing(k[0], k[1]).AddXY(4, -3))
		c := b.s.Document().Corners[i]
		m := b.job.Model()
		at := m.ToPhoto(mat.Point{X: float64(k[0]) * practice.PitchMM, Y: float64(k[1]) * practice.PitchMM})
		if !c.Snapped || math.Hypot(c.At.X-at.X, c.At.Y-at.Y) > 0.01 {
			t.Errorf("corner %d did not snap: %+v", i, c)
		}
		if !c.Known {
			p.rows[i].column.SetText([]string{"0", "10", "10", "0"}[i])
			p.rows[i].column.OnSubmitted("")
			p.rows[i].row.SetText([]string{"0", "0", "7", "7"}[i])
			p.rows[i].row.OnSubmitted("")
		}
	}
	if n := len(b.s.UsableCorners()); n != 4 {
		t.Fatalf("%d corners are usable: %+v", n, b.s.Document().Corners)
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	b.settle()
	if b.s.Document().Squared == nil || len(b.s.Document().Pattern.Pieces) != 4 {
		t.Error("Enter did not square up from the corners")
	}
}

func TestTooFewCornersAreRefusedInASentence(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(1, 1))
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if b.runner.busy() || !strings.HasPrefix(b.strip.text.Text, "Only 1 of the corners") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestDraggedCornerReleasedOutsideIsOneStep(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(2, 2))
	at := b.s.Document().Corners[0].At
	b.drag(b.crossing(2, 2), b.crossing(3, 2).AddXY(2, 2), desktop.MouseButtonPrimary)
	b.editor.DragEnd() // no MouseUp comes from outside the window
	m := b.job.Model()
	want := m.ToPhoto(mat.Point{X: 3 * practice.PitchMM, Y: 2 * practice.PitchMM})
	if c := b.s.Document().Corners[0]; !c.Snapped || math.Hypot(c.At.X-want.X, c.At.Y-want.Y) > 0.01 {
		t.Errorf("dragged to %+v, want %v", c, want)
	}
	b.editor.TypedShortcut(&fyne.ShortcutUndo{})
	if c := b.s.Document().Corners[0]; c.At != at {
		t.Errorf("one undo left it at %v, it began at %v", c.At, at)
	}
}

func TestMagnifierShowsFourTimesAsLarge(t *testing.T) {
	b := failed(t)
	b.typed("c")
	at := b.crossing(4, 4)
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	b.capture()
	// The loupe's middle shows the pointer's place, 10 px beside it 40.
	for _, dx := range []float32{-18, -10, 10, 18} {
		i := b.editor.loupe.PixOffset(loupePx/2+int(4*dx), loupePx/2+20)
		got := color.NRGBA{b.editor.loupe.Pix[i], b.editor.loupe.Pix[i+1], b.editor.loupe.Pix[i+2], 255}
		w := b.editor.view().ToWorld(view.Point{X: float64(at.X + dx), Y: float64(at.Y) + 5})
		k := 3 * (int(w.Y+0.5)*b.s.Photo().Width + int(w.X+0.5))
		rgb := b.s.Photo().RGB[k : k+3]
		if !near(got, color.NRGBA{rgb[0], rgb[1], rgb[2], 255}, 40) {
			t.Errorf("%v px beside the pointer the loupe shows %v, the photograph has %v", dx, got, rgb)
		}
	}
}

func TestAClickBesideACrossingSnapsWithinReach(t *testing.T) {
	b := failed(t)
	b.typed("c")
	// The job looks 6 px of the photograph far, the click lies 14 off.
	b.job.SnapReachPx = 6
	b.click(b.crossing(5, 3).AddXY(5, -5))
	c := b.s.Document().Corners[0]
	m := b.job.Model()
	at := m.ToPhoto(mat.Point{X: 5 * practice.PitchMM, Y: 3 * practice.PitchMM})
	if !c.Snapped || math.Hypot(c.At.X-at.X, c.At.Y-at.Y) > 0.01 {
		t.Errorf("placed at %+v, the crossing is at %v", c, at)
	}
	b.click(b.crossing(7, 3).AddXY(12, 12))
	if c := b.s.Document().Corners[1]; c.Snapped {
		t.Errorf("a click far from any crossing snapped to %v", c.At)
	}
}

func TestTheKeyboardGoesToACountThatIsNeeded(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(1, 1))
	if b.win.Canvas().Focused() != fyne.Focusable(b.editor) {
		t.Error("the first corner needs no count")
	}
	b.click(b.crossing(8, 1))
	p := b.squarePanel().corners
	if b.win.Canvas().Focused() != fyne.Focusable(p.rows[1].column) {
		t.Error("the second corner's count is not asked for")
	}
}

func TestAPoorFitIsSaid(t *testing.T) {
	b := ready(t)
	q := *b.s.Document().Squared
	fit := *q.Fit
	fit.RMSPx = 1.3
	q.Fit = &fit
	b.take(session.Solution{Squared: &q, With: b.s.Document().Settings})
	b.settle()
	if !strings.Contains(b.strip.text.Text, "miss by 1.3 px") || len(b.ways()) != 1 {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}
