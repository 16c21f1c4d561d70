package draw

import (
	"strings"
	"testing"

	"flatwright/trace/pattern"
)

// worked is the helmet with a seam, an allowance and worked lines.
func worked(t *testing.T) Document {
	t.Helper()
	doc := helmet()
	a, b := pattern.Facing("A1", "C2")
	if _, err := doc.Pattern.Pair(a, b); err != nil {
		t.Fatal(err)
	}
	p := &doc.Pattern.Pieces[0]
	p.Edges[0].Allowance = pattern.Allowance{WidthMM: 10}
	for i := range doc.Pattern.Pieces {
		for k := range doc.Pattern.Pieces[i].Lines {
			doc.Pattern.Pieces[i].Lines[k].Work = pattern.LineWork{Kind: pattern.Groove, DepthMM: 8, BendDeg: 90}
		}
	}
	return doc
}

func TestWorkOnPaper(t *testing.T) {
	set, err := Pages(worked(t))
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for _, r := range record(t, set) {
		text += r.text() + "\n"
	}
	for _, want := range []string{"V 90°, 8 mm deep, 16 mm wide, from the back", "Allowance: cut here instead"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	set, err = Pages(helmet())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range record(t, set) {
		if strings.Contains(r.text(), "Allowance: cut") {
			t.Error("the legend explains allowances that are not there")
		}
	}
}
