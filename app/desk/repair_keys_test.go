package desk

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/trace/pattern"
)

func TestRepairsByKeyAlone(t *testing.T) {
	b := ready(t)
	// Two edges of two pieces, chosen with Tab and kept with Ctrl+Space.
	keep := &desktop.CustomShortcut{KeyName: fyne.KeySpace, Modifier: fyne.KeyModifierShortcutDefault}
	b.pressKey(fyne.KeyTab)
	b.editor.TypedShortcut(keep)
	for range 7 {
		b.pressKey(fyne.KeyTab)
	}
	if one, two, err := b.s.TwoEdges(); err != nil || one != "A1" || two != "C1" {
		t.Fatalf("kept %q and %q: %v, %v", one, two, err, b.s.Picks())
	}
	b.pressKey(fyne.KeyEscape)
	if len(b.s.Picks()) != 0 {
		t.Errorf("Esc keeps %v", b.s.Picks())
	}
	// A stretch between two nodes.
	b.s.SelectPiece("A")
	b.typed("q")
	b.settle()
	b.pressKey(fyne.KeyTab)
	b.pressKey(fyne.KeyTab)
	b.pressKey(fyne.KeyTab)
	b.editor.TypedShortcut(keep)
	b.pressKey(fyne.KeyTab)
	if _, nodes := b.s.SelectedNodes(); len(nodes) != 2 || nodes[0] != 2 || nodes[1] != 3 {
		t.Fatalf("nodes %v", nodes)
	}
	b.typed("l")
	b.whole("straightening A")
	b.doUndo()
	// A handle.
	b.s.SelectNode(pattern.Outer, 3, false)
	b.typed("h")
	was := b.piece("A").Outline.Segments[3].P1
	b.pressKey(fyne.KeyDown)
	if now := b.piece("A").Outline.Segments[3].P1; math.Abs(now.Y-was.Y-1) > 1e-9 {
		t.Errorf("the handle moved from %v to %v", was, now)
	}
	b.whole("moving a handle of A")
	b.doUndo()
	b.pressKey(fyne.KeyEscape)
	b.pressKey(fyne.KeyEscape)
	// A line across a piece, point by point.
	b.editor.MouseOut()
	b.s.SelectPiece("A")
	b.typed("/")
	b.editor.showAll(b.s.Shapes().Bounds(b.editor.space))
	b.capture()
	for _, q := range [][2]float64{{105, 15}, {105, 125}} {
		at := b.seen(q[0], q[1])
		b.pressKey(fyne.KeyUp) // the cross comes up
		for range 200 {
			dx, dy := float64(at.X)-b.editor.pointer.X/b.editor.px, float64(at.Y)-b.editor.pointer.Y/b.editor.px
			switch {
			case math.Abs(dx) < 6 && math.Abs(dy) < 6:
			case dx >= 6:
				b.pressKey(fyne.KeyRight)
			case dx <= -6:
				b.pressKey(fyne.KeyLeft)
			case dy >= 6:
				b.pressKey(fyne.KeyDown)
			default:
				b.pressKey(fyne.KeyUp)
			}
		}
		b.pressKey(fyne.KeySpace)
	}
	if len(b.pieces()) != 5 {
		t.Fatalf("pieces %v; the strip says %q", b.pieces(), b.strip.text.Text)
	}
	b.whole("splitting A")
}
