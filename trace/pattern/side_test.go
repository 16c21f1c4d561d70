package pattern

import (
	"math"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

// sided is a strip whose top is divided at 30 and 70 mm, beside one of 100 mm
// undivided.
func sided(t *testing.T) Pattern {
	t.Helper()
	a := Piece{ID: "A", Outline: curve.Polygon(pt(0, 0), pt(30, 0), pt(70, 0), pt(100, 0), pt(100, 40), pt(0, 40))}
	a.Edges = []Edge{
		{ID: "A1", First: 0, Count: 1},
		{ID: "A2", First: 1, Count: 1},
		{ID: "A3", First: 2, Count: 1},
		{ID: "A4", First: 3, Count: 1},
		{ID: "A5", First: 4, Count: 1},
		{ID: "A6", First: 5, Count: 1},
	}
	for i := range a.Edges {
		a.Edges[i].Cut.Kind = Straight
	}
	b := Piece{ID: "B", Outline: curve.Polygon(pt(0, 60), pt(100, 60), pt(100, 100), pt(0, 100))}
	p, err := New("sided", a, b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSidesOfSeveralEdges(t *testing.T) {
	p := sided(t)
	if _, err := p.Pair(Facing("A2", "B1")); err != nil {
		t.Fatal(err)
	}
	lengths := func() (a, b float64) {
		m, err := p.MeasureSeam("s1")
		if err != nil {
			t.Fatal(err)
		}
		return m.A.LengthMM, m.B.LengthMM
	}
	for _, step := range []struct {
		edge, side string
		mm         float64
	}{{"A1", "A1 + A2", 70}, {"A3", "A1 + A2 + A3", 100}, {"A1", "A2 + A3", 70}, {"A1", "A1 + A2 + A3", 100}} {
		if err := p.SetSideEdge("s1", step.edge); err != nil {
			t.Fatal(err)
		}
		if a, b := lengths(); p.Seams[0].A.String() != step.side || math.Abs(a-step.mm) > 1e-9 || b != 100 {
			t.Errorf("%s: side %s is %g mm, the other %g", step.edge, p.Seams[0].A, a, b)
		}
	}
	for edge, want := range map[string]string{
		"A2": "middle of its side", "B1": "all of its side", "B3": "touches neither end", "Z9": "no edge",
	} {
		before := p.Seams[0].A.String() + p.Seams[0].B.String()
		if err := p.SetSideEdge("s1", edge); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", edge, err)
		}
		if p.Seams[0].A.String()+p.Seams[0].B.String() != before {
			t.Errorf("%s: refused, and yet changed", edge)
		}
	}
	if err := p.SetSideEdge("s7", "A1"); err == nil {
		t.Error("a seam that is not there took an edge")
	}
}

// An edge that goes on from both sides joins the shorter one.
func TestTheShorterSideIsLengthened(t *testing.T) {
	a := Piece{ID: "A", Outline: curve.Polygon(pt(0, 0), pt(60, 0), pt(60, 20), pt(0, 80))}
	p, err := New("four", a)
	if err != nil {
		t.Fatal(err)
	}
	// A2 and A4 both lie between A1 and A3.
	if _, err := p.Pair(Facing("A1", "A3")); err != nil {
		t.Fatal(err)
	}
	for edge, side := range map[string]string{"A2": "A1 + A2", "A4": "A4 + A1"} {
		q := p
		if err := q.SetSideEdge("s1", edge); err != nil {
			t.Fatal(err)
		}
		// A1 of 60 mm is shorter than A3 of 84.9 mm.
		if q.Seams[0].A.String() != side || q.Seams[0].B.String() != "A3" {
			t.Errorf("%s: %v and %v, want %s", edge, q.Seams[0].A, q.Seams[0].B, side)
		}
	}
}

func TestSidesOfADart(t *testing.T) {
	// A wedge is cut out of the top, its left side in two parts of 15 and 25
	// mm, its right side of 25 mm.
	a := Piece{ID: "A", Outline: curve.Polygon(
		pt(0, 0), pt(35, 0), pt(44, 12), pt(59, 32), pt(74, 12), pt(100, 0), pt(100, 80), pt(0, 80))}
	for i := range 8 {
		a.Edges = append(a.Edges, Edge{ID: edgeID("A", i+1), First: i, Count: 1, Cut: Cut{Kind: Straight}})
	}
	p, err := New("dart", a)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Pair(Facing("A3", "A4")); err != nil {
		t.Fatal(err)
	}
	if mm, ok := p.DartOpenMM("s1"); !ok || math.Abs(mm-30) > 1e-9 {
		t.Errorf("the dart opens %g mm, %v", mm, ok)
	}
	if err := p.SetSideEdge("s1", "A2"); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s1")
	if err != nil || math.Abs(m.A.LengthMM-40) > 1e-9 || math.Abs(m.B.LengthMM-25) > 1e-9 {
		t.Fatalf("sides of %g and %g mm, %v", m.A.LengthMM, m.B.LengthMM, err)
	}
	if got := p.Seams[0].A.String(); got != "A2 + A3" {
		t.Errorf("the side is %s", got)
	}
	if err := p.SetSideEdge("s1", "A5"); err != nil {
		t.Fatal(err)
	}
	if got := p.Seams[0].B.String(); got != "A5 + A4" {
		t.Errorf("the other side is %s", got)
	}
}

// A and B are joined first; the long edge of C then meets one edge of each.
func TestSideOverTwoPieces(t *testing.T) {
	a := Piece{ID: "A", Outline: curve.Polygon(pt(0, 0), pt(50, 0), pt(50, 40), pt(0, 40))}
	b := Piece{ID: "B", Outline: curve.Polygon(pt(60, 0), pt(120, 0), pt(120, 40), pt(60, 40))}
	c := Piece{ID: "C", Outline: curve.Polygon(pt(0, 60), pt(110, 60), pt(110, 100), pt(0, 100))}
	p, err := New("three", a, b, c)
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]string{{"A2", "B4"}, {"C1", "A3"}} {
		if _, err := p.Pair(Facing(pair[0], pair[1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := p.SetSideEdge("s2", "B3"); err != nil {
		t.Fatal(err)
	}
	m, err := p.MeasureSeam("s2")
	if err != nil || math.Abs(m.A.LengthMM-110) > 1e-9 || math.Abs(m.B.LengthMM-110) > 1e-9 {
		t.Errorf("sides of %g and %g mm, %v", m.A.LengthMM, m.B.LengthMM, err)
	}
	if got := p.Seams[1].B.String(); got != "A3 + B3" {
		t.Errorf("the side is %s", got)
	}
}

func TestTurnSeam(t *testing.T) {
	p := sided(t)
	if _, err := p.Pair(Run{{Edge: "B1"}}, Run{{Edge: "A1"}, {Edge: "A2"}, {Edge: "A3"}}); err != nil {
		t.Fatal(err)
	}
	old := p.Seams[0]
	if err := p.TurnSeam("s1"); err != nil {
		t.Fatal(err)
	}
	if got := p.Seams[0].B; got.String() != "A3 + A2 + A1" || !got[0].Reversed || old.B[0].Reversed {
		t.Errorf("turned: %+v; the old state became %+v", got, old.B)
	}
	if err := p.TurnSeam("s1"); err != nil || p.Seams[0].B.String() != "A1 + A2 + A3" {
		t.Errorf("turned back: %v, %v", p.Seams[0].B, err)
	}
	if err := p.TurnSeam("s9"); err == nil {
		t.Error("a seam that is not there was turned")
	}
}
