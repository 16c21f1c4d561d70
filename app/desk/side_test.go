package desk

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

func (b *bench) hoverAt(at fyne.Position) {
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
}

// A side is lengthened by clicks, the lengths are told before and after the
// click, and a second click takes the edge off again.
func TestSidesByClicks(t *testing.T) {
	b, p := boxCorner(t)
	test.Tap(p.seam.sides)
	if b.siding != "s1" || !strings.Contains(b.strip.text.Text, "A2 is 45.0 mm") || p.seam.sides.Text != tr.side.stop {
		t.Fatalf("siding %q, the strip says %q", b.siding, b.strip.text.Text)
	}
	b.hoverAt(b.seen(60, 25))
	if got := b.strip.text.Text; !strings.HasPrefix(got, "With a click on A1: Seam s1: A1 + A2 is 145.0 mm, B3 is 100.0 mm; they differ by 45.0 mm.") {
		t.Errorf("over A1 the strip says %q", got)
	}
	if len(b.s.Document().Pattern.Seams[0].A) != 1 {
		t.Error("looking changed the seam")
	}
	b.click(b.seen(60, 25))
	if got := b.s.Document().Pattern.Seams[0].A.String(); got != "A1 + A2" || p.seam.head.Text != "Seam s1: A1 + A2 · B3" {
		t.Errorf("the side is %s, the head says %q", got, p.seam.head.Text)
	}
	if b.status.undo.Text != "Undo: sides of s1" {
		t.Errorf("the status line says %q", b.status.undo.Text)
	}
	b.click(b.seen(60, 25))
	if got := b.s.Document().Pattern.Seams[0].A.String(); got != "A2" {
		t.Errorf("clicked again, the side is %s", got)
	}
	b.s.SelectEdge("A1")
	b.pressEnter()
	if got := b.s.Document().Pattern.Seams[0].A.String(); got != "A1 + A2" {
		t.Errorf("after Enter the side is %s", got)
	}
	b.click(b.seen(60, 210)) // an edge of the L, far away
	if got := b.strip.text.Text; !strings.Contains(got, "touches neither end") {
		t.Errorf("an edge far away: %q", got)
	}
	b.escape()
	b.click(b.seen(60, 25))
	if b.siding != "" || b.s.Document().Pattern.Seams[0].A.String() != "A1 + A2" {
		t.Error("a click after Esc changed the side")
	}
	b.doUndo()
	if got := b.s.Document().Pattern.Seams[0].A.String(); got != "A2" {
		t.Errorf("undone, the side is %s", got)
	}
}

func (b *bench) pressEnter() { b.key(fyne.KeyReturn, 0) }

func TestSidesNeedASeam(t *testing.T) {
	b, _ := marking(t)
	b.click(b.seen(130, 40))
	b.typed("h")
	if b.siding != "" || !b.strip.shown() {
		t.Error("sides of no seam")
	}
}

func TestUndoingTheSeamEndsItsSides(t *testing.T) {
	b, _ := marking(t)
	b.s.SelectEdge("A2")
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	b.typed("h")
	b.doUndo()
	b.click(b.seen(60, 25))
	if len(b.s.Document().Pattern.Seams) != 0 || b.siding != "" {
		t.Errorf("siding %q", b.siding)
	}
	if e, _ := b.s.SelectedEdge(); e.ID != "A1" {
		t.Errorf("selected is %q", e.ID)
	}
}

// Two edges of one piece that spring from one corner are a dart.
func TestADart(t *testing.T) {
	b, p := marking(t)
	b.click(b.seen(80, 158)) // C2
	b.typed("j")
	b.click(b.seen(110, 175)) // C3
	if got := p.seam.head.Text; got != "Dart s1: C2 · C3, opens 69.5 mm wide" {
		t.Errorf("the head says %q", got)
	}
	test.Tap(p.seam.turn)
	m, _ := b.s.SelectedSeam()
	if m.B[0].Reversed || strings.HasPrefix(p.seam.head.Text, "Dart") {
		t.Errorf("turned round: %+v, %q", m, p.seam.head.Text)
	}
	b.doUndo()
	if m, _ = b.s.SelectedSeam(); !m.B[0].Reversed {
		t.Error("undo does not turn it back")
	}
}
