package page

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// genPattern draws blobs: closed curves through points round a centre.
func genPattern(t *rapid.T) pattern.Pattern {
	var p pattern.Pattern
	for i := range rapid.IntRange(1, 6).Draw(t, "pieces") {
		cx, cy := rapid.Float64Range(-700, 700).Draw(t, "x"), rapid.Float64Range(-500, 500).Draw(t, "y")
		n := rapid.IntRange(3, 9).Draw(t, "nodes")
		pts := make([]mat.Point, n)
		for k := range pts {
			r := rapid.Float64Range(5, 220).Draw(t, "r")
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			pts[k] = mat.Point{X: cx + r*c, Y: cy + r*s}
		}
		p.Pieces = append(p.Pieces, pattern.Piece{ID: pattern.Letters(i), Outline: rounded(pts)})
	}
	return p
}

// rounded joins points by cubics.
func rounded(pts []mat.Point) curve.Path {
	path := curve.Path{Closed: true}
	n := len(pts)
	for i := range pts {
		a, b, c, d := pts[(i+n-1)%n], pts[i], pts[(i+1)%n], pts[(i+2)%n]
		ctrl := func(p, from, to mat.Point, k float64) mat.Point {
			return mat.Point{X: p.X + k*(to.X-from.X), Y: p.Y + k*(to.Y-from.Y)}
		}
		path.Segments = append(path.Segments, curve.Cubic(b, ctrl(b, a, c, 0.15), ctrl(c, b, d, -0.15), c))
	}
	return path
}

func genSetup(t *rapid.T) Setup {
	return Setup{
		Paper:       rapid.SampledFrom(Papers()).Draw(t, "paper"),
		Orientation: rapid.SampledFrom([]Orientation{Auto, Portrait, Landscape}).Draw(t, "orientation"),
		MarginMM:    rapid.Float64Range(minMarginMM, 20).Draw(t, "margin"),
		OverlapMM:   rapid.SampledFrom([]float64{0, 5, 10, 25}).Draw(t, "overlap"),
	}
}

// Every point of every piece is printed, with half a line's width about it
// (where the tiles overlap at all).
func TestEveryPointIsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := genPattern(t), genSetup(t)
		l, err := AsLaid(p, s)
		if err != nil {
			t.Skip(err)
		}
		for i, piece := range p.Pieces {
			loop := piece.Outline.Flatten(0.01)
			pts := append([]mat.Point{}, loop...)
			box := boundsOf([][]mat.Point{loop})
			for range 40 {
				q := mat.Point{X: rapid.Float64Range(box.MinX, box.MaxX).Draw(t, "qx"), Y: rapid.Float64Range(box.MinY, box.MaxY).Draw(t, "qy")}
				if Inside(q, loop) {
					pts = append(pts, q)
				}
			}
			for _, q := range pts {
				if !printed(l, i, q) {
					t.Fatalf("piece %s: %v is on no tile", piece.ID, q)
				}
			}
		}
	})
}

// printed reports whether some tile shows the point with half a line about it
// and lists the piece.
func printed(l *Layout, piece int, q mat.Point) bool {
	about := 0.2
	if l.Setup.OverlapMM == 0 {
		about = -1e-9
	}
	for i, t := range l.Tiles {
		if !l.TileMM(i).Grown(-about).Holds(q) {
			continue
		}
		for _, k := range t.Pieces {
			if k == piece {
				return true
			}
		}
	}
	return false
}

func TestNeighboursOverlapAndMarksPair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := genPattern(t), genSetup(t)
		l, err := AsLaid(p, s)
		if err != nil {
			t.Skip(err)
		}
		joins := map[[2]int]int{}
		for i, tile := range l.Tiles {
			a := l.TileMM(i)
			if tile.Right >= 0 {
				b := l.TileMM(tile.Right)
				near(t, "strip to the right", a.MaxX-b.MinX, s.OverlapMM)
				near(t, "rows level", a.MinY, b.MinY)
				if l.Tiles[tile.Right].Left != i {
					t.Fatalf("tile %d: the neighbour does not know it", i)
				}
				joins[[2]int{i, tile.Right}] = 0
			}
			if tile.Below >= 0 {
				b := l.TileMM(tile.Below)
				near(t, "strip below", a.MaxY-b.MinY, s.OverlapMM)
				near(t, "columns level", a.MinX, b.MinX)
				joins[[2]int{i, tile.Below}] = 0
			}
		}
		labels := map[string]bool{}
		for _, m := range l.Marks {
			if labels[m.Label] {
				t.Fatalf("two marks are called %s", m.Label)
			}
			labels[m.Label] = true
			if !l.TileMM(m.Under).Grown(1e-9).Holds(m.AtMM) || !l.TileMM(m.Over).Grown(1e-9).Holds(m.AtMM) {
				t.Fatalf("mark %s is not on both its tiles", m.Label)
			}
			joins[[2]int{m.Under, m.Over}]++
		}
		for j, n := range joins {
			if n != 2 {
				t.Fatalf("join %v has %d marks", j, n)
			}
		}
	})
}

