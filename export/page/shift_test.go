package page_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/export/page"
	"flatwright/export/page/specimen"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Wherever the sheets are moved, every point of every line that is printed stays
// in sight on a sheet, and the joins lie where they were moved to.
func TestShiftedSheetsCoverThePattern(t *testing.T) {
	p := specimen.Helmet()
	rapid.Check(t, func(t *rapid.T) {
		s := page.DefaultSetup()
		s.OverlapMM = rapid.Float64Range(0, 40).Draw(t, "overlap")
		usual, err := page.AsLaid(p, s)
		if err != nil {
			t.Fatal(err)
		}
		s.ShiftMM = mat.Point{X: rapid.Float64Range(-700, 700).Draw(t, "x"), Y: rapid.Float64Range(-700, 700).Draw(t, "y")}
		l, err := page.AsLaid(p, s)
		if err != nil {
			t.Fatal(err)
		}
		if l.Landscape != usual.Landscape {
			t.Fatal("moving the sheets turned them")
		}
		stepX, stepY := l.Content.Width()-s.OverlapMM, l.Content.Height()-s.OverlapMM
		whole := func(mm, step float64) bool { return math.Abs(mm/step-math.Round(mm/step)) < 1e-6 }
		for _, x := range l.Tiles {
			o, from := x.OriginMM, usual.Tiles[0].OriginMM
			if !whole(o.X-from.X-s.ShiftMM.X, stepX) || !whole(o.Y-from.Y-s.ShiftMM.Y, stepY) {
				t.Fatalf("sheet %s begins at %v, which is not %v moved by %v", x.Label, o, from, s.ShiftMM)
			}
		}
		for _, q := range p.Pieces {
			for _, at := range printed(q) {
				seen := false
				for i := range l.Tiles {
					r := l.OwnMM(i)
					seen = seen || at.X >= r.MinX-1e-6 && at.X <= r.MaxX+1e-6 && at.Y >= r.MinY-1e-6 && at.Y <= r.MaxY+1e-6
				}
				if !seen {
					t.Fatalf("%v of piece %s is on no sheet", at, q.ID)
				}
			}
		}
	})
}

// printed are points of all lines of a piece.
func printed(q pattern.Piece) []mat.Point {
	out := q.Outline.Flatten(0.1)
	for _, o := range q.Openings {
		out = append(out, o.Flatten(0.1)...)
	}
	for _, l := range q.Lines {
		out = append(out, l.Path.Flatten(0.1)...)
	}
	for _, m := range q.Marks {
		out = append(out, m.At, m.In)
	}
	return out
}

func TestShiftBeyondReason(t *testing.T) {
	s := page.DefaultSetup()
	s.ShiftMM.X = math.NaN()
	if s.Check() == nil {
		t.Error("a shift that is no number is taken")
	}
}
