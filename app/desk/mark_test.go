package desk

import (
	"math"
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