func near(t *rapid.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Fatalf("%s: %g, want %g", what, got, want)
	}
}

// No tile is printed in vain, and no grid that begins at the pattern's corner
// does with fewer.
func TestFewestSheets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, s := genPattern(t), genSetup(t)
		l, err := AsLaid(p, s)
		if err != nil {
			t.Skip(err)
		}
		ink, _ := inkOf(p)
		for i, tile := range l.Tiles {
			if len(tile.Pieces) == 0 || !touches(p, l.TileMM(i).Grown(2*inkPadMM)) {
				t.Fatalf("tile %s is blank", tile.Label)
			}
		}
		for _, landscape := range orientations(s.Orientation) {
			g, err := newGrid(ink.bounds, s, landscape)
			if err != nil {
				continue
			}
			g.origin = mat.Point{X: ink.bounds.MinX, Y: ink.bounds.MinY}
			// The coarse map may keep a sheet that a hair would spare.
			if n := len(g.layout(ink).Tiles); len(l.Tiles) > n+1 {
				t.Fatalf("%d tiles, %d would do", len(l.Tiles), n)
			}
		}
	})
}

// touches looks for a point of a piece in a rectangle, by dense samples of
// the outline and of the rectangle.
func touches(p pattern.Pattern, r Rect) bool {
	for _, piece := range p.Pieces {
		loop := piece.Outline.Flatten(0.01)
		if (&inkPiece{loop: loop}).hasLineIn(r) || Inside(mat.Point{X: (r.MinX + r.MaxX) / 2, Y: (r.MinY + r.MaxY) / 2}, loop) {
			return true
		}
	}
	return false
}

func box(id string, x, y, w, h float64) pattern.Piece {
	return pattern.Piece{ID: id, Outline: curve.Polygon(
		mat.Point{X: x, Y: y}, mat.Point{X: x + w, Y: y}, mat.Point{X: x + w, Y: y + h}, mat.Point{X: x, Y: y + h})}
}

func TestLayouts(t *testing.T) {
	portrait := DefaultSetup()
	portrait.Orientation = Portrait
	cases := []struct {
		name   string
		pieces []pattern.Piece
		setup  Setup
		tiles  int
		grid   [2]int
		lying  bool
		names  string
	}{
		{"one small piece", []pattern.Piece{box("A", 10, 20, 50, 60)}, DefaultSetup(), 1, [2]int{1, 1}, false, "r1 c1"},
		{"wide piece lies down", []pattern.Piece{box("A", 0, 0, 270, 100)}, DefaultSetup(), 1, [2]int{1, 1}, true, "r1 c1"},
		{"exactly the content area less the pad", []pattern.Piece{box("A", 0, 0, 189, 276)}, portrait, 1, [2]int{1, 1}, false, "r1 c1"},
		{"a hair more", []pattern.Piece{box("A", 0, 0, 189.1, 276)}, portrait, 2, [2]int{1, 2}, false, "r1 c1, r1 c2"},
		{
			"blank corner left out",
			[]pattern.Piece{box("A", 0, 0, 350, 20), box("B", 0, 0, 20, 500)},
			portrait, 3,
			[2]int{2, 2},
			false, "r1 c1, r1 c2, r2 c1",
		},
		{
			"two far apart",
			[]pattern.Piece{box("A", 0, 0, 20, 20), box("B", 700, 480, 20, 20)},
			portrait, 2,
			[2]int{2, 4},
			false, "r1 c1, r2 c4",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			l, err := AsLaid(pattern.Pattern{Pieces: c.pieces}, c.setup)
			if err != nil {
				t.Fatal(err)
			}
			names := ""
			for i, tile := range l.Tiles {
				if i > 0 {
					names += ", "
				}
				names += tile.Label
			}
			if len(l.Tiles) != c.tiles || [2]int{l.Rows, l.Cols} != c.grid || l.Landscape != c.lying || names != c.names {
				t.Errorf("%d tiles (%s) in %d × %d, landscape %t", len(l.Tiles), names, l.Rows, l.Cols, l.Landscape)
			}
		})
	}
}

