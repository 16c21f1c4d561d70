package desk

import (
	"math"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/units"
)

// A bound that is typed as its refusal says it is taken, and is the bound itself,
// in either system; what lies further beyond than it can be said is refused.
func TestBoundsCanBeTypedAsTheyAreSaid(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	for _, s := range []units.System{units.Millimetres, units.Inches} {
		b.showIn(s)
		beyond := 0
		for _, c := range [][2]float64{{1, 1000}, {5, 60}, {0, 40}, {97, 103}, {leastMM, mostThicknessMM}, {0, mostThicknessMM}, {10, 102}, {7, 111.3}} {
			for i, bound := range c {
				if bound < 0.1 {
					continue // said as nothing
				}
				text := b.bound(bound)
				typed, err := b.readLength(text)
				if err != nil {
					t.Fatalf("%q: %v", text, err)
				}
				if got, err := b.readWithin(text, c[0], c[1]); err != nil || math.Abs(got-bound) > units.BoundMM+1e-9 || got < c[0] || got > c[1] {
					t.Errorf("system %d: the bound %v mm is said as %q and read as %v, %v", s, bound, text, got, err)
				} else if (i == 0) == (typed < bound) && typed != bound {
					if beyond++; got != bound {
						t.Errorf("system %d: %q is %v mm, beyond the bound %v mm, and read as %v", s, text, typed, bound, got)
					}
				}
				out := bound + 0.02*float64(2*i-1)
				if got, err := b.readWithin(units.FormatMM(out, 3), c[0], c[1]); err == nil {
					t.Errorf("system %d: %v mm is read as %v between %v and %v mm", s, out, got, c[0], c[1])
				}
			}
		}
		if want := map[units.System]int{units.Inches: 4}[s]; beyond < want {
			t.Errorf("system %d: only %d bounds are said as a length beyond them", s, beyond)
		}
	}
}
