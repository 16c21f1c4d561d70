package pattern

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"flatwright/trace/curve"
)

// plank is a strip of 200 by 50 mm in 10 mm sheet with a straight line down
// its middle and a bent one.
func plank(t *testing.T, turnRad float64) Pattern {
	t.Helper()
	q := Piece{ID: "A", ThicknessMM: 10, Outline: curve.Polygon(pt(0, 0), pt(200, 0), pt(200, 50), pt(0, 50))}
	q.Lines = []InsideLine{
		{Path: curve.Polyline(pt(100, 5), pt(100, 45))},
		{Path: curve.Polyline(pt(20, 20), pt(60, 28), pt(100, 20))},
	}
	q.Outline = q.Outline.Rotate(pt(0, 0), turnRad)
	for i := range q.Lines {
		q.Lines[i].Path = q.Lines[i].Path.Rotate(pt(0, 0), turnRad)
	}
	p, err := New("plank", q)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// quarter bends to a quarter turn of 100 mm radius.
func quarter() GrooveRun {
	return GrooveRun{RadiusMM: 100, ArcMM: 50 * math.Pi, WebMM: 1, SagittaMM: 0.5}
}

// A facet of 20 mm strays c²/8R = 0.5 mm, so that an arc of 157.08 mm takes
// eight grooves of 11.25°, 19.635 mm apart and 2·9·tan(5.625°) = 1.773 mm wide
// (worked by hand).
func TestRunOfGrooves(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		turn := rapid.Float64Range(-math.Pi, math.Pi).Draw(r, "turn")
		at := rapid.SampledFrom([]GroovePlace{{Edge: "A1"}, {Edge: "A3"}, {Line: 0}}).Draw(r, "place")
		p := plank(t, turn)
		g, err := p.SetGrooves("A", at, quarter())
		if err != nil {
			r.Fatal(err)
		}
		if g.Count != 8 || math.Abs(g.BendDeg-11.25) > 1e-9 || math.Abs(g.SpacingMM-19.635) > 1e-3 || math.Abs(g.WidthMM-1.773) > 1e-3 || g.DepthMM != 9 {
			r.Fatalf("%+v", g)
		}
		q := &p.Pieces[0]
		if q.GroovesAt(at) != 8 || len(q.Lines) != 10 {
			r.Fatalf("%d grooves, %d lines", q.GroovesAt(at), len(q.Lines))
		}
		for k, l := range q.Lines[2:] {
			back := l.Path.Rotate(pt(0, 0), -turn)
			a, b := back.Segments[0].P0, back.Segments[0].P3
			x := 100 + 19.635*(float64(k)-3.5)
			if at.Edge == "A3" || at.Edge == "" {
				x = 200 - x
			}
			if math.Abs(a.X-x) > 1e-3 || math.Abs(b.X-x) > 1e-3 || math.Abs(math.Abs(a.Y-b.Y)-50) > 0.05 {
				r.Errorf("groove %d runs from %v to %v, want x = %.3f", k, a, b, x)
			}
			if l.Work != (LineWork{Kind: Groove, DepthMM: 9, BendDeg: g.BendDeg}) {
				r.Errorf("groove %d is %+v", k, l.Work)
			}
			if got := q.GroovePlaceOf(2 + k); got != at {
				r.Errorf("groove %d stands at %+v, want %+v", k, got, at)
			}
		}
		// Another radius takes the place of the first; then all go.
		want := quarter()
		want.RadiusMM = 200
		if g, err = p.SetGrooves("A", at, want); err != nil || q.GroovesAt(at) != g.Count || g.Count == 8 {
			r.Errorf("changed: %d grooves of %d, %v", q.GroovesAt(at), g.Count, err)
		}
		if err := p.DropGrooves("A", at); err != nil || len(p.Pieces[0].Lines) != 2 || p.Pieces[0].Lines[0].Run != "" {
			r.Errorf("taken off: %+v, %v", p.Pieces[0].Lines, err)
		}
	})
}

