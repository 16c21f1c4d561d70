package desk

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

func (b *bench) pressKey(k fyne.KeyName) { b.editor.TypedKey(&fyne.KeyEvent{Name: k}) }

func (b *bench) pieces() []string {
	var out []string
	for _, p := range b.s.Document().Pattern.Pieces {
		out = append(out, p.ID)
	}
	return out
}

func (b *bench) piece(id string) pattern.Piece {
	b.t.Helper()
	doc := b.s.Document()
	p, err := doc.Pattern.Piece(id)
	if err != nil {
		b.t.Fatal(err)
	}
	return *p
}

// shiftClick is a click with Shift held.
func (b *bench) shiftClick(at fyne.Position) {
	b.editor.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary, Modifier: fyne.KeyModifierShift})
	b.editor.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
}

// whole fails when the pattern is not as it has to be, or the last step has no
// name.
func (b *bench) whole(want string) {
	b.t.Helper()
	for _, f := range pattern.Validate(b.s.Document().Pattern) {
		b.t.Errorf("%s", f.Text)
	}
	if got := editTitle(b.s.NextUndo()); !strings.Contains(got, want) {
		b.t.Errorf("undo says %q, want %q", got, want)
	}
}

func TestLeaveOutAndAddAgain(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 190)) // inside C
	b.pressKey(fyne.KeyDelete)
	if got := strings.Join(b.pieces(), ""); got != "ABD" {
		t.Fatalf("pieces %s", got)
	}
	b.whole("leaving out C")
	b.pressKey(fyne.KeyInsert)
	if b.editor.tool != toolAdd {
		t.Fatal("Insert takes no tool up")
	}
	b.click(b.seen(60, 190))
	b.settle()
	if got := strings.Join(b.pieces(), ""); got != "ABDE" {
		t.Fatalf("pieces %s, the strip says %q", got, b.strip.text.Text)
	}
	b.whole("adding E")
	truth := practice.Pattern().Pieces[2].Outline
	for _, q := range b.piece("E").Outline.Flatten(0.1) {
		if at, _ := truth.Nearest(q); at.DistanceMM > 0.5 {
			t.Fatalf("the added piece lies %.2f mm off at %v", at.DistanceMM, q)
		}
	}
	b.click(b.seen(60, 60)) // A, which is there
	b.settle()
	if p, _ := b.s.SelectedPiece(); p.ID != "A" || len(b.pieces()) != 4 {
		t.Errorf("selected %q of %v", p.ID, b.pieces())
	}
	b.click(b.seen(150, 120)) // bare mat
	b.settle()
	if b.strip.text.Text != tr.repair.bare {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	b.pressKey(fyne.KeyEscape)
	if b.editor.tool != toolSelect {
		t.Error("Esc keeps the tool")
	}
	b.typed("t")
	b.settle()
	if b.strip.text.Text != tr.repair.replaced || strings.Join(b.pieces(), "") != "ABCD" {
		t.Errorf("traced again the strip says %q, pieces %v", b.strip.text.Text, b.pieces())
	}
	b.doUndo()
	b.doUndo()
	b.doUndo()
	if got := strings.Join(b.pieces(), ""); got != "ABCD" {
		t.Errorf("undone: %s", got)
	}
}

func TestDeleteOnAnEdgeAsks(t *testing.T) {
	b := ready(t)
	b.pressKey(fyne.KeyDelete)
	if !strings.Contains(b.strip.text.Text, "No piece is chosen") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	b.click(b.seen(130, 40))
	b.pressKey(fyne.KeyDelete)
	if len(b.pieces()) != 4 || len(b.ways()) != 1 {
		t.Fatalf("pieces %v, ways %d", b.pieces(), len(b.ways()))
	}
	b.ways()[0].OnTapped()
	if len(b.pieces()) != 3 {
		t.Errorf("pieces %v", b.pieces())
	}
}

func TestReshapeByMouseAndKey(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.typed("q")
	b.settle()
	if b.editor.tool != toolReshape {
		t.Fatal("Q does not reshape")
	}
	if d, ok := b.s.Deviation("A"); !ok || d.RMSMM > 0.15 {
		t.Errorf("deviation %+v, %v: the traced piece lies on its edge", d, ok)
	}
	corner := b.piece("A").Outline.Segments[1].P0
	from := b.seen(corner.X, corner.Y)
	b.drag(from, b.seen(corner.X+6, corner.Y-3), desktop.MouseButtonPrimary)
	b.capture()
	b.editor.DragEnd()
	got := b.piece("A").Outline.Segments[1].P0
	if math.Hypot(got.X-corner.X-6, got.Y-corner.Y+3) > 0.6 {
		t.Errorf("the corner went from %v to %v", corner, got)
	}
	b.whole("moving nodes of A")
	b.pressKey(fyne.KeyRight)
	b.pressKey(fyne.KeyRight)
	if now := b.piece("A").Outline.Segments[1].P0; math.Abs(now.X-got.X-2) > 1e-9 {
		t.Errorf("two nudges moved it by %.3f mm", now.X-got.X)
	}
	b.doUndo()
	b.doUndo()
	if now := b.piece("A").Outline.Segments[1].P0; now != corner {
		t.Errorf("undone to %v, was %v", now, corner)
	}
}

