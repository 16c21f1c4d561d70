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
)

// A line inside a piece is drawn by two clicks, taken hold of while reshaping,
// and taken away without its piece.
func TestLinesInsideInTheWindow(t *testing.T) {
	b := ready(t)
	b.s.SelectPiece("B")
	b.editor.setSpace(session.OnMat)
	b.changed()
	b.capture()
	b.typed("\\")
	if b.editor.tool != toolLine || !b.strip.shown() {
		t.Fatalf("tool %v, told %q", b.editor.tool, b.strip.text.Text)
	}
	b.click(b.seen(50, 50))
	b.click(b.seen(110, 60))
	a := b.piece("A")
	if len(a.Lines) != 2 || math.Hypot(a.Lines[1].Nodes()[0].X-50, a.Lines[1].Nodes()[0].Y-50) > 1 {
		t.Fatalf("the lines of A are %v", a.Lines)
	}
	if b.editor.tool != toolLine || b.s.LineNumber() != 1 {
		t.Errorf("tool %v, line %d is chosen", b.editor.tool, b.s.LineNumber())
	}
	b.click(b.seen(60, 50))
	b.click(b.seen(400, 50))
	if len(b.piece("A").Lines) != 2 || !b.strip.shown() {
		t.Error("a line was drawn beyond the piece")
	}
	b.pressKey(fyne.KeyEscape)
	b.typed("q")
	b.settle()
	b.capture()
	end := a.Lines[1].Nodes()[1]
	b.drag(b.seen(end.X, end.Y), b.seen(end.X-20, end.Y+10), desktop.MouseButtonPrimary)
	b.editor.DragEnd()
	now := b.piece("A").Lines[1].Nodes()[1]
	if math.Hypot(now.X-end.X+20, now.Y-end.Y-10) > 2/b.editor.view().Scale {
		t.Errorf("dragged the end lies at %v, was at %v", now, end)
	}
	b.pressKey(fyne.KeyRight)
	if x := b.piece("A").Lines[1].Nodes()[1]; math.Abs(x.X-now.X-1) > 1e-6 {
		t.Errorf("an arrow moved it by %g mm", x.X-now.X)
	}
	b.pressKey(fyne.KeyEscape)
	b.pressKey(fyne.KeyEscape)
	b.s.SelectLine("A", 1)
	b.pressKey(fyne.KeyDelete)
	if len(b.pieces()) != 4 || len(b.piece("A").Lines) != 1 {
		t.Errorf("%v are left, A with %d lines", b.pieces(), len(b.piece("A").Lines))
	}
}

// By keys alone: Tab to the end of a line, the arrows, Delete.
func TestLinesInsideByKeys(t *testing.T) {
	b := ready(t)
	b.s.SelectPiece("A")
	b.typed("q")
	b.settle()
	p := b.piece("A")
	b.s.StepNode(-1)
	b.s.StepNode(-1)
	line, node, ok := b.s.SelectedLineNode()
	if !ok {
		t.Fatal("the keyboard does not reach the line")
	}
	was := p.Lines[line].Nodes()[node]
	b.pressKey(fyne.KeyDown)
	if at := b.piece("A").Lines[line].Nodes()[node]; at != (mat.Point{X: was.X, Y: was.Y + 1}) {
		t.Errorf("it lies at %v, was at %v", at, was)
	}
	b.pressKey(fyne.KeyDelete)
	if len(b.piece("A").Lines) != len(p.Lines)-1 {
		t.Error("the line was not taken away")
	}
}

