package draw

import (
	"strings"
	"testing"

	"flatwright/export/page"
	"flatwright/trace/pattern"
)

// The order of assembly is on the tables' pages with its rule in words, every
// seam once, and the pieces that are in none.
func TestAssemblyOnPaper(t *testing.T) {
	doc := joinedHelmet(t)
	steps, loose := page.Assembly(doc.Pattern)
	set, err := Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for i, r := range record(t, set) {
		if i < len(set.Pages)-len(set.Layout.Tiles) {
			text += r.text() + "\n"
		}
	}
	flat := strings.ReplaceAll(text, "\n", " ")
	for _, want := range []string{"Order of assembly", "darts first; then the flattest seams", "In no seam: " + strings.Join(loose, ", ")} {
		if !strings.Contains(flat, want) {
			t.Errorf("no %q", want)
		}
	}
	for i, s := range steps {
		if !strings.Contains(text, stepText(s)+"\n"+s.Seam+"\n") {
			t.Errorf("step %d, %q for %s, is missing", i+1, stepText(s), s.Seam)
		}
	}
	if set, err = Pages(helmet()); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(record(t, set)[1].text(), "Order of assembly") {
		t.Error("an order is suggested without seams")
	}
}

func TestStepTexts(t *testing.T) {
	for _, c := range []struct {
		s    page.Step
		want string
	}{
		{page.Step{Kind: page.CloseDart, A: []string{"A"}, B: []string{"A"}}, "close the dart in A"},
		{page.Step{Kind: page.JoinParts, A: []string{"A"}, B: []string{"B", "C"}}, "join (B + C) to A"},
		{page.Step{Kind: page.CloseRing, A: []string{"A"}, B: []string{"A"}}, "close A to a ring"},
		{page.Step{Kind: page.CloseRing, A: []string{"A", "B"}, B: []string{"A", "B"}}, "close the ring in A + B"},
	} {
		if got := stepText(c.s); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// Long names run over lines in the table and in labels; none is cut short.
func TestLongNamesAreWhole(t *testing.T) {
	doc := helmet()
	name := "Shoulder guard of the left arm with its upper and lower edge" // 60 letters
	for i := range doc.Pattern.Pieces {
		doc.Pattern.Pieces[i].Name = name
	}
	set, err := Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	all := record(t, set)
	var words []string
	for _, r := range all {
		for _, w := range r.words {
			words = append(words, w.Text)
		}
	}
	flat := strings.Join(words, " ")
	if n := strings.Count(flat, "…"); n > 0 {
		t.Errorf("%d texts are cut short", n)
	}
	if n := strings.Count(strings.Join(strings.Fields(flat), " "), "Shoulder guard of the left"); n < 2*len(doc.Pattern.Pieces) {
		t.Errorf("%d names", n)
	}
}

// A name with letters that the fonts lack is announced on the cover.
func TestMissingLettersAreAnnounced(t *testing.T) {
	for name, want := range map[string]bool{"Brow": false, "Größe Ω щ": false, "鎧": true, "🐉 wing": true, "□": false} {
		note := missingNote(Document{Pattern: pattern.Pattern{Pieces: []pattern.Piece{{ID: "A", Name: name}}}})
		if (note != "") != want {
			t.Errorf("%q: %q", name, note)
		}
	}
}