func TestReshapeAddsTurnsAndRemovesNodes(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.typed("q")
	b.settle()
	n := len(b.piece("A").Outline.Segments)
	b.pressKey(fyne.KeyTab)
	b.typed("i")
	if len(b.piece("A").Outline.Segments) != n+1 {
		t.Fatalf("%d nodes", len(b.piece("A").Outline.Segments))
	}
	b.whole("adding a node to A")
	for range 12 { // a corner of more than 10 degrees
		b.pressKey(fyne.KeyDown)
	}
	b.typed("c")
	b.whole("smoothing nodes of A")
	b.pressKey(fyne.KeyDelete)
	if len(b.piece("A").Outline.Segments) != n {
		t.Errorf("%d nodes", len(b.piece("A").Outline.Segments))
	}
	b.whole("removing nodes of A")
	// A node at which two edges meet offers to join them.
	b.s.SelectNode(pattern.Outer, 1, false)
	b.pressKey(fyne.KeyDelete)
	if len(b.ways()) != 1 || !strings.Contains(b.strip.text.Text, "A1 and A2 meet") {
		t.Fatalf("the strip says %q", b.strip.text.Text)
	}
	b.ways()[0].OnTapped()
	b.whole("joining A1")
	for range 2 {
		b.pressKey(fyne.KeyEscape)
	}
	if b.editor.tool != toolSelect {
		t.Error("Esc twice keeps the tool")
	}
}

func TestStraightenAndTraceAStretchAgain(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.typed("q")
	b.settle()
	truth := b.piece("A").Outline
	at := truth.Segments[3].P0 // the lowest point, between two arcs
	b.click(b.seen(truth.Segments[2].P0.X, truth.Segments[2].P0.Y))
	b.shiftClick(b.seen(at.X, at.Y))
	if _, nodes := b.s.SelectedNodes(); len(nodes) != 2 {
		t.Fatalf("nodes %v", nodes)
	}
	b.typed("l")
	b.whole("straightening A")
	if s := b.piece("A").Outline.Segments[0]; !s.Line || len(b.piece("A").Edges) != 4 {
		t.Fatalf("%+v, edges %v", s, b.piece("A").Edges)
	}
	d, _ := b.s.Deviation("A")
	if d.WorstMM < 3 {
		t.Errorf("the straightened piece deviates by %.2f mm only", d.WorstMM)
	}
	p := b.piece("A")
	b.s.SelectNode(pattern.Outer, 0, false)
	b.s.SelectNode(pattern.Outer, 1, true)
	b.typed("t")
	b.settle()
	b.whole("tracing A again in part")
	for _, q := range b.piece("A").Outline.Flatten(0.1) {
		if at, _ := truth.Nearest(q); at.DistanceMM > 0.6 {
			t.Fatalf("traced again it lies %.2f mm off at %v; the strip says %q", at.DistanceMM, q, b.strip.text.Text)
		}
	}
	if len(p.Edges) != len(b.piece("A").Edges) {
		t.Error("an edge was lost")
	}
}

func TestSmoothness(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.goTo(session.StageTrace)
	var nodes []int
	for range 7 {
		b.typed(">")
		b.settle()
		d, ok := b.s.Deviation("A")
		if !ok {
			t.Fatalf("no deviation; the strip says %q", b.strip.text.Text)
		}
		nodes = append(nodes, len(b.piece("A").Outline.Segments))
		if m, _ := b.s.MeasuredOutline("A"); d.WorstMM > m.ToleranceMM+0.15 {
			t.Errorf("within %.2f mm it deviates by %.2f mm", m.ToleranceMM, d.WorstMM)
		}
	}
	b.whole("smoothness of A")
	if nodes[len(nodes)-1] > nodes[0] {
		t.Errorf("the smoother, the more nodes: %v", nodes)
	}
	box := b.panels[session.StageTrace].(*tracePanel).repair
	if !strings.Contains(box.deviation.Text, "mm") || box.within.Text != withinText(b.smoothStep("A"), b.system()) {
		t.Errorf("the panel says %q, %q", box.deviation.Text, box.within.Text)
	}
	box.slider.SetValue(0)
	b.settle()
	if m, _ := b.s.MeasuredOutline("A"); m.ToleranceMM != tolerancesMM[0] {
		t.Errorf("the slider at its end gives %.2f mm", m.ToleranceMM)
	}
	b.doUndo()
	if b.s.NextUndo().Action != session.ActionTrace {
		t.Errorf("a run of smoothness is more than one step: %q", editTitle(b.s.NextUndo()))
	}
	b.doRedo()
	ids := ""
	for _, e := range b.piece("A").Edges {
		ids += e.ID + " "
	}
	if ids != "A1 A2 A3 A4 " {
		t.Errorf("edges %s", ids)
	}
}

