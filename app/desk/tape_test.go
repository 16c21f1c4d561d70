package desk

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// taped is a bench whose pattern has blue tape along two edges and red along
// one.
func taped(t *testing.T) (*bench, *markPanel) {
	t.Helper()
	b, p := marking(t)
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	b.s.SetThicknessOfAll(10)
	b.changed()
	return b, p
}

func tapedPattern(t *testing.T) pattern.Pattern {
	t.Helper()
	x := practice.Pattern()
	blue, red := x.AddTape("blue", [3]uint8{40, 80, 170}), x.AddTape("red", [3]uint8{180, 40, 40})
	for edge, id := range map[string]string{"A2": blue, "C1": blue, "A4": red} {
		if err := x.SetEdgeTape(edge, id); err != nil {
			t.Fatal(err)
		}
	}
	return x
}

func (b *bench) cutOf(id string) pattern.Cut {
	doc := b.s.Document()
	q, k, err := doc.Pattern.FindEdge(id)
	if err != nil {
		b.t.Fatal(err)
	}
	return q.Edges[k].Cut
}

func TestTapeColoursMeanCuts(t *testing.T) {
	b, p := taped(t)
	if !p.tapes.fold.box.Visible() || len(p.tapes.rows) != 2 || p.tapes.fold.note.Text != "2 of 2 undecided" {
		t.Fatalf("%d rows, %q", len(p.tapes.rows), p.tapes.fold.note.Text)
	}
	p.tapes.rows[0].means.SetSelected("Bevel 30°")
	want := pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}
	if b.cutOf("A2") != want || b.cutOf("C1") != want || b.cutOf("A4").Kind != pattern.Straight {
		t.Errorf("cuts %v, %v, %v", b.cutOf("A2"), b.cutOf("C1"), b.cutOf("A4"))
	}
	b.enter(p.tapes.rows[0].angle, "22.5")
	if want.AngleDeg = 22.5; b.cutOf("C1") != want || p.tapes.rows[0].means.Selected != "Bevel 22.5°" {
		t.Errorf("typed 22.5: %v, %q", b.cutOf("C1"), p.tapes.rows[0].means.Selected)
	}
	if p.tapes.fold.note.Text != "1 of 2 undecided" || b.status.undo.Text != "Undo: blue tape" {
		t.Errorf("it says %q and %q", p.tapes.fold.note.Text, b.status.undo.Text)
	}
	b.doUndo()
	b.doUndo()
	if b.cutOf("A2").Kind != pattern.Straight || p.tapes.rows[0].means.Selected != tr.tape.unsaid {
		t.Errorf("undone: %v, %q", b.cutOf("A2"), p.tapes.rows[0].means.Selected)
	}
	before := b.s.Version()
	p.tapes.rows[0].means.SetSelected("Undercut 15°")
	b.enter(p.tapes.rows[0].angle, "steep")
	b.enter(p.tapes.rows[0].angle, "89")
	if b.s.Version() != before+1 || !b.strip.shown() {
		t.Error("nonsense was taken as an angle")
	}
	p.tapes.rows[0].means.SetSelected(tr.tape.unsaid)
	if b.cutOf("A2").Kind != pattern.Undercut || b.s.Document().Pattern.Tapes[0].Meant {
		t.Error("forgetting the meaning should keep the cuts")
	}
}

