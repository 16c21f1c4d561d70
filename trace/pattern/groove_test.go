package pattern

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A groove shut about its web: both walls are equally long and close up, so
// width and depth fit a triangle with the bend at its tip.
func TestGrooveFor(t *testing.T) {
	for _, c := range []struct{ bend, thick, web, depth, width float64 }{
		// Exact cases: a right angle has walls at 45°, 60° a triangle with sides
		// in the ratio of an equilateral one.
		{90, 10, 0, 10, 20},
		{90, 10, 1, 9, 18},
		{60, 6, 0, 6, 12 / math.Sqrt(3)},
		{120, 5, 2, 3, 6 * math.Sqrt(3)},
	} {
		g, err := GrooveFor(c.bend, c.thick, c.web)
		if err != nil || math.Abs(g.DepthMM-c.depth)+math.Abs(g.WidthMM-c.width) > 1e-9 || g.HalfDeg != c.bend/2 {
			t.Errorf("%+v: got %+v, %v", c, g, err)
		}
	}
	for _, c := range [][3]float64{{0, 10, 0}, {170, 10, 0}, {90, 0, 0}, {90, 10, 10}, {90, 10, -1}, {math.NaN(), 10, 0}} {
		if g, err := GrooveFor(c[0], c[1], c[2]); err == nil {
			t.Errorf("%v made %+v", c, g)
		}
	}
}

// A run of grooves turns through s/R in all, and no facet strays further from
// the arc than was allowed.
func TestGroovesFor(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		radius := rapid.Float64Range(30, 500).Draw(r, "radius")
		arc := rapid.Float64Range(5, 3*radius).Draw(r, "arc")
		thick := rapid.Float64Range(2, 10).Draw(r, "thickness")
		stray := rapid.Float64Range(0.2, 3).Draw(r, "sagitta")
		g, err := GroovesFor(radius, arc, thick, 0.2*thick, stray)
		if err != nil {
			return
		}
		if total := g.BendDeg * float64(g.Count); math.Abs(total-arc/radius/radPerDeg) > 1e-6 {
			r.Errorf("%d grooves bend by %g° in all, not %g°", g.Count, total, arc/radius/radPerDeg)
		}
		chord := 2 * radius * math.Sin(g.BendDeg/2*radPerDeg)
		if sagitta := radius - math.Sqrt(radius*radius-chord*chord/4); sagitta > stray*1.1 {
			r.Errorf("a facet strays %g mm, more than %g", sagitta, stray)
		}
		if g.WidthMM > g.SpacingMM {
			r.Errorf("grooves %g mm wide stand %g mm apart", g.WidthMM, g.SpacingMM)
		}
	})
	if _, err := GroovesFor(10, 60, 20, 0, 0.5); err == nil {
		t.Error("a 20 mm sheet was bent to a radius of 10 mm")
	}
	if _, err := GroovesFor(math.Inf(1), 60, 5, 0, 0.5); err == nil {
		t.Error("an endless radius was taken")
	}
}

// A slit opened to its own depth bends by 60°: an equilateral triangle; opened
// to twice its depth it lies flat out, 180°.
func TestSlit(t *testing.T) {
	for _, c := range []struct{ gap, depth, bend float64 }{{0, 5, 0}, {5, 5, 60}, {10, 5, 180}, {5 * math.Sqrt2, 5, 90}} {
		got, err := SlitBendDeg(c.gap, c.depth)
		if err != nil || math.Abs(got-c.bend) > 1e-9 {
			t.Errorf("%+v: got %g°, %v", c, got, err)
		}
		if back, err := SlitGapMM(c.bend, c.depth); err != nil || math.Abs(back-c.gap) > 1e-9 {
			t.Errorf("%+v: back to %g mm, %v", c, back, err)
		}
	}
	if _, err := SlitBendDeg(11, 5); err == nil {
		t.Error("a slit was opened beyond twice its depth")
	}
	if _, err := SlitGapMM(90, 0); err == nil {
		t.Error("a slit without depth was opened")
	}
}
