package pattern

import (
	"reflect"
	"testing"

	"flatwright/trace/curve"
)

// twoSheets are rectangles A and B with edges A1 to A4 and B1 to B4.
func twoSheets(t *testing.T) Pattern {
	t.Helper()
	p, err := New("pair", Piece{Outline: rectangle()}, Piece{Outline: rectangle().Translate(pt(200, 0))})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPair(t *testing.T) {
	p := twoSheets(t)
	id, err := p.Pair(Facing("A2", "B4"))
	if err != nil || id != "s1" {
		t.Fatalf("got %q, %v", id, err)
	}
	for _, bad := range []struct {
		name string
		a, b Run
	}{
		{"nothing", nil, Run{{Edge: "A1"}}},
		{"unknown", Run{{Edge: "A1"}}, Run{{Edge: "C1"}}},
		{"twice", Run{{Edge: "A1"}}, Run{{Edge: "A1", Reversed: true}}},
		{"taken", Run{{Edge: "A1"}}, Run{{Edge: "B4"}}},
	} {
		if _, err := p.Pair(bad.a, bad.b); err == nil {
			t.Errorf("%s was paired", bad.name)
		}
	}
	if s, ok := p.SeamOf("B4"); !ok || s.ID != "s1" || !s.B[0].Reversed {
		t.Errorf("the mate is not found: %v", s)
	}
	if err := p.Unpair("s1"); err != nil || len(p.Seams) != 0 {
		t.Errorf("unpair: %v, %d seams", err, len(p.Seams))
	}
	if err := p.Unpair("s1"); err == nil {
		t.Error("a seam was taken away twice")
	}
}

// A mate runs against its neighbour, so that both runs of a seam between two
// pieces side by side begin at the same place.
func TestFacingRunsMeet(t *testing.T) {
	p, err := New("side by side",
		Piece{Outline: curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 60), pt(0, 60))},
		Piece{Outline: curve.Polygon(pt(100, 0), pt(150, 0), pt(150, 60), pt(100, 60))})
	if err != nil {
		t.Fatal(err)
	}
	a, b := Facing("A2", "B4")
	ra, err1 := p.EdgeRun(a[0])
	rb, err2 := p.EdgeRun(b[0])
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	if ra.Segments[0].P0 != rb.Segments[0].P0 || ra.Segments[0].P3 != rb.Segments[0].P3 {
		t.Errorf("the runs are %v and %v", ra, rb)
	}
}

func TestSeamsFollowBreaks(t *testing.T) {
	p := twoSheets(t)
	if _, err := p.Pair(Facing("A2", "B4")); err != nil {
		t.Fatal(err)
	}
	old := p.Seams
	fresh, err := p.BreakAt("B", curve.Position{Segment: 3, T: 0.25})
	if err != nil {
		t.Fatal(err)
	}
	// The mate runs against its outline: what comes after the break is closed
	// first.
	want := Run{{Edge: fresh, Reversed: true}, {Edge: "B4", Reversed: true}}
	if got := p.Seams[0].B; !reflect.DeepEqual(got, want) {
		t.Errorf("the run is %v, want %v", got, want)
	}
	if len(old[0].B) != 1 {
		t.Error("an older state was changed")
	}
	if err := p.JoinEdges("B4", fresh); err != nil {
		t.Fatal(err)
	}
	if got := p.Seams[0].B; !reflect.DeepEqual(got, Run{{Edge: "B4", Reversed: true}}) {
		t.Errorf("joined again the run is %v", got)
	}
	if err := p.JoinEdges("A2", "A3"); err == nil {
		t.Error("an edge of a seam swallowed one that is in none")
	}
}

// What is said of an edge holds for both parts of it; a bevel that grows along
// it goes on growing.
func TestBreakKeepsTheCut(t *testing.T) {
	p := sheet(t, rectangle())
	p.Edges[0].Cut = Cut{Kind: Bevel, AngleDeg: 10, Varies: true, ToDeg: 50}
	p.Edges[0].Allowance = Allowance{WidthMM: 8, Corner: Square}
	if _, err := p.BreakAt(curve.Position{Segment: 0, T: 0.25}); err != nil {
		t.Fatal(err)
	}
	a, b := p.Edges[0], p.Edges[1]
	if a.Allowance != b.Allowance || a.Allowance.WidthMM != 8 {
		t.Errorf("allowances %+v and %+v", a.Allowance, b.Allowance)
	}
	for _, v := range [][2]float64{{a.Cut.AngleDeg, 10}, {a.Cut.ToDeg, 20}, {b.Cut.AngleDeg, 20}, {b.Cut.ToDeg, 50}} {
		if d := v[0] - v[1]; d > 1e-6 || d < -1e-6 {
			t.Errorf("cuts %+v and %+v", a.Cut, b.Cut)
		}
	}
}
