package draw

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/export/page"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// anyPiece draws a piece as bad as it may come: kinks, loops, points on top
// of each other, edges and cuts out of range, marks and lines anywhere.
func anyPiece(t *rapid.T, id string) pattern.Piece {
	at := func() mat.Point {
		g := rapid.Float64Range(-200, 200)
		if rapid.IntRange(0, 5).Draw(t, "origin") == 0 {
			return mat.Point{}
		}
		return mat.Point{X: g.Draw(t, "x"), Y: g.Draw(t, "y")}
	}
	p := pattern.Piece{
		ID: id, Name: rapid.StringN(0, 30, -1).Draw(t, "name"), Outline: curve.Path{Closed: true},
		Quantity:    rapid.IntRange(-2, 9).Draw(t, "quantity"),
		Mirrored:    rapid.Bool().Draw(t, "mirrored"),
		ThicknessMM: rapid.Float64Range(-5, 30).Draw(t, "thickness"),
		Face:        rapid.SampledFrom([]pattern.Face{"", pattern.Front, pattern.Back}).Draw(t, "face"),
	}
	first := at()
	from := first
	for range rapid.IntRange(2, 8).Draw(t, "segments") {
		s := curve.Line(from, at())
		if rapid.Bool().Draw(t, "curved") {
			s = curve.Cubic(from, at(), at(), at())
		}
		p.Outline.Segments = append(p.Outline.Segments, s)
		from = s.P3
	}
	p.Outline.Segments = append(p.Outline.Segments, curve.Line(from, first))
	for i := range rapid.IntRange(0, 5).Draw(t, "edges") {
		p.Edges = append(p.Edges, pattern.Edge{
			ID: string(rune('1' + i)), First: rapid.IntRange(-3, 12).Draw(t, "first"), Count: rapid.IntRange(-1, 12).Draw(t, "count"),
			Cut: pattern.Cut{
				Kind:     rapid.SampledFrom([]pattern.CutKind{"", "odd", pattern.Straight, pattern.Bevel, pattern.Undercut}).Draw(t, "kind"),
				AngleDeg: rapid.Float64Range(-10, 80).Draw(t, "angle"),
			},
		})
	}
	p.Marks = []pattern.Mark{{At: at(), In: at()}}
	p.Lines = []pattern.InsideLine{{Path: curve.Polyline(at(), at())}, {}}
	p.Openings = []curve.Path{curve.Polygon(at(), at(), at()), {}}
	return p
}

// finiteOnly is a canvas that wants ordinary numbers.
type finiteOnly struct {
	recorder
	odd bool
}

func (f *finiteOnly) Stroke(p Path, _ Pen)       { f.look(p) }
func (f *finiteOnly) Fill(p Path, _ page.Colour) { f.look(p) }
func (f *finiteOnly) look(p Path) {
	for _, s := range p {
		for _, q := range []Point{s.C1, s.C2, s.To} {
			f.odd = f.odd || math.IsNaN(q.X+q.Y) || math.IsInf(q.X+q.Y, 0)
		}
	}
}

// Whatever the pattern, pages are drawn with ordinary numbers, or refused.
func TestAnyPattern(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doc := Document{Setup: page.DefaultSetup()}
		for i := range rapid.IntRange(1, 3).Draw(t, "pieces") {
			doc.Pattern.Pieces = append(doc.Pattern.Pieces, anyPiece(t, pattern.Letters(i)))
		}
		set, err := Pages(doc)
		if err != nil {
			return
		}
		for i := range set.Pages {
			c := &finiteOnly{}
			set.Pages[i].Draw(c)
			if c.odd || len(c.bad) > 0 {
				t.Fatalf("%s: %v", set.Pages[i].Name, c.bad)
			}
		}
	})
}
