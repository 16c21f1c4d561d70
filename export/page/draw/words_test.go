package draw

import (
	"fmt"
	"strings"
	"testing"

	"flatwright/export/page"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// crowd is thirty pieces of 16 mm × 20 mm, 6 mm apart, each with a bevel, an
// undercut and a mark, and joined two by two.
func crowd(t *testing.T) Document {
	t.Helper()
	doc := helmet()
	doc.Pattern = pattern.Pattern{Name: "Scales"}
	for i := range 30 {
		x, y := float64(i%6)*22, float64(i/6)*26
		p := pattern.Piece{ID: pattern.Letters(i), Name: fmt.Sprintf("Scale %d", i+1), ThicknessMM: 3, Quantity: 4, Mirrored: i%2 == 0, Face: pattern.Front}
		p.Outline = curve.Polygon(mat.Point{X: x, Y: y}, mat.Point{X: x + 16, Y: y + 2}, mat.Point{X: x + 13, Y: y + 19}, mat.Point{X: x + 5, Y: y + 22})
		if err := pattern.EdgesFromCorners(&p); err != nil {
			t.Fatal(err)
		}
		p.Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}
		p.Edges[2].Cut = pattern.Cut{Kind: pattern.Undercut, AngleDeg: 15}
		p.Marks = []pattern.Mark{{At: mat.Point{X: x + 14.5, Y: y + 10.5}, In: mat.Point{X: x + 11, Y: y + 10}}}
		doc.Pattern.Pieces = append(doc.Pattern.Pieces, p)
	}
	for i := 0; i < 30; i += 2 {
		a, b := pattern.Facing(pattern.Letters(i)+"1", pattern.Letters(i+1)+"3")
		if _, err := doc.Pattern.Pair(a, b); err != nil {
			t.Fatal(err)
		}
	}
	return doc
}

// joinedHelmet is the helmet with two seams whose marks meet.
func joinedHelmet(t *testing.T) Document {
	t.Helper()
	doc := helmet()
	for _, pair := range [][2]string{{"A1", "C2"}, {"B1", "D1"}, {"F1", "G1"}} {
		a, b := pattern.Facing(pair[0], pair[1])
		if _, err := doc.Pattern.Pair(a, b); err != nil {
			t.Fatal(err)
		}
	}
	return doc
}

// boxed is the box of some words and what they are.
type boxed struct {
	what string
	box  [4]mat.Point
}

// wordsOn lists the words that a sheet shows beside and on its pieces.
func wordsOn(b *book, tile int) []boxed {
	var all []boxed
	for _, l := range b.labels[tile] {
		w, h := l.label.widthMM/2, l.label.heightMM/2
		c := [4]mat.Point{{X: -w, Y: -h}, {X: w, Y: -h}, {X: w, Y: h}, {X: -w, Y: h}}
		for i := range c {
			d := turned(c[i], l.turnRad)
			c[i] = mat.Point{X: l.at.X + d.X, Y: l.at.Y + d.Y}
		}
		all = append(all, boxed{"label of " + l.art.piece.ID, c})
	}
	for _, i := range b.layout.Tiles[tile].Pieces {
		for _, g := range b.art[i].tags {
			all = append(all, boxed{"tag " + g.text, g.corners})
		}
	}
	return all
}

// No word lies over a line of any piece or over another word: the helmet on
// every paper, and thirty small pieces close together.
func TestWordsKeepClear(t *testing.T) {
	docs := map[string]Document{"crowd": crowd(t)}
	for _, paper := range page.Papers() {
		doc := joinedHelmet(t)
		doc.Setup.Paper = paper
		docs[paper.Name] = doc
	}
	for name, doc := range docs {
		b, err := bookOf(doc)
		if err != nil {
			t.Fatal(err)
		}
		for tile := range b.layout.Tiles {
			checkWords(t, name+", sheet "+b.layout.Tiles[tile].Label, b, tile)
			if s := b.sheet(tile); s.meetsMarks(b.names[tile]) {
				t.Errorf("%s: the name of sheet %s lies over a match mark", name, s.tile.Label)
			}
		}
	}
}

