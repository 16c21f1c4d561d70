package pattern

import (
	"math"
	"strings"
	"testing"
)

// Marks at 30 and 70 of 100 mm meet themselves turned end for end; at 30 and
// 70.6 they miss by 0.6 mm, which the hand does not notice; at 20 and 70 they
// miss by 10 mm.
func TestSeamThatClosesEitherWay(t *testing.T) {
	for _, c := range []struct {
		marks []float64
		miss  float64
	}{
		{[]float64{50}, 0},
		{[]float64{30, 70}, 0},
		{[]float64{30, 70.6}, 0.6},
		{[]float64{20, 70}, -1},
		{[]float64{41}, -1},
	} {
		p := strips(t, 100, c.marks, c.marks)
		found := of(Check(p), EitherWay)
		if c.miss < 0 {
			if len(found) != 0 {
				t.Errorf("marks at %v: %+v", c.marks, found)
			}
			continue
		}
		if len(found) != 1 || math.Abs(found[0].AmountMM-c.miss) > 1e-6 {
			t.Errorf("marks at %v: %+v", c.marks, found)
			continue
		}
		if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), EitherWay)) != 0 {
			t.Errorf("marks at %v: spaced oddly, and still %+v, %v", c.marks, of(Check(p), EitherWay), err)
		}
		m, err := p.MeasureSeam("s1")
		if err != nil || len(m.Joints) != len(c.marks) {
			t.Errorf("marks at %v became %d joints, %v", c.marks, len(m.Joints), err)
		}
	}
}

// What tells the ends apart: a leaning cut, another number of ticks, corners
// that differ on both sides, the apex of a dart.
func TestEndsThatAreTold(t *testing.T) {
	plain := func() Pattern { return strips(t, 100, []float64{30, 70}, []float64{30, 70}) }
	for name, change := range map[string]func(p *Pattern) error{
		"leaning cut": func(p *Pattern) error { return p.SetCut("A2", CutOf(20)) },
		"other ticks": func(p *Pattern) error { p.Pieces[0].Marks[0].Ticks, p.Pieces[1].Marks[0].Ticks = 2, 2; return nil },
		"corners": func(p *Pattern) error {
			for i, x := range []float64{20, 110} {
				o := &p.Pieces[i].Outline
				// The corner away from the seam at its end moves along.
				k := 3 - i
				o.Segments[k].P0.X, o.Segments[k-1].P3.X = x, x
				o.Segments[k].P0.Y, o.Segments[k-1].P3.Y = 60, 60
			}
			return nil
		},
	} {
		p := plain()
		if len(of(Check(p), EitherWay)) != 1 {
			t.Fatal("the plain strips are not found")
		}
		if err := change(&p); err != nil {
			t.Fatal(err)
		}
		if found := of(Check(p), EitherWay); len(found) != 0 {
			t.Errorf("%s: %+v", name, found)
		}
	}
}

func TestTapeWithoutMeaning(t *testing.T) {
	p := strips(t, 100, []float64{41}, []float64{41})
	id := p.AddTape("blue", [3]uint8{20, 60, 200})
	for _, e := range []string{"A1", "A3", "B1"} {
		if err := p.SetEdgeTape(e, id); err != nil {
			t.Fatal(err)
		}
	}
	found := of(Check(p), TapeUnsaid)
	if len(found) != 1 || !strings.Contains(found[0].Text, "Blue tape runs along 3 edges") || apartMM(found[0].At, pt(25, 0)) > 1e-6 {
		t.Fatalf("found %+v", found)
	}
	if a, b := found[0].Mend.Label(), found[0].Other.Label(); a != "Blue means bevel 45°" || b != "Blue means straight" {
		t.Errorf("offered %q and %q", a, b)
	}
	// The cut that most of its edges have is the usual one.
	if err := p.SetCut("A3", CutOf(-30)); err != nil {
		t.Fatal(err)
	}
	found = of(Check(p), TapeUnsaid)
	if l := found[0].Mend.Label(); l != "Blue means undercut 30°" {
		t.Errorf("offered %q", l)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), TapeUnsaid)) != 0 {
		t.Errorf("%v, still %+v", err, of(Check(p), TapeUnsaid))
	}
	if q, k, _ := p.FindEdge("B1"); q.Edges[k].Cut != CutOf(-30) {
		t.Errorf("edge B1 is cut %+v", q.Edges[k].Cut)
	}
	// A colour along no edge needs no meaning.
	p.AddTape("red", [3]uint8{200, 0, 0})
	if found := of(Check(p), TapeUnsaid); len(found) != 0 {
		t.Errorf("found %+v", found)
	}
}
