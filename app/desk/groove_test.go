package desk

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"flatwright/trace/pattern"
)

// typing puts text into a field key by key, without entering it.
func typing(f *field, text string) {
	f.FocusGained()
	f.SetText(text)
}

// The upper edge of the shield, 100 mm in 10 mm sheet, bent to a radius of
// 150 mm: 100/√(8·150·0.5) = 4.08, so five grooves 20 mm apart, each of
// 100/(5·150) = 7.6°.
func TestRunOfGroovesOnAnEdge(t *testing.T) {
	b, p := marking(t)
	b.s.SelectEdge("A1")
	b.changed()
	g := p.grooves
	if !g.fold.box.Visible() || g.over.Text != "100 mm" || !g.set.Disabled() {
		t.Fatalf("over %q, set disabled: %v", g.over.Text, g.set.Disabled())
	}
	typing(g.radius, "150")
	if !strings.Contains(g.gives.Text, "needs the sheet's thickness") {
		t.Errorf("without a thickness it says %q", g.gives.Text)
	}
	b.s.SetThicknessOfAll(10)
	b.changed()
	if want := "5 grooves, 20.0 mm apart, 9.0 mm deep, 1.2 mm wide; each bends 7.6°, 3.8° either side of square; 38.2° in all."; g.gives.Text != want {
		t.Errorf("it says %q, want %q", g.gives.Text, want)
	}
	lines := func() int { return len(b.s.Document().Pattern.Pieces[0].Lines) }
	if lines() != 1 {
		t.Error("typing alone changed the pattern")
	}
	g.radius.FocusLost()
	test.Tap(g.set)
	if lines() != 6 || g.fold.note.Text != "5 grooves" || !g.drop.Visible() || b.status.undo.Text != "Undo: run of grooves in A" {
		t.Errorf("%d lines, %q, %q", lines(), g.fold.note.Text, b.status.undo.Text)
	}
	typing(g.bend, "90")
	if g.radius.Text != "" || !strings.HasSuffix(g.gives.Text, "90° in all.") {
		t.Errorf("bend typed: radius %q, %q", g.radius.Text, g.gives.Text)
	}
	g.bend.FocusLost()
	test.Tap(g.set)
	anew := lines()
	if anew <= 6 {
		t.Errorf("%d lines after a tighter bend", anew)
	}
	b.enter(g.bend, "")
	b.enter(g.radius, "5 mm")
	if !g.set.Disabled() || !strings.Contains(g.gives.Text, "choose at least") {
		t.Errorf("too tight: %q", g.gives.Text)
	}
	b.enter(g.over, "130 mm")
	b.enter(g.radius, "150 mm")
	if !strings.Contains(g.gives.Text, "Edge A1 is 100.0 mm long") {
		t.Errorf("too long: %q", g.gives.Text)
	}
	test.Tap(g.drop)
	if lines() != 1 {
		t.Errorf("%d lines after they were taken out", lines())
	}
	b.doUndo()
	b.doUndo()
	if lines() != 6 {
		t.Errorf("undone twice: %d lines", lines())
	}
}

// Beside a line the run is found again from any of its grooves.
func TestRunOfGroovesBesideALine(t *testing.T) {
	b, p := marking(t)
	b.s.SetThicknessOfAll(10)
	b.s.SelectLine("A", 0)
	b.changed()
	g := p.grooves
	b.enter(g.over, "40 mm")
	b.enter(g.radius, "100 mm")
	test.Tap(g.set)
	q := b.s.Document().Pattern.Pieces[0]
	if len(q.Lines) != 3 || q.Lines[0].Work.Kind != pattern.Drawn {
		t.Fatalf("%d lines, the drawn one is %+v", len(q.Lines), q.Lines[0].Work)
	}
	b.s.SelectLine("A", 2)
	b.changed()
	if g.fold.note.Text != "2 grooves" || !g.drop.Visible() {
		t.Errorf("from a groove: %q", g.fold.note.Text)
	}
	test.Tap(g.drop)
	if n := len(b.s.Document().Pattern.Pieces[0].Lines); n != 1 || b.s.LineNumber() != 0 {
		t.Errorf("%d lines, selected %d", n, b.s.LineNumber())
	}
	if w := p.box.MinSize().Width; w > panelWidth {
		t.Errorf("the panel is %v wide", w)
	}
}