// A single sheet shows the pattern in its middle.
func TestSingleSheetIsCentred(t *testing.T) {
	l, err := AsLaid(pattern.Pattern{Pieces: []pattern.Piece{box("A", 100, 200, 50, 60)}}, DefaultSetup())
	if err != nil {
		t.Fatal(err)
	}
	r := l.TileMM(0)
	if math.Abs((r.MinX+r.MaxX)/2-125) > 1e-9 || math.Abs((r.MinY+r.MaxY)/2-230) > 1e-9 {
		t.Errorf("the sheet shows %v", r)
	}
}

func TestRefusals(t *testing.T) {
	if _, err := AsLaid(pattern.Pattern{}, DefaultSetup()); !errors.Is(err, ErrEmpty) {
		t.Errorf("empty pattern: %v", err)
	}
	for name, p := range map[string]pattern.Piece{
		"no outline":   {ID: "A"},
		"no area":      box("A", 10, 10, 80, 0),
		"not a number": box("A", 0, 0, math.NaN(), 10),
		"infinite":     box("A", 0, 0, math.Inf(1), 10),
		"kilometres":   box("A", 0, 0, 1e6, 1e6),
	} {
		l, err := AsLaid(pattern.Pattern{Pieces: []pattern.Piece{p}}, DefaultSetup())
		if err == nil {
			t.Errorf("%s gives %d tiles", name, len(l.Tiles))
		}
	}
}

// A roll takes one page as long as the pattern needs, along or across, and no
// longer; beyond the longest print the rest follows on further pages.
func TestRolls(t *testing.T) {
	for name, c := range map[string]struct {
		w, h         float64
		pages        int
		pageW, pageH float64
	}{
		"across":              {500, 400, 1, 610, 421},
		"along":               {2000, 400, 1, 2021, 610},
		"short":               {50, 40, 1, 610, 180},
		"too long":            {7000, 300, 2, 4900, 610},
		"two lengths, across": {900, 700, 2, 610, 721},
	} {
		s := DefaultSetup()
		s.Paper, _ = PaperByName("roll610")
		l, err := AsLaid(pattern.Pattern{Pieces: []pattern.Piece{box("A", 0, 0, c.w, c.h)}}, s)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(l.Tiles) != c.pages || l.PageWidthMM != c.pageW || l.PageHeightMM != c.pageH {
			t.Errorf("%s: %d pages of %g × %g mm, want %v", name, len(l.Tiles), l.PageWidthMM, l.PageHeightMM, c)
		}
	}
}

// Of a roll the width counts as the shorter side even where the print is
// shorter still, and whichever way it lies.
func TestRollsPrinter(t *testing.T) {
	s := DefaultSetup()
	s.Paper, _ = PaperByName("roll610")
	s.Printer = Printer{Short: 0.99, Long: 1.01}
	for _, c := range [][4]float64{
		{610, 300, 1 / 0.99, 1 / 1.01},
		{300, 610, 1 / 1.01, 1 / 0.99},
		{610, 900, 1 / 0.99, 1 / 1.01},
		{900, 610, 1 / 1.01, 1 / 0.99},
		{210, 297, 1 / 0.99, 1 / 1.01}, // the cover, on a sheet
	} {
		if x, y := s.PrinterScale(c[0], c[1]); x != c[2] || y != c[3] {
			t.Errorf("%g × %g mm is drawn larger by %g, %g, want %g, %g", c[0], c[1], x, y, c[2], c[3])
		}
	}
}

func TestCutTag(t *testing.T) {
	for _, c := range []struct {
		cut  pattern.Cut
		want string
	}{
		{pattern.Cut{Kind: pattern.Straight, AngleDeg: 45}, ""},
		{pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45}, "B45°"},
		{pattern.Cut{Kind: pattern.Undercut, AngleDeg: 22.5}, "U22.5°"},
		{pattern.Cut{}, ""},
	} {
		if got := CutTag(c.cut); got != c.want {
			t.Errorf("%v: %q", c.cut, got)
		}
	}
}

func BenchmarkAsLaid(b *testing.B) {
	p := specimen.Helmet()
	for b.Loop() {
		if _, err := AsLaid(p, DefaultSetup()); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleAsLaid() {
	l, _ := AsLaid(specimen.Helmet(), DefaultSetup())
	fmt.Println(len(l.Tiles), "sheets in", l.Rows, "rows")
	// Output: 9 sheets in 3 rows
}
