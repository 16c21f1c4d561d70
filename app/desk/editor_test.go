package desk

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

func TestThePictureShowsTheOutlineWhereItIs(t *testing.T) {
	b := ready(t)
	for _, p := range [][2]float64{{60, 25}, {130, 40}, {215, 130}, {60, 210}} {
		if !b.has(b.seen(p[0], p[1]), 1, b.pal.ink, 40) {
			t.Errorf("no ink at the edge at %v mm: %v", p, b.at(b.seen(p[0], p[1])))
		}
	}
	if got := b.at(b.seen(100, 60)); !near(got, color.NRGBA{226, 220, 204, 255}, 12) {
		t.Errorf("the middle of piece A is %v, not tape", got)
	}
	if b.at(b.seen(100, 130)) == b.at(b.seen(100, 60)) {
		t.Error("mat and tape look alike")
	}
}

func TestMissingLinesAreMarked(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageSquareUp)
	b.capture()
	at := b.seen(12*practice.PitchMM, 8.4*practice.PitchMM)
	if !b.has(at, 3, b.pal.miss, 40) {
		t.Errorf("a line that misses by %.1f px is not marked at %v", practice.MissPx, at)
	}
	b.typed("g")
	b.capture()
	if b.has(at, 3, b.pal.miss, 40) {
		t.Error("G did not hide the lines")
	}
}

func TestClickAnEdgeAndBevelIt(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" {
		t.Fatalf("selected %q", e.ID)
	}
	b.capture()
	if !b.has(b.seen(130, 40), 1, b.pal.accent, 40) {
		t.Error("the selected edge is not in the accent colour")
	}
	b.typed("b2")
	if e, _ := b.s.SelectedEdge(); e.Cut != (pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}) {
		t.Errorf("B and 2 gave %+v", e.Cut)
	}
	m := b.panels[session.StageMarkUp].(*markPanel)
	m.thickness.SetText("3/8 in")
	m.thickness.OnSubmitted("")
	if p, _ := b.s.SelectedPiece(); math.Abs(p.ThicknessMM-9.525) > 1e-9 {
		t.Errorf("thickness %v", p.ThicknessMM)
	}
	b.capture()
	inside := 130 - 9.525*math.Tan(30*math.Pi/180)
	found := false
	for y := 30.0; y < 65; y++ {
		found = found || b.has(b.seen(inside, y), 1, styleOf(pattern.Bevel).colour, 40)
	}
	if !found {
		t.Error("the other face's edge is not drawn 5.5 mm inside")
	}
	if m.other.Text != "5.5 mm inside" || m.angle.Text != "30°" {
		t.Errorf("the panel says %q, %q", m.other.Text, m.angle.Text)
	}
}

func TestTabGoesFromEdgeToEdge(t *testing.T) {
	b := ready(t)
	if !b.editor.AcceptsTab() {
		t.Fatal("Tab leaves the editor")
	}
	for _, want := range []string{"A1", "A2", "A3"} {
		b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyTab})
		if e, _ := b.s.SelectedEdge(); e.ID != want {
			t.Errorf("Tab selected %q, want %q", e.ID, want)
		}
	}
}

func TestHoverShowsEdgeAndLength(t *testing.T) {
	b := ready(t)
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.seen(60, 25)}})
	if b.editor.hover != "A1" || b.editor.Cursor() != desktop.PointerCursor {
		t.Errorf("hover %q", b.editor.hover)
	}
	if got := b.status.cursor.Text; got != "60.0, 25.0 mm" && !strings.HasPrefix(got, "59.9") && !strings.HasPrefix(got, "60.") {
		t.Errorf("the status line says %q", got)
	}
	if got := b.status.here.Text; !strings.HasSuffix(got, "here") || strings.Contains(got, "?") {
		t.Errorf("the status line says %q", got)
	}
}