// An opening interrupts the grooves that cross it.
func TestGroovesAroundAnOpening(t *testing.T) {
	p := plank(t, 0)
	p.Pieces[0].Openings = []curve.Path{curve.Polygon(pt(90, 20), pt(110, 20), pt(110, 30), pt(90, 30))}
	g, err := p.SetGrooves("A", GroovePlace{Edge: "A1"}, quarter())
	if err != nil {
		t.Fatal(err)
	}
	crossed := 0
	for _, l := range p.Pieces[0].Lines[2:] {
		a, b := l.Path.Segments[0].P0, l.Path.Segments[0].P3
		if mid := (a.Y + b.Y) / 2; math.Abs(mid-25) > 1 {
			crossed++
			if long := math.Abs(a.Y - b.Y); math.Abs(long-20) > 0.05 {
				t.Errorf("beside the opening a groove is %.2f mm long", long)
			}
		}
	}
	if crossed != 4 || p.Pieces[0].GroovesAt(GroovePlace{Edge: "A1"}) != g.Count+2 {
		t.Errorf("%d parts of grooves beside the opening", crossed)
	}
}

func TestGroovesAreRefusedWithAReason(t *testing.T) {
	with := func(change func(*GrooveRun)) GrooveRun { w := quarter(); change(&w); return w }
	for _, c := range []struct {
		name string
		mm   float64
		at   GroovePlace
		want GrooveRun
		says string
	}{
		{"no thickness", 0, GroovePlace{Edge: "A1"}, quarter(), "needs the sheet's thickness"},
		{"too thin", 2, GroovePlace{Edge: "A1"}, with(func(w *GrooveRun) { w.WebMM = 0.2 }), "a sheet of 2 mm that leaves no room for it is too thin"},
		{"web as thick as the sheet", 1, GroovePlace{Edge: "A1"}, quarter(), "does not lie within a sheet of 1 mm"},
		{"too tight", 10, GroovePlace{Edge: "A1"}, with(func(w *GrooveRun) { w.RadiusMM, w.ArcMM, w.SagittaMM = 8, 12, 0.1 }), "choose at least 10 mm"},
		{"longer than the edge", 10, GroovePlace{Edge: "A2"}, quarter(), "edge A2 is 50.0 mm long: it cannot be bent over 157.1 mm"},
		{"beyond the piece", 10, GroovePlace{Line: 0}, with(func(w *GrooveRun) { w.ArcMM = 260 }), "leaves piece A there"},
		{"a bent line", 10, GroovePlace{Line: 1}, quarter(), "this line strays 8.0 mm from straight"},
		{"no line", 10, GroovePlace{Line: 7}, quarter(), "no line number 8"},
		{"no edge", 10, GroovePlace{Edge: "B1"}, quarter(), "no edge"},
		{"no radius", 10, GroovePlace{Edge: "A1"}, with(func(w *GrooveRun) { w.RadiusMM = 0 }), "all above zero"},
	} {
		p := plank(t, 0)
		p.Pieces[0].ThicknessMM = c.mm
		_, err := p.SetGrooves("A", c.at, c.want)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		if len(p.Pieces[0].Lines) != 2 {
			t.Errorf("%s: refused, and yet %d lines", c.name, len(p.Pieces[0].Lines))
		}
	}
}

// The radius that a refusal names works, and one of 1 mm less does not.
func TestLeastRadiusOfGrooves(t *testing.T) {
	for _, thick := range []float64{3, 5, 10, 20} {
		for _, arc := range []float64{5, 20, 60} {
			for _, stray := range []float64{0.1, 0.5, 2} {
				r := leastRadiusMM(1, arc, thick, thick/10, stray)
				if _, err := GroovesFor(r, arc, thick, thick/10, stray); err != nil {
					t.Errorf("%g mm, over %g mm, astray %g mm: the radius of %g mm is refused: %v", thick, arc, stray, r, err)
				}
				if _, err := GroovesFor(r-1, arc, thick, thick/10, stray); err == nil && r > 2 {
					t.Errorf("%g mm, over %g mm, astray %g mm: %g mm would do", thick, arc, stray, r-1)
				}
			}
		}
	}
}
