package desk

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// markGripAt is where a mark of the selected piece is taken hold of.
func (b *bench) markGripAt(k int) fyne.Position {
	p, _ := b.s.SelectedPiece()
	m := p.Marks[k]
	return b.seen((m.At.X+m.In.X)/2, (m.At.Y+m.In.Y)/2)
}

// reshaping is a bench on which the first piece is being reshaped in the flat
// view.
func reshaping(t *testing.T) (*bench, pattern.Piece) {
	t.Helper()
	b := ready(t)
	p := b.s.Document().Pattern.Pieces[0]
	b.s.SelectPiece(p.ID)
	b.typed("q")
	b.settle()
	b.editor.setSpace(session.OnMat)
	b.changed()
	b.capture()
	return b, p
}

// A dragged mark goes to the middle of its edge when it comes near, and says so;
// with Alt it stays where it is put.
func TestADraggedMarkSaysWhatItIsDrawnTo(t *testing.T) {
	b, p := reshaping(t)
	middle, err := p.MarkAt(0, p.EdgeLengthMM(0)/2, 6)
	if err != nil {
		t.Fatal(err)
	}
	to := mat.Point{X: middle.At.X + 3/b.editor.view().Scale, Y: middle.At.Y}
	for _, free := range []bool{false, true} {
		b.editor.grasp(b.editor.device(b.markGripAt(0)))
		b.editor.held.from = b.editor.held.grip.At
		b.editor.dragGrip(b.editor.onScreen(view.Point(to)), free)
		at := b.s.Document().Pattern.Pieces[0].Marks[0].At
		said := b.editor.snappedTo()
		g, _ := b.s.LastGrip()
		if got, want := b.editor.gripTitle(g), "A1  "+b.editor.system.Length(at.X-p.Outline.Segments[0].P0.X, 1)+" from its start"; !strings.HasPrefix(got, want) || g.Kind != session.GripMark {
			t.Errorf("it tells %q, want %q", got, want)
		}
		if want := map[bool]mat.Point{false: middle.At, true: to}[free]; math.Hypot(at.X-want.X, at.Y-want.Y) > 1e-3 || (said != "") == free {
			t.Errorf("freely: %t, it lies at %v, want %v, and says %q", free, at, want, said)
		}
		b.editor.release(gesture{})
		if b.editor.snappedTo() != "" {
			t.Error("it still says what it was drawn to")
		}
		b.doUndo()
	}
}

// Registration marks are dragged along the outline, nudged, added and taken
// away, each as one step of undo.
func TestMarksByHand(t *testing.T) {
	b, p := reshaping(t)

	to := mat.Point{X: p.Marks[0].At.X + 12, Y: p.Marks[0].At.Y}
	from := b.markGripAt(0)
	move := b.seen(to.X, to.Y)
	start := b.seen(p.Marks[0].At.X, p.Marks[0].At.Y)
	b.drag(from, fyne.NewPos(from.X+move.X-start.X, from.Y+move.Y-start.Y), desktop.MouseButtonPrimary)
	b.editor.DragEnd()
	at := func() mat.Point { return b.s.Document().Pattern.Pieces[0].Marks[0].At }
	if d := math.Hypot(at().X-to.X, at().Y-to.Y); d > 2/b.editor.view().Scale {
		t.Errorf("dragged to %v the mark lies at %v", to, at())
	}
	if e := b.s.NextUndo(); e != (session.Edit{Action: session.ActionMoveMark, Target: p.ID}) {
		t.Errorf("undo would take back %v", e)
	}
	dragged := at()
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	if d := at().X - dragged.X; math.Abs(d-1) > 0.01 {
		t.Errorf("an arrow moved the mark by %.3f mm", d)
	}
	b.doUndo()
	b.doUndo()
	if at() != p.Marks[0].At {
		t.Errorf("undone the mark lies at %v, was at %v", at(), p.Marks[0].At)
	}

	b.editor.pointer, b.editor.pointerIn = b.editor.onScreen(view.Point{X: 30, Y: 50}), true
	b.typed("k")
	marks := b.s.Document().Pattern.Pieces[0].Marks
	if n := len(marks); n != len(p.Marks)+1 || math.Hypot(marks[n-1].At.X-30, marks[n-1].At.Y-50) > 1 {
		t.Fatalf("the marks are %v", marks)
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	if n := len(b.s.Document().Pattern.Pieces[0].Marks); n != len(p.Marks) {
		t.Errorf("%d marks are left of %d", n, len(p.Marks))
	}
}

// Tab brings the next grip into view, at the zoom that was; where it is seen the
// view stays.
func TestTabShowsTheNextGrip(t *testing.T) {
	b, p := reshaping(t)
	fitted := b.editor.view()
	for range len(p.Outline.Segments) {
		b.pressKey(fyne.KeyTab)
	}
	if b.editor.view() != fitted {
		t.Error("the view moved, though all is seen")
	}
	b.editor.zoom(12, b.editor.onScreen(view.Point{X: 80, Y: 60}))
	scale := b.editor.view().Scale
	seen := b.editor.view().Visible(float64(b.editor.w), float64(b.editor.h))
	moved := false
	for range len(b.s.Grips()) {
		b.pressKey(fyne.KeyTab)
		g, ok := b.s.LastGrip()
		now := b.editor.view().Visible(float64(b.editor.w), float64(b.editor.h))
		if in := g.In(session.OnMat); !ok || !now.Contains(in[0]) || b.editor.view().Scale != scale {
			t.Errorf("%+v is out of view, or the zoom is %g, was %g", g, b.editor.view().Scale, scale)
		}
		moved = moved || now != seen
	}
	if !moved {
		t.Error("the view never moved")
	}
}

// While nodes are nudged the same is told of them as while they are dragged.
func TestNudgedNodesTellHowFarTheyAreOff(t *testing.T) {
	b, _ := reshaping(t)
	b.pressKey(fyne.KeyTab)
	b.pressKey(fyne.KeyTab)
	if got := b.editor.nodeOffTitle(); got != "" {
		t.Errorf("it tells %q of a node at rest", got)
	}
	b.pressKey(fyne.KeyRight)
	b.pressKey(fyne.KeyRight)
	off, ok := b.s.NodeOffMM()
	if got := b.editor.nodeOffTitle(); !ok || off < 1 || !strings.HasPrefix(got, b.editor.system.Residual(off, 2)+" off") {
		t.Errorf("nudged it tells %q, %.2f mm off", got, off)
	}
	b.capture()
	at, seen := b.editor.chosenGrip()
	if tag := fyne.NewPos(float32(at.X), float32(at.Y-26*b.editor.px)); !seen || !b.has(tag, 6, b.editor.pal.accent, 60) {
		t.Errorf("nothing is drawn at %v", tag)
	}
	b.s.EndGesture()
	if got := b.editor.nodeOffTitle(); got != "" {
		t.Errorf("it tells %q afterwards", got)
	}
}
