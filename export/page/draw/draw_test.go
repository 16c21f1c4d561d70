package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

func helmet() Document {
	return Document{Pattern: specimen.Helmet(), Setup: page.DefaultSetup(), Date: time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)}
}

// recorder is a canvas that remembers words and checks that clips pair.
type recorder struct {
	words []Words
	clips int
	bad   []string
}

func (r *recorder) Stroke(p Path, _ Pen)       { r.check(p) }
func (r *recorder) Fill(p Path, _ page.Colour) { r.check(p) }
func (r *recorder) Clip(page.Rect)             { r.clips++ }
func (r *recorder) Unclip()                    { r.clips-- }

func (r *recorder) Text(w Words) {
	r.words = append(r.words, w)
	if w.Face.Clean(w.Text) != w.Text {
		r.bad = append(r.bad, fmt.Sprintf("text %q is not clean", w.Text))
	}
}

func (r *recorder) check(p Path) {
	if len(p) > 0 && p[0].Verb != Move {
		r.bad = append(r.bad, "a path does not begin with a move")
	}
}

func (r *recorder) text() string {
	var all []string
	for _, w := range r.words {
		all = append(all, w.Text)
	}
	return strings.Join(all, "\n")
}

// record draws all pages and looks that no text leaves the page and that
// clips pair.
func record(t *testing.T, set *Set) []*recorder {
	t.Helper()
	var all []*recorder
	for i := range set.Pages {
		p := &set.Pages[i]
		r := &recorder{}
		p.Draw(r)
		for _, s := range r.bad {
			t.Errorf("%s: %s", p.Name, s)
		}
		if r.clips != 0 {
			t.Errorf("%s: clips do not pair", p.Name)
		}
		all = append(all, r)
	}
	return all
}

func TestEveryPieceIsLabelledOnce(t *testing.T) {
	doc := helmet()
	set, err := Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for i, r := range record(t, set) {
		if i >= len(set.Pages)-len(set.Layout.Tiles) {
			text += r.text() + "\n"
		}
	}
	for _, p := range doc.Pattern.Pieces {
		n := 0
		for _, line := range strings.Split(text, "\n") {
			if line == p.Name || strings.Contains(line, "· "+p.Name+" ·") {
				n++
			}
		}
		if n != 1 {
			t.Errorf("%s is named %d times", p.Name, n)
		}
		for _, e := range p.Edges {
			if !strings.Contains(text, e.ID) {
				t.Errorf("edge %s is not named", e.ID)
			}
		}
	}
}

// The square and the bar are on the first page of every paper, however much
// there is to note, and no note is lost.
func TestProofIsOnPageOne(t *testing.T) {
	for _, paper := range append(page.Papers(), page.Paper{Name: "least", WidthMM: 114, HeightMM: 160}) {
		for _, notes := range []int{0, 3, 60} {
			doc := helmet()
			doc.Setup.Paper, doc.Setup.MarginMM = paper, 5
			for i := range notes {
				doc.Notes = append(doc.Notes, fmt.Sprintf("Photograph number%d was squared up on two thousand points of the mat's lines and is good to a hundredth of a millimetre.", i))
			}
			set, err := Pages(doc)
			if err != nil {
				t.Fatal(err)
			}
			all := record(t, set)
			if one := all[0].text(); !strings.Contains(one, "100 mm × 100 mm") || !strings.Contains(one, "4 in") {
				t.Errorf("%s, %d notes: the first page does not prove the scale", paper.Name, notes)
			}
			text := ""
			for _, r := range all {
				text += r.text() + "\n"
			}
			for i := range notes {
				if !strings.Contains(strings.Join(strings.Fields(text), " "), fmt.Sprintf("number%d was", i)) {
					t.Errorf("%s: note %d of %d is lost", paper.Name, i, notes)
				}
			}
		}
	}
}

