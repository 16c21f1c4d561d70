package desk

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// Every rung says in one line what it needs until it is done, and then what
// came of it.
func TestRungsSayWhatTheyNeed(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	rungs := func(what string, want ...string) {
		t.Helper()
		for i, r := range b.rungs {
			if r.number != want[i] {
				t.Errorf("%s: rung %d says %q, want %q", what, i+1, r.number, want[i])
			}
		}
	}
	after := tr.rungAfter
	rungs("at first", "open one", after[1], after[2], after[3], after[4], after[5])
	b.open(b.file)
	b.settle()
	rungs("opened", "1.9 MP", "line distance?", after[2], after[3], after[4], after[5])
	b.s.SetPitch(practice.PitchMM)
	b.changed()
	rungs("with a distance", "1.9 MP", "press Square up", after[2], after[3], after[4], after[5])
	b.squareUp()
	b.settle()
	found := b.rungLine(session.StageCheck)
	rungs("traced", "1.9 MP", b.rungs[1].number, "4 pieces", "needs thickness", found, "A4 to save")
	b.s.SetThicknessOfAll(5)
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}); err != nil {
		t.Fatal(err)
	}
	for _, f := range b.s.Findings() {
		b.s.TakeAsSeen(f)
	}
	b.changed()
	rungs("marked up", "1.9 MP", b.rungs[1].number, "4 pieces", "1 leaning cut", "nothing found", "A4 to save")
	b.exportTo(filepath.Join(t.TempDir(), "out.pdf"))
	b.settle()
	if got := b.rungs[session.StagePrint].number; got != "A4 saved" {
		t.Errorf("printed, the rung says %q", got)
	}
	b.s.SetPitch(20)
	b.changed()
	if got := b.rungs[session.StageSquareUp].number; got != "settings changed" {
		t.Errorf("with another distance the rung says %q", got)
	}
}

// What a rung says fits beside its sign.
func TestRungLinesFit(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	all := []string{tr.rungPitch, tr.rungStale, tr.rungClear, "999 to look at", "99 pages to save", "99 pages saved", "12 seams, 34 cuts"}
	all = slices.AppendSeq(slices.AppendSeq(all, maps.Values(tr.rungAfter)), maps.Values(tr.rungNeeds))
	r := b.rungs[0]
	const from, border = 44, 6 // where the text begins, and how far off the end it stays
	for _, text := range all {
		if w := fyne.MeasureText(text, 12, fyne.TextStyle{}).Width; from+w+border > r.MinSize().Width {
			t.Errorf("%q is %.0f px broad, there is room for %.0f", text, w, r.MinSize().Width-from-border)
		}
	}
}

func TestNamesOnTheWorkAreShort(t *testing.T) {
	for _, c := range [][2]string{
		{"A visor", "A visor"},
		{"B " + strings.Repeat("ä", 26), "B " + strings.Repeat("ä", 26)},
		{"B " + strings.Repeat("ä", 27), "B " + strings.Repeat("ä", 25) + "…"},
	} {
		if got := shortened(c[0]); got != c[1] {
			t.Errorf("%q is written as %q", c[0], got)
		}
	}
}
