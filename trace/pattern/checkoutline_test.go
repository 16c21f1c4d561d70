package pattern

import (
	"math"
	"strings"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// outlined is a pattern of one piece with corners given.
func outlined(t *testing.T, corners ...mat.Point) Pattern {
	t.Helper()
	p, err := New("one", Piece{Outline: curve.Polygon(corners...), ThicknessMM: 5})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// covers checks that a piece's edges still cover its outline once.
func covers(t *testing.T, p Pattern) {
	t.Helper()
	for _, f := range Validate(p) {
		t.Errorf("left behind: %s", f.Text)
	}
}

// A square of 100 mm whose side at y = 0 has a loop of 3 x 4 mm at x = 50: the
// outline goes on to x = 53, up 4 mm, and back to cross itself.
func TestLoopIsCutOff(t *testing.T) {
	p := outlined(t, pt(0, 0), pt(53, 0), pt(53, -4), pt(50, -4), pt(50, 2), pt(100, 2), pt(100, 100), pt(0, 100))
	found := Validate(p)
	if len(found) != 1 || found[0].Mend.Kind != CutLoop || apartMM(found[0].At, pt(50, 0)) > 1e-6 {
		t.Fatalf("found %+v", found)
	}
	// The loop is 3 mm on, 4 up, 3 back and 4 down.
	if math.Abs(found[0].AmountMM-14) > 1e-6 || !strings.Contains(found[0].Text, "The loop is 14.0 mm round. Without it the area changes by 0.12 %") {
		t.Errorf("%+v", found[0])
	}
	if err := p.Apply(found[0].Mend); err != nil {
		t.Fatal(err)
	}
	covers(t, p)
	if a := p.Pieces[0].AreaMM2(); math.Abs(a-(100*100-50*2)) > 1e-6 {
		t.Errorf("%g mm²", a)
	}
}

// An outline like an 8 is no fault of a few millimetres: nothing is cut off,
// the piece can be left out.
func TestLargeLoopStays(t *testing.T) {
	p := outlined(t, pt(0, 0), pt(100, 100), pt(100, 0), pt(0, 70))
	found := Validate(p)
	if len(found) != 1 || found[0].Mend.Kind != LeaveOut || !strings.Contains(found[0].Text, "too much for a fault of the tracing") {
		t.Fatalf("found %+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(p.Pieces) != 0 {
		t.Errorf("%v, %d pieces", err, len(p.Pieces))
	}
}

func TestSpikes(t *testing.T) {
	corner := []mat.Point{pt(100, 100), pt(0, 100)}
	for _, c := range []struct {
		name   string
		points []mat.Point
		longMM float64
		areaMM float64
	}{
		{"out of a straight side", []mat.Point{pt(0, 0), pt(50, 0), pt(50.3, -6), pt(50.6, 0), pt(100, 0)}, 6, 1e4},
		{"into it", []mat.Point{pt(0, 0), pt(50, 0), pt(50.3, 5), pt(50.6, 0), pt(100, 0)}, 5, 1e4},
		{"out of a corner", []mat.Point{pt(0, 0), pt(99.8, 0), pt(106, -6), pt(100, 0.2)}, 8.6, 1e4},
		{"a sharp tip that opens evenly", []mat.Point{pt(0, 40), pt(100, 30), pt(100, 50)}, 0, 0},
		{"a slit", []mat.Point{pt(0, 0), pt(50, 0), pt(50.4, 40), pt(50.8, 0), pt(100, 0)}, 0, 0},
		{"a dart", []mat.Point{pt(0, 0), pt(45, 0), pt(50, 30), pt(55, 0), pt(100, 0)}, 0, 0},
		{"a small one", []mat.Point{pt(0, 0), pt(50, 0), pt(50.3, -1.5), pt(50.6, 0), pt(100, 0)}, 1.5, 1e4},
	} {
		points := c.points
		if c.areaMM > 0 || len(points) > 3 {
			points = append(points, corner...)
		}
		p := outlined(t, points...)
		found := of(Check(p), OutlineFault)
		if c.longMM == 0 {
			if len(found) != 0 {
				t.Errorf("%s: found %+v", c.name, found)
			}
			continue
		}
		if len(found) != 1 || math.Abs(found[0].AmountMM-c.longMM) > 0.3 {
			t.Errorf("%s: found %+v", c.name, found)
			continue
		}
		if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), OutlineFault)) != 0 {
			t.Errorf("%s: %v, still %+v", c.name, err, of(Check(p), OutlineFault))
		}
		covers(t, p)
		if a := p.Pieces[0].AreaMM2(); math.Abs(a-c.areaMM) > 0.0003*c.areaMM {
			t.Errorf("%s: %g mm² are left", c.name, a)
		}
	}
}

// A corner cut off by 0.9 mm becomes a corner again, to the hundredth; the
// edges beside it keep their names, marks and seams.
func TestSliverIsTakenOut(t *testing.T) {
	p := outlined(t, pt(0, 0), pt(99.2, 0), pt(100, 0.4), pt(100, 80), pt(0, 80))
	p.Pieces[0].Marks = []Mark{{At: pt(40, 0), In: pt(40, 6)}}
	found := of(Check(p), OutlineFault)
	if len(found) != 1 || found[0].Edge != "A2" || math.Abs(found[0].AmountMM-math.Hypot(0.8, 0.4)) > 1e-9 {
		t.Fatalf("found %+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil {
		t.Fatal(err)
	}
	covers(t, p)
	q := &p.Pieces[0]
	if a := q.AreaMM2(); math.Abs(a-8000) > 1e-6 || len(q.Edges) != 4 || len(q.Marks) != 1 || q.Edges[1].ID != "A3" {
		t.Errorf("%g mm², edges %+v, marks %v", a, q.Edges, q.Marks)
	}
	// What is paired was looked at.
	p = outlined(t, pt(0, 0), pt(99.2, 0), pt(100, 0.4), pt(100, 80), pt(0, 80))
	if _, err := p.Pair(Run{{Edge: "A2"}}, Run{{Edge: "A3", Reversed: true}}); err != nil {
		t.Fatal(err)
	}
	if found := of(Check(p), OutlineFault); len(found) != 0 {
		t.Errorf("in a seam, but %+v", found)
	}
}

// Taking a run out keeps the edges in order wherever it begins, past the
// outline's start too.
func TestTrimPastTheStart(t *testing.T) {
	p := outlined(t, pt(50.6, 0), pt(100, 0), pt(100, 100), pt(0, 100), pt(0, 0), pt(50, 0), pt(50.3, -6))
	found := of(Check(p), OutlineFault)
	if len(found) != 1 {
		t.Fatalf("found %+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil {
		t.Fatal(err)
	}
	covers(t, p)
	if n := len(p.Pieces[0].Edges); n != 5 {
		t.Errorf("%d edges are left: %+v", n, p.Pieces[0].Edges)
	}
}