// Words on pages keep clear of the paper's edge by what printers reach.
func TestWordsStayOnThePage(t *testing.T) {
	for _, paper := range page.Papers() {
		doc := helmet()
		doc.Setup.Paper = paper
		set, err := Pages(doc)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range record(t, set) {
			p := set.Pages[i]
			for _, w := range r.words {
				if w.TurnRad != 0 || i >= len(set.Pages)-len(set.Layout.Tiles) {
					continue // the pattern's own words are clipped with it
				}
				end := w.At.X + w.Face.WidthMM(w.Text, w.CapMM)
				if w.At.X < 6 || end > p.WidthMM-6 || w.At.Y-w.CapMM < 6 || w.At.Y > p.HeightMM-6 {
					t.Errorf("%s, %s: %q at %v to %.1f", paper.Name, p.Name, w.Text, w.At, end)
				}
			}
		}
	}
}

func bookOf(doc Document) (*book, error) {
	l, err := page.AsLaid(doc.Pattern, doc.Setup)
	if err != nil {
		return nil, err
	}
	b := &book{doc: doc, layout: l}
	for i := range doc.Pattern.Pieces {
		b.art = append(b.art, newPieceArt(&doc.Pattern.Pieces[i], l.OtherFaces[i], nil))
	}
	b.placeWords()
	return b, nil
}

// A leader ends inside its piece.
func TestLeadersPointAtTheirPiece(t *testing.T) {
	leaders := 0
	b, err := bookOf(helmet())
	if err != nil {
		t.Fatal(err)
	}
	for _, places := range b.labels {
		for _, l := range places {
			if !l.isLeader {
				continue
			}
			leaders++
			if !page.Inside(l.leader, l.art.loops[0]) {
				t.Errorf("the leader of %s ends outside", l.art.piece.ID)
			}
		}
	}
	if leaders == 0 {
		t.Error("the rivet plate has no leader")
	}
}

func TestSeamNotes(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want string
	}{
		{100, 100.3, ""},
		{100, 102, "ease the second in by 2.0 mm"},
		{104, 100, "ease the first in by 4.0 mm"},
		{120, 100, "the first is longer by 20.0 mm: too much to ease in, check before you cut"},
	} {
		m := pattern.SeamMeasure{A: pattern.SideMeasure{LengthMM: c.a}, B: pattern.SideMeasure{LengthMM: c.b}}
		if got := seamNote(m); got != c.want {
			t.Errorf("%g to %g: %q, want %q", c.a, c.b, got, c.want)
		}
	}
}

func TestSeamTable(t *testing.T) {
	doc := helmet()
	a, b := pattern.Facing("A1", "C2")
	if _, err := doc.Pattern.Pair(a, b); err != nil {
		t.Fatal(err)
	}
	m, err := doc.Pattern.MeasureSeam("s1")
	if err != nil {
		t.Fatal(err)
	}
	set, err := Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	text := ""
	for _, r := range record(t, set) {
		text += r.text() + "\n"
	}
	text = strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"s1", "C2", fmt.Sprintf("%.1f", m.A.LengthMM), fmt.Sprintf("%.1f", m.B.LengthMM), fmt.Sprintf("longer by %.1f mm", math.Abs(m.DifferenceMM()))} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	if strings.Contains(text, "-C2") {
		t.Error("the edge that the seam runs against is written with a sign")
	}
	// The tags beside both edges name the seam.
	if strings.Count(text, " s1 ") < 2 {
		t.Errorf("the seam's name stands beside %d edges", strings.Count(text, " s1"))
	}
	if strings.Contains(text, "No edges are paired") {
		t.Error("the table says that there are no seams")
	}
}

// A long pattern's tables run over pages and lose no row.
func TestLongTables(t *testing.T) {
	doc := helmet()
	for len(doc.Pattern.Pieces) < 120 {
		p := doc.Pattern.Pieces[len(doc.Pattern.Pieces)%10]
		p.ID = pattern.Letters(len(doc.Pattern.Pieces))
		p.Edges = append([]pattern.Edge{}, p.Edges...)
		for i := range p.Edges {
			p.Edges[i].ID = fmt.Sprintf("%s%d", p.ID, i+1)
		}
		doc.Pattern.Pieces = append(doc.Pattern.Pieces, p)
	}
	doc.Setup.Paper, _ = page.PaperByName("a5")
	b, err := bookOf(doc)
	if err != nil {
		t.Fatal(err)
	}
	b.addFront()
	rows := map[string]int{}
	for i := range b.pages {
		r := &recorder{}
		b.pages[i].Draw(r)
		for _, w := range r.words {
			if w.Face == lettering.Regular { // sheets' names are bold
				rows[w.Text]++
			}
			if w.At.Y > b.pages[i].HeightMM-6 {
				t.Errorf("%s: %q runs off the page", b.pages[i].Name, w.Text)
			}
		}
	}
	for _, p := range doc.Pattern.Pieces {
		for _, e := range p.Edges {
			if rows[e.ID] != 1 {
				t.Fatalf("edge %s is listed %d times", e.ID, rows[e.ID])
			}
		}
	}
}