func checkWords(t *testing.T, where string, b *book, tile int) {
	t.Helper()
	words := wordsOn(b, tile)
	for i, w := range words {
		for _, k := range b.layout.Tiles[tile].Pieces {
			a := b.art[k]
			for _, loop := range a.loops {
				if crosses(w.box, loop, true) {
					t.Errorf("%s: %s lies over a cut line of %s", where, w.what, a.piece.ID)
				}
			}
			for _, line := range a.lines {
				if crosses(w.box, line, false) {
					t.Errorf("%s: %s lies over a line of %s", where, w.what, a.piece.ID)
				}
			}
		}
		for _, o := range words[:i] {
			if overlap(w.box, o.box) {
				t.Errorf("%s: %s lies over %s", where, w.what, o.what)
			}
		}
	}
}

// Every small piece has its letter, and every edge that leans or is joined says
// so.
func TestCrowdIsNamed(t *testing.T) {
	set, err := Pages(crowd(t))
	if err != nil {
		t.Fatal(err)
	}
	all := record(t, set)
	words := map[string]int{}
	for _, w := range all[len(all)-1].words {
		words[w.Text]++
		if strings.Contains(w.Text, " B30°") || strings.Contains(w.Text, " U15°") {
			words[w.Text[strings.IndexAny(w.Text, " ")+1:]]++
		}
	}
	for i := range 30 {
		if words[pattern.Letters(i)] != 1 {
			t.Errorf("piece %s is named %d times", pattern.Letters(i), words[pattern.Letters(i)])
		}
	}
	for i := range 15 {
		for _, want := range []string{fmt.Sprintf("B30° s%d", i+1), fmt.Sprintf("U15° s%d", i+1)} {
			if words[want] != 1 {
				t.Errorf("%q stands on the sheet %d times", want, words[want])
			}
		}
	}
	if words["B30°"] != 15 || words["U15°"] != 15 {
		t.Errorf("%d bevels and %d undercuts without a seam are told, want 15 each", words["B30°"], words["U15°"])
	}
}

// A long edge that leans is named on every sheet that shows a good stretch of
// it; one that is plain only once.
func TestLongEdgeIsNamedOnEverySheet(t *testing.T) {
	doc := helmet()
	p := pattern.Piece{ID: "A", ThicknessMM: 5, Outline: curve.Polygon(mat.Point{}, mat.Point{X: 1500}, mat.Point{X: 1500, Y: 120}, mat.Point{Y: 120})}
	if err := pattern.EdgesFromCorners(&p); err != nil {
		t.Fatal(err)
	}
	p.Edges[0].Cut = pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}
	doc.Pattern = pattern.Pattern{Pieces: []pattern.Piece{p}}
	set, err := Pages(doc)
	if err != nil {
		t.Fatal(err)
	}
	bevel, plain := 0, 0
	all := record(t, set)
	for i, tile := range set.Layout.Tiles {
		r := all[len(all)-len(set.Layout.Tiles)+i]
		shown := set.Layout.OwnMM(i)
		for _, w := range r.words {
			x := w.At.X - set.Layout.Content.MinX + tile.OriginMM.X
			if w.CapMM != tagCapMM || x < shown.MinX || x > shown.MaxX {
				continue // the sheet's own name, or clipped
			}
			switch w.Text {
			case "A1 B30°":
				bevel++
			case "A3":
				plain++
			}
		}
	}
	if bevel != len(set.Layout.Tiles) || plain != 1 {
		t.Errorf("on %d sheets the bevel is named %d times, the plain edge %d times", len(set.Layout.Tiles), bevel, plain)
	}
}

// Marks that meet carry the same words on both edges.
func TestMarksCarryTheirSeam(t *testing.T) {
	doc := joinedHelmet(t)
	b, err := bookOf(doc)
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]map[string]int{}
	for _, a := range b.art {
		for _, g := range a.tags {
			if strings.Contains(g.text, "/") {
				if count[g.text] == nil {
					count[g.text] = map[string]int{}
				}
				count[g.text][a.piece.ID]++
			}
		}
	}
	joints := 0
	for _, s := range doc.Pattern.Seams {
		m, err := doc.Pattern.MeasureSeam(s.ID)
		if err != nil {
			t.Fatal(err)
		}
		for i := range m.Joints {
			joints++
			if on := count[fmt.Sprintf("%s/%d", s.ID, i+1)]; len(on) != 2 {
				t.Errorf("joint %d of %s is named on %v", i+1, s.ID, on)
			}
		}
	}
	if joints == 0 || joints != len(count) {
		t.Errorf("%d joints, %d names of marks", joints, len(count))
	}
}