// "I" adds a node to whatever of the piece is nearest to the pointer and within
// reach, a line inside too; with none there, beside the chosen node.
func TestNodesAreAddedToLinesAndOpenings(t *testing.T) {
	b := ready(t)
	b.editor.setSpace(session.OnMat)
	b.capture()
	b.s.SelectPiece("A")
	b.typed("q")
	b.settle()
	nodes := func() int { return len(b.piece("A").Lines[0].Nodes()) }
	b.hoverAt(b.seen(80, 60))
	b.typed("i")
	if nodes() != 3 {
		t.Fatalf("under the pointer: %d nodes; the strip says %q", nodes(), b.strip.text.Text)
	}
	b.editor.MouseOut()
	for k, want := range []float64{52.5, 80, 90} {
		// The first, then the second of four, then the last of five.
		b.s.SelectLineNode(0, []int{0, 2, 4}[k])
		b.typed("i")
		_, node, ok := b.s.SelectedLineNode()
		if !ok || nodes() != 4+k || math.Abs(b.piece("A").Lines[0].Nodes()[node].Y-want) > 1 {
			t.Errorf("by key: node %d of %v, %t; the strip says %q", node, b.piece("A").Lines[0].Nodes(), ok, b.strip.text.Text)
		}
	}
	b.s.SelectPiece("D")
	b.s.ClearNodes()
	b.changed()
	count := func() int { return len(b.piece("D").Outline.Segments) + len(b.piece("D").Openings[0].Segments) }
	was := count()
	b.hoverAt(b.seen(215+22, 178)) // between the opening and the outline
	b.typed("i")
	if count() != was || !b.strip.shown() {
		t.Errorf("far from all: %d nodes, were %d", count(), was)
	}
	b.hoverAt(b.seen(215+12*math.Cos(0.6), 178+12*math.Sin(0.6)))
	b.typed("i")
	if len(b.piece("D").Openings[0].Segments) != 5 {
		t.Errorf("the opening has %d nodes", len(b.piece("D").Openings[0].Segments))
	}
}

// While a line is drawn its length is told as it would be with the next click, and
// while one of its nodes is dragged, the line's; beyond the piece it stays at the
// last place where it could be.
func TestLinesTellTheirLength(t *testing.T) {
	b := ready(t)
	b.editor.setSpace(session.OnMat)
	b.s.SelectPiece("A")
	b.capture()
	b.typed("\\")
	if b.editor.drawnTitle() != "" {
		t.Error("a length is told before the first click")
	}
	b.click(b.seen(50, 60))
	b.hoverAt(b.seen(90, 62))
	b.capture()
	from := b.editor.tape[0]
	_, to, ok := b.editor.nextPoint()
	if want := tapeTitle(from, view.Point(to), b.editor.system); !ok || b.editor.drawnTitle() != want {
		t.Errorf("it tells %q, want %q", b.editor.drawnTitle(), want)
	}
	// Close to level the click makes it level, and so does the length that is told.
	almost := b.seen(90, from.Y+3/b.editor.view().Scale)
	b.hoverAt(almost)
	told := b.editor.drawnTitle()
	b.capture()
	at, _, _ := b.editor.nextPoint()
	if !b.has(fyne.NewPos(float32(at.X), float32(at.Y-22*b.editor.px)), 6, b.editor.pal.accent, 60) {
		t.Error("the length is not drawn")
	}
	b.click(almost)
	a := b.piece("A")
	if nodes := a.Lines[1].Nodes(); nodes[0].Y != nodes[1].Y || told != b.editor.lineTitle(1) || b.editor.drawnTitle() != "" {
		t.Errorf("told %q, drawn %v, %q", told, nodes, b.editor.lineTitle(1))
	}
	b.pressKey(fyne.KeyEscape)
	b.typed("q")
	b.settle()
	b.capture()
	end := a.Lines[1].Nodes()[1]
	b.press(b.seen(end.X, end.Y), desktop.MouseButtonPrimary)
	b.editor.held.from = b.editor.held.grip.At
	drag := func(x, y float64) string {
		b.editor.dragGrip(b.editor.onScreen(view.Point{X: x, Y: y}), false)
		g, ok := b.s.LastGrip()
		if !ok {
			t.Fatal("no grip is chosen")
		}
		return b.editor.gripTitle(g)
	}
	if got := drag(100, 66); got != b.editor.system.Length(math.Hypot(100-from.X, 66-from.Y), 1) {
		t.Errorf("dragged it tells %q", got)
	}
	last := b.piece("A").Lines[1].Nodes()[1]
	if got := drag(500, 66); b.piece("A").Lines[1].Nodes()[1] != last || b.editor.snapped.Kind != session.SnapNone {
		t.Errorf("beyond the piece it lies at %v and tells %q", b.piece("A").Lines[1].Nodes()[1], got)
	}
	for want, at := range map[string]mat.Point{tr.repair.atNode: {X: 130, Y: 70}, tr.repair.atMark: {X: 130, Y: 50}, tr.repair.onOutline: {X: 130, Y: 57}} {
		if got := drag(at.X, at.Y); !strings.HasSuffix(got, "  "+want) {
			t.Errorf("at %v it tells %q, want %q", at, got, want)
		}
	}
	b.editor.DragEnd()
}