func TestBoxMeets(t *testing.T) {
	box := boxCorners(page.Rect{MinX: 0, MinY: 0, MaxX: 10, MaxY: 4})
	for _, c := range []struct {
		a, b mat.Point
		want bool
	}{
		{mat.Point{X: -5, Y: 2}, mat.Point{X: 15, Y: 2}, true},
		{mat.Point{X: 4, Y: 1}, mat.Point{X: 5, Y: 2}, true},
		{mat.Point{X: -5, Y: 2}, mat.Point{X: -1, Y: 2}, false},
		{mat.Point{X: -1, Y: 4}, mat.Point{X: 1, Y: 6}, false},
		{mat.Point{X: 12, Y: 0}, mat.Point{X: 12, Y: 0}, false},
		{mat.Point{X: 5, Y: 3}, mat.Point{X: 5, Y: 3}, true},
	} {
		if boxMeets(box, c.a, c.b) != c.want {
			t.Errorf("%v to %v: %t", c.a, c.b, !c.want)
		}
	}
}

// Of clipped convex loops nothing is lost and nothing lies outside.
func TestClipLoop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := page.Rect{MinX: -10, MinY: -20, MaxX: 30, MaxY: 5}
		g := rapid.Float64Range(-50, 50)
		loop := []mat.Point{{X: g.Draw(t, "ax"), Y: g.Draw(t, "ay")}, {X: g.Draw(t, "bx"), Y: g.Draw(t, "by")}, {X: g.Draw(t, "cx"), Y: g.Draw(t, "cy")}}
		part := clipLoop(loop, r)
		for _, p := range part {
			if !r.Grown(1e-9).Holds(p) {
				t.Fatalf("%v is outside", p)
			}
		}
		q := mat.Point{X: rapid.Float64Range(-9.9, 29.9).Draw(t, "qx"), Y: rapid.Float64Range(-19.9, 4.9).Draw(t, "qy")}
		for i := range loop { // rounding decides about points on the border itself
			if box := (page.Rect{MinX: q.X, MinY: q.Y, MaxX: q.X, MaxY: q.Y}).Grown(1e-6); crosses(boxCorners(box), []mat.Point{loop[i], loop[(i+1)%3]}, false) {
				t.Skip()
			}
		}
		if page.Inside(q, loop) != page.Inside(q, part) {
			t.Fatalf("%v: inside %t, after clipping %t", q, page.Inside(q, loop), page.Inside(q, part))
		}
	})
}

func TestQuantityNotes(t *testing.T) {
	for _, c := range []struct {
		p    pattern.Piece
		want string
	}{
		{pattern.Piece{}, "cut 1"},
		{pattern.Piece{Quantity: 4}, "cut 4"},
		{pattern.Piece{Quantity: 1, Mirrored: true}, "cut 1, turned over"},
		{pattern.Piece{Quantity: 2, Mirrored: true}, "cut 2, 1 turned over"},
		{pattern.Piece{Quantity: 5, Mirrored: true}, "cut 5, 2 turned over"},
	} {
		if got := quantityNote(&c.p); got != c.want {
			t.Errorf("%+v: %q", c.p, got)
		}
	}
}

func TestLabelsAreTallEnough(t *testing.T) {
	p := specimen.Helmet().Pieces[0]
	for _, l := range labels(&p) {
		for _, line := range l.lines {
			if line.capMM < 2.5 {
				t.Errorf("%q is %g mm high", line.text, line.capMM)
			}
		}
	}
	if lettering.CapOfEm < 0.7 || lettering.CapOfEm > 0.75 {
		t.Error(lettering.CapOfEm)
	}
}