func TestTapeColoursAreMergedShownAndTakenOff(t *testing.T) {
	b, p := taped(t)
	test.Tap(p.tapes.rows[0].show)
	if !b.editor.offered["A2"] || !b.editor.offered["C1"] || b.editor.offered["A4"] {
		t.Errorf("pointed out are %v", b.editor.offered)
	}
	test.Tap(p.tapes.rows[0].show)
	if b.editor.offered["A2"] {
		t.Error("they stay pointed out")
	}
	p.tapes.rows[0].means.SetSelected("Bevel 45°")
	p.tapes.rows[1].same.SetSelected("blue")
	if len(p.tapes.rows) != 1 || b.cutOf("A4") != (pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45}) || p.tapes.rows[0].same != nil {
		t.Errorf("merged: %d rows, %v", len(p.tapes.rows), b.cutOf("A4"))
	}
	b.doUndo()
	if len(p.tapes.rows) != 2 || b.cutOf("A4").Kind != pattern.Straight {
		t.Errorf("undone: %d rows, %v", len(p.tapes.rows), b.cutOf("A4"))
	}
	b.enter(p.tapes.rows[1].name, "red electrical")
	if got := b.s.Document().Pattern.Tapes[1].Name; got != "red electrical" {
		t.Errorf("called %q", got)
	}
	test.Tap(p.tapes.rows[1].noTape)
	test.Tap(p.tapes.rows[0].noTape)
	if p.tapes.fold.box.Visible() || len(b.s.Document().Pattern.Tapes) != 0 || b.cutOf("A2").Kind != pattern.Bevel {
		t.Error("not a tape: the list should go and the cuts stay")
	}
	b.doUndo()
	b.doUndo()
	if doc := b.s.Document(); len(doc.Pattern.TapedEdges("T1")) != 2 {
		t.Error("undo does not lay the tape again")
	}
}

func TestTapeOfAnEdgeByHand(t *testing.T) {
	b, p := taped(t)
	p.tapes.rows[1].means.SetSelected("Undercut 60°")
	b.s.SelectEdge("C2")
	b.changed()
	p.edgeMore.tape.SetSelected("red")
	if b.cutOf("C2") != (pattern.Cut{Kind: pattern.Undercut, AngleDeg: 60}) {
		t.Errorf("the edge is cut %v", b.cutOf("C2"))
	}
	p.edgeMore.tape.SetSelected(tr.tape.none)
	if e, _ := b.s.SelectedEdge(); e.Tape != "" {
		t.Errorf("the edge still has %q", e.Tape)
	}
}

// What was said of the colours survives tracing anew, which lists them as
// they were seen.
func TestTapeMeaningsAreCarriedOver(t *testing.T) {
	b, p := taped(t)
	p.tapes.rows[0].means.SetSelected("Bevel 30°")
	b.enter(p.tapes.rows[0].name, "masking")
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	b.changed()
	doc := b.s.Document()
	tapes := doc.Pattern.Tapes
	if len(tapes) != 2 || tapes[0].Name != "masking" || !tapes[0].Meant || tapes[0].Cut.AngleDeg != 30 || tapes[1].Meant {
		t.Fatalf("traced anew: %+v", tapes)
	}
	p.tapes.rows[1].same.SetSelected("masking")
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	doc = b.s.Document()
	if len(doc.Pattern.Tapes) != 1 || strings.Join(doc.Pattern.TapedEdges("T1"), " ") != "A2 A4 C1" {
		t.Errorf("merged, traced anew: %+v", doc.Pattern.Tapes)
	}
	if err := b.s.RemoveTape("T1"); err != nil {
		t.Fatal(err)
	}
	b.s.SetTraced(&trace.Traced{Pattern: tapedPattern(t)})
	if n := len(b.s.Document().Pattern.Tapes); n != 0 || b.cutOf("A4").AngleDeg != 30 {
		t.Errorf("taken off, traced anew: %d tapes, %v", n, b.cutOf("A4"))
	}
}

// The tapes last as long as the pattern's own file.
func TestTapesAreKept(t *testing.T) {
	x := tapedPattern(t)
	if err := x.SetTapeMeaning("T1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 15}); err != nil {
		t.Fatal(err)
	}
	data, err := pattern.Encode(x)
	if err != nil {
		t.Fatal(err)
	}
	y, err := pattern.Decode(data)
	if err != nil || len(y.Tapes) != 2 || y.Tapes[0] != x.Tapes[0] || y.Tapes[1] != x.Tapes[1] {
		t.Errorf("%+v, %v", y.Tapes, err)
	}
}

func TestTapesFitThePanel(t *testing.T) {
	b, p := taped(t)
	p.tapes.fold.open(true)
	b.enter(p.tapes.rows[1].name, "dark turquoise electrical")
	p.tapes.rows[0].means.SetSelected("Undercut 60°")
	b.changed()
	if w := p.box.MinSize().Width; w > panelWidth {
		t.Errorf("the panel is %v wide of %v", w, panelWidth)
	}
}
