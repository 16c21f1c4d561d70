package sheet

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

func plan(t *testing.T, p pattern.Pattern, o Options) Result {
	t.Helper()
	r, err := Plan(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	verify(t, r, o)
	return r
}

// helmet is the specimen, all of one thickness.
func helmet() pattern.Pattern {
	p := specimen.Helmet()
	for i := range p.Pieces {
		p.Pieces[i].ThicknessMM = 5
	}
	return p
}

// trueShapes are a placed piece's own outline and other face, finely flattened.
func trueShapes(p *pattern.Piece) []polygon.Shape {
	flat := func(paths []curve.Path) polygon.Shape {
		s := polygon.Shape{Outline: paths[0].Flatten(0.001)}
		for _, o := range paths[1:] {
			s.Openings = append(s.Openings, o.Flatten(0.001))
		}
		return s
	}
	out := []polygon.Shape{flat(append([]curve.Path{p.Outline}, p.Openings...))}
	if other, _ := pattern.OtherFace(*p); len(other) > 0 {
		out = append(out, flat(other))
	}
	return out
}

// verify checks a plan by the true curves: gaps, margins and areas.
func verify(t *testing.T, r Result, o Options) {
	t.Helper()
	const slackMM = 0.002
	for k, s := range r.Sheets {
		var shapes [][]polygon.Shape
		area := 0.0
		for i := range s.Pieces {
			shapes = append(shapes, trueShapes(&s.Pieces[i].Piece))
			area += shapes[i][0].AreaMM2()
			for _, a := range shapes[i] {
				b := polygon.BoxOf(a.Outline)
				if m := o.MarginMM - slackMM; b.MinX < m || b.MinY < m || b.MaxX > s.LengthMM-m || b.MaxY > s.WidthMM-m {
					t.Errorf("sheet %d: piece %s at %+v leaves the %g × %g mm sheet's margin", k, s.Pieces[i].Piece.ID, b, s.LengthMM, s.WidthMM)
				}
				for j := range i {
					for _, c := range shapes[j] {
						if d := polygon.DistanceMM(a, c); d < o.GapMM-slackMM {
							t.Errorf("sheet %d: pieces %s and %s lie %.3f mm apart, want %g", k, s.Pieces[i].Piece.ID, s.Pieces[j].Piece.ID, d, o.GapMM)
						}
					}
				}
			}
		}
		if math.Abs(area-s.PiecesMM2) > 1e-3*area || !(s.Yield > 0 && s.Yield < 1) {
			t.Errorf("sheet %d: area %g, told %g; yield %g", k, area, s.PiecesMM2, s.Yield)
		}
	}
}

func TestHelmetOnSheets(t *testing.T) {
	o := Options{
		Stock: []Stock{{Name: "600x1000mm", WidthMM: 600, LengthMM: 1000}},
		GapMM: 3, MarginMM: 5, Seed: 1, Moves: 1200,
	}
	p := helmet()
	r := plan(t, p, o)
	want, got := map[string]int{}, map[string]int{}
	for _, q := range p.Pieces {
		want[q.ID] = max(1, q.Quantity)
	}
	for _, s := range r.Sheets {
		for _, q := range s.Pieces {
			got[q.Piece.ID]++
			turn := q.Move.A*q.Move.E - q.Move.B*q.Move.D
			if (turn < 0) != q.Mirrored || math.Abs(math.Abs(turn)-1) > 1e-9 {
				t.Errorf("piece %s copy %d: mirrored %t, its move has determinant %g", q.Piece.ID, q.Copy, q.Mirrored, turn)
			}
		}
	}
	for id, n := range want {
		if got[id] != n {
			t.Errorf("piece %s is laid out %d times, want %d", id, got[id], n)
		}
	}
	if len(r.Left) > 0 {
		t.Errorf("left: %v", r.Left)
	}
	t.Logf("%d sheets, yield %.1f %%, %d moves", len(r.Sheets), 100*r.Yield, r.Moves)
	keepFiles(t, r)
}

// keepFiles writes every format; with FLATWRIGHT_KEEP set to a folder they stay
// there to be looked at.
func keepFiles(t *testing.T, r Result) {
	t.Helper()
	files, err := Files(r, []Format{PNG, SVG, DXF}, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil || b.Len() == 0 {
			t.Errorf("%s: %d bytes, %v", f.Name, b.Len(), err)
		}
		if dir := os.Getenv("FLATWRIGHT_KEEP"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, t.Name()+"-"+f.Name), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// Of three mirrored pieces one is turned over, of a single one that one.
func TestMirroredCopies(t *testing.T) {
	for _, c := range []struct{ quantity, mirrored int }{{1, 1}, {2, 1}, {3, 1}, {4, 2}} {
		p := specimen.Chiral()
		p.Pieces[0].Quantity, p.Pieces[0].Mirrored = c.quantity, true
		r := plan(t, p, Options{Stock: []Stock{{WidthMM: 300, LengthMM: 300}}, GapMM: 2, MarginMM: 3, Seed: 1, Moves: 300})
		n := 0
		for _, q := range r.Sheets[0].Pieces {
			if q.Mirrored {
				n++
			}
			// The F's bar lies right of its stem as drawn: the outline's long side
			// runs one way round in both, for Moved keeps the direction.
			if q.Piece.Outline.Area()*p.Pieces[0].Outline.Area() <= 0 {
				t.Error("a copy's outline runs the other way round")
			}
		}
		if n != c.mirrored {
			t.Errorf("%d copies, %d turned over, want %d", c.quantity, n, c.mirrored)
		}
	}
}

func TestThicknessesGoToTheirOwnSheets(t *testing.T) {
	p := helmet()
	for i := range p.Pieces {
		p.Pieces[i].ThicknessMM = []float64{5, 10}[i%2]
	}
	r := plan(t, p, Options{
		Stock: []Stock{{Name: "five", WidthMM: 900, LengthMM: 600, ThicknessMM: 5}, {Name: "any", WidthMM: 600, LengthMM: 900}},
		GapMM: 2, MarginMM: 3, Seed: 1, Moves: 800,
	})
	for _, s := range r.Sheets {
		for _, q := range s.Pieces {
			if q.Piece.ThicknessMM != s.ThicknessMM {
				t.Errorf("a piece %g mm thick lies on a sheet for %g", q.Piece.ThicknessMM, s.ThicknessMM)
			}
		}
		if s.ThicknessMM == 10 && s.Name == "five" {
			t.Error("a sheet 5 mm thick is used for 10 mm")
		}
	}
}

func TestRollIsCutOff(t *testing.T) {
	r := plan(t, helmet(), Options{Stock: []Stock{{Name: "roll", WidthMM: 610}}, GapMM: 3, MarginMM: 5, Seed: 1, Moves: 1000})
	if len(r.Sheets) != 1 || r.Sheets[0].LengthMM < 100 || r.Sheets[0].LengthMM > 1500 {
		t.Fatalf("%d sheets, the first %g mm long", len(r.Sheets), r.Sheets[0].LengthMM)
	}
	t.Logf("%.0f mm of a roll of 610 mm, yield %.1f %%", r.Sheets[0].LengthMM, 100*r.Yield)
}

// An off-cut is used before new sheets, inside its own outline and clear of
// what was cut from it before.
func TestOffCut(t *testing.T) {
	off := Stock{
		Name:     "rest of last week",
		Outline:  []mat.Point{{X: 50, Y: 50}, {X: 650, Y: 80}, {X: 600, Y: 300}, {X: 380, Y: 320}, {X: 330, Y: 620}, {X: 60, Y: 600}},
		Openings: [][]mat.Point{{{X: 150, Y: 150}, {X: 250, Y: 150}, {X: 200, Y: 240}}},
	}
	o := Options{Stock: []Stock{{WidthMM: 600, LengthMM: 1000}, off}, GapMM: 3, MarginMM: 4, Seed: 2, Moves: 1200}
	r := plan(t, helmet(), o)
	if len(r.Sheets) == 0 || r.Sheets[0].Stock != 1 {
		t.Fatal("the off-cut is not used first")
	}
	s := r.Sheets[0]
	outline := polygon.Shape{Outline: s.Outline}
	for i := range s.Pieces {
		for _, q := range trueShapes(&s.Pieces[i].Piece) {
			for _, v := range q.Outline {
				if !polygon.Holds(s.Outline, v) {
					t.Fatalf("piece %s leaves the off-cut at %v", s.Pieces[i].Piece.ID, v)
				}
			}
			for _, ring := range append([][]mat.Point{outline.Outline}, s.Openings...) {
				if d := ringGap(q.Outline, ring); d < o.MarginMM-0.002 {
					t.Errorf("piece %s lies %.3f mm from the off-cut's edge", s.Pieces[i].Piece.ID, d)
				}
			}
		}
	}
	keepFiles(t, r)
}

// ringGap is the least distance between two rings.
func ringGap(a, b []mat.Point) float64 {
	least := math.Inf(1)
	for i, p := range a {
		q := a[(i+1)%len(a)]
		for j, u := range b {
			v := b[(j+1)%len(b)]
			thin := polygon.Shape{Outline: []mat.Point{p, q, p}}
			least = math.Min(least, polygon.DistanceMM(thin, polygon.Shape{Outline: []mat.Point{u, v, u}}))
		}
	}
	return least
}

func TestTooLargeAndTooFew(t *testing.T) {
	p := helmet()
	r := plan(t, p, Options{Stock: []Stock{{WidthMM: 200, LengthMM: 200, Number: 1}}, GapMM: 3, MarginMM: 5, Seed: 1, Moves: 500})
	copies := 0
	for _, l := range r.Left {
		copies += l.Copies
		if !strings.Contains(l.Why, "give") {
			t.Errorf("piece %s: %q does not say what to do", p.Pieces[l.Index].ID, l.Why)
		}
	}
	for _, s := range r.Sheets {
		copies += len(s.Pieces)
	}
	want := 0
	for _, q := range p.Pieces {
		want += max(1, q.Quantity)
	}
	if copies != want || len(r.Sheets) != 1 {
		t.Errorf("%d copies are told of on %d sheets, want %d on 1", copies, len(r.Sheets), want)
	}
}

func TestRefusals(t *testing.T) {
	sheet := []Stock{{WidthMM: 600, LengthMM: 900}}
	open := specimen.Chiral()
	open.Pieces[0].Outline.Closed = false
	for name, c := range map[string]struct {
		p pattern.Pattern
		o Options
	}{
		"no stock":       {specimen.Chiral(), Options{}},
		"no pieces":      {pattern.Pattern{}, Options{Stock: sheet}},
		"open outline":   {open, Options{Stock: sheet}},
		"negative gap":   {specimen.Chiral(), Options{Stock: sheet, GapMM: -1}},
		"not a number":   {specimen.Chiral(), Options{Stock: sheet, MarginMM: math.NaN()}},
		"no width":       {specimen.Chiral(), Options{Stock: []Stock{{LengthMM: 100}}}},
		"flat off-cut":   {specimen.Chiral(), Options{Stock: []Stock{{Outline: []mat.Point{{}, {X: 5}, {X: 9}}}}}},
		"only margins":   {specimen.Chiral(), Options{Stock: []Stock{{WidthMM: 20, LengthMM: 20}}, MarginMM: 10}},
		"fewer than one": {specimen.Chiral(), Options{Stock: []Stock{{WidthMM: 20, LengthMM: 20, Number: -2}}}},
	} {
		c.o.Moves = 10
		if _, err := Plan(context.Background(), c.p, c.o); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestParseStock(t *testing.T) {
	for text, want := range map[string]Stock{
		"24x60in":         {WidthMM: 609.6, LengthMM: 1524},
		"600x1000":        {WidthMM: 600, LengthMM: 1000},
		"600 × 1000 mm":   {WidthMM: 600, LengthMM: 1000},
		"2x4ft:3":         {WidthMM: 609.6, LengthMM: 1219.2, Number: 3},
		"1x2m":            {WidthMM: 1000, LengthMM: 2000},
		"600x1000x5mm":    {WidthMM: 600, LengthMM: 1000, ThicknessMM: 5},
		"roll 24in":       {WidthMM: 609.6},
		"Roll 610x6mm:01": {WidthMM: 610, ThicknessMM: 6, Number: 1},
	} {
		got, err := ParseStock(text)
		got.Name = ""
		if err != nil || math.Abs(got.WidthMM-want.WidthMM)+math.Abs(got.LengthMM-want.LengthMM)+math.Abs(got.ThicknessMM-want.ThicknessMM) > 1e-9 || got.Number != want.Number {
			t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "x", "24", "24x", "0x5", "-1x5", "24x60x2x1", "24x60yd", "24x60in:0", "24x60in:x", "NaNx3", "1e9x3", "roll", "InfxInf"} {
		if s, err := ParseStock(text); err == nil {
			t.Errorf("%q is read as %+v", text, s)
		}
	}
}