func TestWheelZoomsToThePointer(t *testing.T) {
	b := ready(t)
	at := fyne.NewPos(300, 200)
	before := b.editor.view().ToWorld(b.editor.device(at))
	scale := b.editor.view().Scale
	b.editor.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: at}, Scrolled: fyne.NewDelta(0, 75)})
	after := b.editor.view().ToWorld(b.editor.device(at))
	if b.editor.view().Scale <= scale || math.Hypot(after.X-before.X, after.Y-before.Y) > 1e-6 {
		t.Errorf("scale %v to %v, the point moved from %v to %v", scale, b.editor.view().Scale, before, after)
	}
	b.typed("f")
	if math.Abs(b.editor.view().Scale-scale) > 1e-9 {
		t.Error("F does not fit")
	}
}

func TestDraggingMovesTheView(t *testing.T) {
	for _, button := range []desktop.MouseButton{desktop.MouseButtonPrimary, desktop.MouseButtonTertiary} {
		b := ready(t)
		before := b.editor.view().Offset
		b.drag(fyne.NewPos(100, 100), fyne.NewPos(150, 120), button)
		b.editor.DragEnd()
		if d := b.editor.view().Offset; d.X-before.X != 50 || d.Y-before.Y != 20 {
			t.Errorf("button %d: moved by %v, %v", button, d.X-before.X, d.Y-before.Y)
		}
		if _, ok := b.s.SelectedPiece(); ok {
			t.Error("a drag selected something")
		}
	}
}

func TestDoublePressFits(t *testing.T) {
	b := ready(t)
	b.editor.zoomMiddle(3)
	at := b.seen(110, 132)
	b.click(at)
	b.click(at)
	want := view.Fitted(b.editor.world(), float64(b.editor.w), float64(b.editor.h), 8)
	if b.editor.view() != want {
		t.Errorf("view %v, want %v", b.editor.view(), want)
	}
}

func TestFlatViewShowsPaperInMillimetres(t *testing.T) {
	b := ready(t)
	b.typed("v")
	b.capture()
	if b.editor.space != session.OnMat {
		t.Fatal("V does not show flat")
	}
	if got := b.at(b.seen(100, 60)); !near(got, b.pal.panel, 2) {
		t.Errorf("a piece's face is %v", got)
	}
	// A line of 1.5 px that lies between two of them covers three quarters of each.
	quarter := (int(b.pal.panel.R)-int(b.pal.ink.R))/4 + 4
	if !b.has(b.seen(60, 25), 1, b.pal.ink, quarter) {
		t.Error("no outline in the flat view")
	}
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.seen(100, 60)}})
	if got := b.status.cursor.Text; got != "100.0, 60.0 mm" {
		t.Errorf("the status line says %q", got)
	}
	b.click(b.seen(130, 40))
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" {
		t.Errorf("selected %q", e.ID)
	}
}

func TestTapeMeasures(t *testing.T) {
	b := ready(t)
	b.typed("vm")
	b.capture()
	b.click(b.seen(30, 25))
	b.click(b.seen(130, 25))
	if len(b.editor.tape) != 2 {
		t.Fatal("two clicks, no tape")
	}
	if mm := math.Hypot(b.editor.tape[1].X-b.editor.tape[0].X, b.editor.tape[1].Y-b.editor.tape[0].Y); math.Abs(mm-100) > 0.5 {
		t.Errorf("%.2f mm", mm)
	}
}

func TestTheWholeStaysWholeWhenTheWindowChanges(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1500, 900))
	b.capture()
	margin := 8.0
	if want := view.Fitted(b.editor.world(), float64(b.editor.w), float64(b.editor.h), margin); b.editor.view() != want {
		t.Errorf("view %v, want %v", b.editor.view(), want)
	}
	b.editor.zoomMiddle(2)
	zoomed := b.editor.view()
	b.win.Resize(fyne.NewSize(1280, 800))
	b.capture()
	if b.editor.view() != zoomed {
		t.Error("a chosen view was lost when the window changed")
	}
}

func TestFindingsAreMarkedWhileTheyAreLookedAt(t *testing.T) {
	b := ready(t)
	at := b.seen(250, 200) // where the practice tracing reports something
	ring := at.AddXY(-7, 0)
	b.capture()
	if b.has(ring, 1, b.pal.needs, 30) {
		t.Error("a finding is marked before the check")
	}
	b.goTo(session.StageCheck)
	b.capture()
	if !b.has(ring, 1, b.pal.needs, 30) {
		t.Errorf("no mark at the finding: %v", b.at(ring))
	}
}