func TestSeveralAreChosen(t *testing.T) {
	b := ready(t)
	b.click(b.seen(60, 60))
	b.shiftClick(b.seen(60, 190))
	if got := strings.Join(b.s.SelectedPieces(), ""); got != "AC" {
		t.Fatalf("selected %s", got)
	}
	b.shiftClick(b.seen(60, 60))
	if got := strings.Join(b.s.SelectedPieces(), ""); got != "C" {
		t.Errorf("selected %s", got)
	}
	b.s.SelectPiece("")
	from, to := b.seen(8, 8), b.seen(152, 228)
	b.editor.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: from}, Button: desktop.MouseButtonPrimary, Modifier: fyne.KeyModifierShift})
	b.editor.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: to}, Dragged: fyne.NewDelta(to.X-from.X, to.Y-from.Y)})
	b.capture()
	b.editor.DragEnd()
	if got := strings.Join(b.s.SelectedPieces(), ""); got != "AC" {
		t.Errorf("the box selected %s", got)
	}
	b.pressKey(fyne.KeyDelete)
	if got := strings.Join(b.pieces(), ""); got != "BD" {
		t.Errorf("left: %s", got)
	}
	b.doUndo()
	b.editor.TypedShortcut(&fyne.ShortcutSelectAll{})
	if len(b.s.SelectedPieces()) != 4 {
		t.Errorf("Ctrl+A selected %v", b.s.SelectedPieces())
	}
}

func TestTheMenuOffersWhatApplies(t *testing.T) {
	b := ready(t)
	words := func() string {
		var out []string
		for _, x := range b.entries() {
			out = append(out, x.word)
		}
		return strings.Join(out, "|")
	}
	if got := words(); strings.Contains(got, tr.repair.leaveOut) || !strings.Contains(got, tr.repair.add) {
		t.Errorf("with nothing chosen: %s", got)
	}
	at := b.seen(130, 40)
	b.press(at, desktop.MouseButtonSecondary)
	b.editor.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonSecondary})
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" || b.popped == nil || !b.popped.Visible() {
		t.Errorf("the second button chose %q", e.ID)
	}
	if got := words(); !strings.Contains(got, tr.bevel) || !strings.Contains(got, tr.repair.completeEdge) {
		t.Errorf("on an edge: %s", got)
	}
	b.popped.Hide()
	b.pressKey(desktop.KeyMenu)
	if !b.popped.Visible() {
		t.Error("the menu key opens nothing")
	}
}

func TestDragsSnap(t *testing.T) {
	b := ready(t)
	b.s.SelectPiece("A")
	near := func(got, want mat.Point) bool { return math.Hypot(got.X-want.X, got.Y-want.Y) < 1e-6 }
	c := b.piece("C").Outline.Segments[0].P0
	if x := b.s.Snap(session.OnMat, mat.Point{X: c.X + 0.7, Y: c.Y - 0.5}, 1); x.Kind != session.SnapNode || !near(x.At, c) {
		t.Errorf("beside a corner of C: %+v", x)
	}
	if x := b.s.Snap(session.OnMat, mat.Point{X: 60, Y: c.Y - 0.5}, 1); x.Kind != session.SnapEdge || math.Abs(x.At.Y-c.Y) > 0.3 {
		t.Errorf("beside an edge of C: %+v", x)
	}
	a := b.piece("A").Outline.Segments[0].P0
	if x := b.s.Snap(session.OnMat, mat.Point{X: a.X + 0.4, Y: 300}, 1); x.Kind != session.SnapGuide || math.Abs(x.At.X-a.X) > 0.01 || len(x.Guides) != 1 {
		t.Errorf("plumb with a corner of A: %+v", x)
	}
	if x := b.s.Snap(session.OnMat, mat.Point{X: 300, Y: 300}, 1); x.Kind != session.SnapNone {
		t.Errorf("beside nothing: %+v", x)
	}
}
