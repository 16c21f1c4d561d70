package pattern

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// allKinds are the kinds of finding that Check can return.
var allKinds = []FindingKind{
	Faulty, BackFace, SeamLength, SeamMarks, SeamAngle, PointAngle, SeamStep, BareSeam, EitherWay, Unpaired,
	SameName, TooLarge, TooTight, OutlineFault, AllowanceStrip, OpenDart, WideDart, TapeUnsaid,
}

// broken is a pattern that has something of a kind.
type broken struct {
	name string
	kind FindingKind
	make func(t *testing.T) Pattern
}

func cutAt(t *testing.T, p Pattern, deg float64, edges ...string) Pattern {
	t.Helper()
	for _, e := range edges {
		if err := p.SetCut(e, CutOf(deg)); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

// onFirst is a pair of strips joined by one marked seam whose first piece is
// changed.
func onFirst(change func(q *Piece)) func(t *testing.T) Pattern {
	return func(t *testing.T) Pattern {
		p := strips(t, 100, []float64{41}, []float64{41})
		change(&p.Pieces[0])
		return p
	}
}

func square(x, y, side float64) curve.Path {
	return curve.Polygon(pt(x, y), pt(x+side, y), pt(x+side, y+side), pt(x, y+side))
}

func brokenPatterns() []broken {
	plain := func(a, b []float64, high float64) func(t *testing.T) Pattern {
		return func(t *testing.T) Pattern { return strips(t, high, a, b) }
	}
	limited := func(set func(l *Limits)) func(t *testing.T) Pattern {
		return func(t *testing.T) Pattern {
			p := strips(t, 100, []float64{41}, []float64{41})
			set(&p.Limits)
			return p
		}
	}
	shape := func(corners ...mat.Point) func(t *testing.T) Pattern {
		return func(t *testing.T) Pattern { return outlined(t, corners...) }
	}
	return []broken{
		{"a loop in the outline", Faulty, shape(pt(0, 0), pt(53, 0), pt(53, -4), pt(50, -4), pt(50, 2), pt(100, 2), pt(100, 100), pt(0, 100))},
		{"an outline like an 8", Faulty, shape(pt(0, 0), pt(100, 100), pt(100, 0), pt(0, 70))},
		{"an outline with a gap", Faulty, onFirst(func(q *Piece) { q.Outline.Segments[2].P0.X += 3 })},
		{"none of a piece", Faulty, onFirst(func(q *Piece) { q.Quantity = 0 })},
		{"a negative thickness", Faulty, onFirst(func(q *Piece) { q.ThicknessMM = -5 })},
		{"a slant without a thickness", Faulty, onFirst(func(q *Piece) { q.ThicknessMM, q.Edges[0].Cut = 0, CutOf(30) })},
		{"a cut of 89°", Faulty, onFirst(func(q *Piece) { q.Edges[0].Cut = CutOf(89) })},
		{"edges that leave a gap", Faulty, onFirst(func(q *Piece) { q.Edges = q.Edges[:3] })},
		{"a mark off the outline", Faulty, onFirst(func(q *Piece) { q.Marks[0].At.X -= 4 })},
		{"openings that meet", Faulty, onFirst(func(q *Piece) { q.Openings = []curve.Path{square(10, 10, 20), square(25, 25, 15)} })},
		{"an opening that crosses itself", Faulty, onFirst(func(q *Piece) {
			q.Openings = []curve.Path{curve.Polygon(pt(10, 10), pt(30, 30), pt(30, 10), pt(10, 25))}
		})},
		{"an opening that breaks through", BackFace, onFirst(func(q *Piece) { q.Openings = []curve.Path{square(40, 10, 20)} })},
		{"an opening that a bevel reaches", BackFace, onFirst(func(q *Piece) {
			q.Openings, q.Edges[3].Cut = []curve.Path{square(4, 30, 20)}, CutOf(45)
		})},
		{"a back face that vanishes", BackFace, func(t *testing.T) Pattern {
			return cutAt(t, strips(t, 100, []float64{41}, []float64{41}), 70, "A1", "A2", "A3", "A4")
		}},
		{"a back face that vanishes by all edges", BackFace, func(t *testing.T) Pattern {
			p := outlined(t, pt(0, 0), pt(10, 0), pt(10, 10), pt(0, 10))
			p.Pieces[0].ThicknessMM = 10
			return cutAt(t, p, 60, "A1", "A2", "A3", "A4")
		}},
		{"sides 6 mm apart", SeamLength, plain([]float64{20, 50, 80}, []float64{20, 56, 86}, 106)},
		{"sides 40 % apart", SeamLength, plain([]float64{20}, []float64{20}, 150)},
		{"a mark alone", SeamMarks, plain([]float64{20, 50}, []float64{20}, 100)},
		{"marks that miss", SeamMarks, plain([]float64{50}, []float64{53}, 100)},
		{"bevels too sharp", SeamAngle, func(t *testing.T) Pattern {
			p := cutAt(t, strips(t, 100, []float64{41}, []float64{41}), 72, "A2", "B4")
			p.Limits.LeastDeg = 60
			return p
		}},
		{"undercuts too wide", SeamAngle, func(t *testing.T) Pattern {
			return cutAt(t, strips(t, 100, []float64{41}, []float64{41}), -60, "A2", "B4")
		}},
		{"not the wanted angle, sheets too unequal", SeamAngle, func(t *testing.T) Pattern {
			p := sheetsOf(t, 10, 5)
			p.Seams[0].WantDeg = 170
			return p
		}},
		{"a point that is not bevelled", PointAngle, func(t *testing.T) Pattern {
			p, _ := unfold(t, cubeFaces(), 10)
			return p
		}},
		{"a point that does not close", PointAngle, openPoint},
		{"a point of unequal sheets", PointAngle, func(t *testing.T) Pattern {
			p, _ := unfold(t, cubeFaces(), 10)
			p.Pieces[0].ThicknessMM = 1.5
			return p
		}},
		{"one edge takes the turn", SeamStep, func(t *testing.T) Pattern {
			return cutAt(t, strips(t, 100, []float64{41}, []float64{41}), 60, "A2")
		}},
		{"unequal sheets that lie flat", SeamStep, func(t *testing.T) Pattern { return sheetsOf(t, 10, 5) }},
		{"a bare seam", BareSeam, func(t *testing.T) Pattern {
			p := strips(t, 100, nil, nil)
			p.Limits.BareSeamMM = 90
			return p
		}},
		{"marks that meet either way", EitherWay, plain([]float64{30, 70}, []float64{30, 70}, 100)},
		{"edges in no seam", Unpaired, plain([]float64{41}, []float64{41}, 100)},
		{"one name twice", SameName, onFirst(func(q *Piece) { q.Name = "brow" })},
		{"fits turned", TooLarge, func(t *testing.T) Pattern {
			p := turned(t, 30)
			p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = 105, 30
			return p
		}},
		{"too large for the sheet", TooLarge, limited(func(l *Limits) { l.SheetWidthMM, l.SheetHeightMM = 90, 40 })},
		{"a bevel round a disc", TooTight, func(t *testing.T) Pattern {
			p, err := New("disc", Piece{Outline: disc(20), ThicknessMM: 10})
			if err != nil {
				t.Fatal(err)
			}
			return cutAt(t, p, 30, "A1")
		}},
		{"a spike", OutlineFault, shape(pt(0, 0), pt(50, 0), pt(50.3, -6), pt(50.6, 0), pt(100, 0), pt(100, 100), pt(0, 100))},
		{"a sliver", OutlineFault, shape(pt(0, 0), pt(99.2, 0), pt(100, 0.4), pt(100, 80), pt(0, 80))},
		{"an allowance that folds over", AllowanceStrip, func(t *testing.T) Pattern {
			p := bitten(t, 10)
			for k := range p.Pieces[0].Edges {
				p.Pieces[0].Edges[k].Allowance.WidthMM = 15
			}
			return p
		}},
		{"a dart that no seam closes", OpenDart, darted},
		{"a wide dart", WideDart, func(t *testing.T) Pattern {
			p := darted(t)
			if _, err := p.Pair(Run{{Edge: "A2", Reversed: true}}, Run{{Edge: "A3"}}); err != nil {
				t.Fatal(err)
			}
			return p
		}},
		{"tape without a meaning", TapeUnsaid, func(t *testing.T) Pattern {
			p := strips(t, 100, []float64{41}, []float64{41})
			id := p.AddTape("blue", [3]uint8{20, 60, 200})
			if err := p.SetEdgeTape("A1", id); err != nil {
				t.Fatal(err)
			}
			return p
		}},
	}
}

// Every kind of finding has a number in its text, a place on the mat, and a
// mend that takes it away or makes less of it.
func TestEveryFindingIsMended(t *testing.T) {
	number := regexp.MustCompile(`(^|[ (])-?\d+(\.\d+)?(°| |\.|,|$)`)
	seen := map[FindingKind]int{}
	for _, c := range brokenPatterns() {
		p := c.make(t)
		if c.kind == SameName {
			p.Pieces[1].Name = "Brow"
		}
		// Away from the mat's corner, so that no place at all shows.
		for i := range p.Pieces {
			p.Pieces[i] = p.Pieces[i].Translate(pt(300, 200))
		}
		found := of(Check(p), c.kind)
		if len(found) == 0 {
			t.Errorf("%s: no finding of %q among %+v", c.name, c.kind, Check(p))
			continue
		}
		seen[c.kind]++
		for _, f := range found {
			if !number.MatchString(f.Text) {
				t.Errorf("%s: no number in %q", c.name, f.Text)
			}
			if !nearPieces(p, f.At) {
				t.Errorf("%s: (%g, %g) is no place of the pattern", c.name, f.At.X, f.At.Y)
			}
			for _, m := range []Mend{f.Mend, f.Other} {
				if m != (Mend{}) {
					mends(t, c, p, m)
				}
			}
			if f.Mend == (Mend{}) {
				t.Errorf("%s: no mend for %q", c.name, f.Text)
			}
		}
	}
	for _, k := range allKinds {
		if seen[k] == 0 {
			t.Errorf("no pattern for findings of %q", k)
		}
	}
	if len(seen) != len(allKinds) {
		t.Errorf("%d kinds seen, %d listed", len(seen), len(allKinds))
	}
}

// nearPieces tells whether a place lies within the box of a piece.
func nearPieces(p Pattern, at mat.Point) bool {
	const reachMM = 0.5
	return slices.ContainsFunc(p.Pieces, func(q Piece) bool { return q.Outline.Bounds().DistanceMM(at) <= reachMM })
}

// weight is how many findings of a kind there are, and how much they come to.
func weight(p Pattern, kind FindingKind) (n int, amount float64) {
	for _, f := range of(Check(p), kind) {
		n++
		amount += math.Abs(f.AmountMM) + math.Abs(f.AmountDeg)
	}
	return n, amount
}

func mends(t *testing.T, c broken, p Pattern, m Mend) {
	t.Helper()
	label := m.Label()
	if label == "" || len([]rune(label)) > mostLabel {
		t.Errorf("%s: the mend %q is called %q", c.name, m.Kind, label)
	}
	q := p.clone()
	before, amount := weight(p, c.kind)
	if err := q.Apply(m); err != nil {
		t.Errorf("%s: %q failed: %v", c.name, label, err)
		return
	}
	after, left := weight(q, c.kind)
	if after >= before && !(left < amount-1e-9) {
		t.Errorf("%s: after %q there are %d findings of %.2f, before %d of %.2f: %s", c.name, label, after, left, before, amount, texts(q, c.kind))
	}
}

// mostLabel is for how many letters the panel has room on a button.
const mostLabel = 36

func texts(p Pattern, kind FindingKind) string {
	return fmt.Sprintf("%q", func() (out []string) {
		for _, f := range of(Check(p), kind) {
			out = append(out, f.Text)
		}
		return out
	}())
}

// Whatever is wrong with a pattern at once, Check answers, and a mend that it
// offers can be made or is refused in words.
func TestCheckOfAnythingAnswers(t *testing.T) {
	all := brokenPatterns()
	rapid.Check(t, func(r *rapid.T) {
		p := all[rapid.IntRange(0, len(all)-1).Draw(r, "pattern")].make(t)
		for i := range p.Pieces {
			q := &p.Pieces[i]
			if rapid.Bool().Draw(r, "thickness") {
				q.ThicknessMM = rapid.SampledFrom([]float64{-1, 0, 2, 300, math.NaN(), math.Inf(1)}).Draw(r, "mm")
			}
			for k := range q.Edges {
				if rapid.IntRange(0, 3).Draw(r, "cut") == 0 {
					q.Edges[k].Cut = CutOf(rapid.SampledFrom([]float64{-80, -30, 45, 89, math.NaN()}).Draw(r, "deg"))
				}
				if rapid.IntRange(0, 5).Draw(r, "allowance") == 0 {
					q.Edges[k].Allowance.WidthMM = rapid.Float64Range(-5, 80).Draw(r, "allowance_mm")
				}
			}
			if rapid.IntRange(0, 3).Draw(r, "quantity") == 0 {
				q.Quantity = -1
			}
		}
		p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = 50, 40
		for _, f := range Check(p) {
			for _, m := range []Mend{f.Mend, f.Other} {
				if m == (Mend{}) {
					continue
				}
				q := p.clone()
				if err := q.Apply(m); err != nil && err.Error() == "" {
					r.Errorf("%q was refused without a word", m.Label())
				}
				Check(q)
			}
		}
	})
}
