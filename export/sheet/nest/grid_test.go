package nest

import (
	"math"
	"testing"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
	"pgregory.net/rapid"
)

// anyStar is a simple polygon about the origin, hollow here and there.
func anyStar(t *rapid.T, name string) polygon.Shape {
	n := rapid.IntRange(3, 14).Draw(t, name+" corners")
	var s polygon.Shape
	for i := range n {
		r := rapid.Float64Range(3, 50).Draw(t, name+" radius")
		a := 2 * math.Pi * float64(i) / float64(n)
		s.Outline = append(s.Outline, mat.Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
	}
	return s
}

// A grid changes no depth; outside of the no-fit polygon shapes are apart by
// the gap, well inside they are not.
func TestNoFitPolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyStar(t, "a"), anyStar(t, "b")
		ka, errA := newKind(a, nil, false)
		kb, errB := newKind(b, nil, false)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		gap := rapid.SampledFrom([]float64{0, 0, 2.5}).Draw(t, "gap")
		turn := rapid.Float64Range(0, 360).Draw(t, "turn")
		n := newNoFit(ka, kb, turn, gap)
		g := newNoFit(ka, kb, turn, gap)
		g.grid.Store(newGrid(g))
		at := mat.Point{X: rapid.Float64Range(-120, 120).Draw(t, "x"), Y: rapid.Float64Range(-120, 120).Draw(t, "y")}
		d := n.depth(at.X, at.Y)
		if e := g.depth(at.X, at.Y); d != e {
			t.Fatalf("depth %g, by the grid %g", d, e)
		}
		if e, nx, ny := n.exit(at.X, at.Y); e != d || d > 0 && math.Abs(math.Hypot(nx, ny)-1) > 1e-9 {
			t.Fatalf("depth %g, by the way out %g along (%g, %g)", d, e, nx, ny)
		}
		if e, _, _ := g.exit(at.X, at.Y); e != d {
			t.Fatalf("depth %g, by the way out of the grid %g", d, e)
		}
		// By the border of the whole: in and out alike, and no less deep.
		h := newNoFit(ka, kb, turn, gap)
		whole := newGrid(h)
		whole.border = newBoundary(h, whole)
		h.grid.Store(whole)
		deep := h.depth(at.X, at.Y)
		if (deep > 0) != (d > 0) || deep < d-1e-9 {
			t.Fatalf("depth %g by parts, %g by the border", d, deep)
		}
		if e, nx, ny := h.exit(at.X, at.Y); e != deep {
			t.Fatalf("depth %g, by the way out %g", deep, e)
		} else if e > 1e-6 && n.depth(at.X+nx*(e+1e-6), at.Y+ny*(e+1e-6)) > 1e-5 {
			t.Fatalf("(%g, %g) leads %g mm out to where it is %g deep", nx, ny, e, n.depth(at.X+nx*e, at.Y+ny*e))
		}
		sa := a.Placed(0, mat.Point{X: -ka.origin.X, Y: -ka.origin.Y})
		sb := b.Placed(0, mat.Point{X: -kb.origin.X, Y: -kb.origin.Y}).Placed(turn, at)
		apart := polygon.DistanceMM(sa, sb)
		if d == 0 && gap > 0 && apart < gap-1e-9 {
			t.Fatalf("no overlap, yet %g mm apart with a gap of %g", apart, gap)
		}
		if d == 0 && gap == 0 && overlap(sa, sb) {
			t.Fatal("no overlap is told of shapes that overlap")
		}
		if d > gap*0.16+1e-4 && (gap > 0 && apart >= gap || gap == 0 && !overlap(sa, sb)) {
			t.Fatalf("overlap of %g, yet %g mm apart with a gap of %g", d, apart, gap)
		}
	})
}
