package pattern

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/reshape"
)

// plate is a 100 x 60 mm piece with a rounded end: edges A1 (top), A2 (right,
// an arc), A3 (bottom), A4 (left), marks at the middle of top and bottom.
func plate(t interface{ Fatal(...any) }) Pattern {
	at := func(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }
	o := curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Line(at(0, 0), at(100, 0)),
		curve.Cubic(at(100, 0), at(120, 10), at(120, 50), at(100, 60)),
		curve.Line(at(100, 60), at(50, 60)),
		curve.Line(at(50, 60), at(0, 60)),
		curve.Line(at(0, 60), at(0, 0)),
	}}
	p, err := New("plate", Piece{Outline: o, Marks: []Mark{{At: at(50, 0), In: at(50, 6)}, {At: at(30, 60), In: at(30, 54)}}},
		Piece{Outline: curve.Polygon(at(0, 100), at(100, 100), at(100, 140), at(0, 140))})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// whole checks what every edit must leave true.
func whole(t interface {
	Helper()
	Errorf(string, ...any)
}, p Pattern,
) {
	t.Helper()
	for _, f := range Validate(p) {
		t.Errorf("%s", f.Text)
	}
}

func TestNodesMoveWithTheirEdgesAndMarks(t *testing.T) {
	p := plate(t)
	if _, err := p.Pair(Facing("A1", "B3")); err != nil {
		t.Fatal(err)
	}
	a := &p.Pieces[0]
	if err := a.MoveNodes(Outer, mat.Point{Y: -10}, 0, 1); err != nil {
		t.Fatal(err)
	}
	whole(t, p)
	if m := a.Marks[0]; math.Hypot(m.At.X-50, m.At.Y+10) > 1e-6 || math.Hypot(m.In.X-50, m.In.Y+4) > 1e-6 {
		t.Errorf("the mark of the edge that moved is at %v, %v", m.At, m.In)
	}
	if m := a.Marks[1]; math.Hypot(m.At.X-30, m.At.Y-60) > 1e-6 {
		t.Errorf("the mark of the edge that stayed moved to %v", m.At)
	}
	if len(p.Seams) != 1 || p.Seams[0].A[0].Edge != "A1" {
		t.Errorf("seams %+v", p.Seams)
	}
}

func TestAddedAndRemovedNodesKeepEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		a := &p.Pieces[0]
		var lengths []float64
		for k := range a.Edges {
			lengths = append(lengths, a.EdgeLengthMM(k))
		}
		n := len(a.Outline.Segments)
		k, err := a.AddNode(Outer, curve.Position{Segment: rapid.IntRange(0, n-1).Draw(t, "segment"), T: rapid.Float64Range(0.1, 0.9).Draw(t, "t")})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Outline.Segments) != n+1 {
			t.Fatalf("%d segments", len(a.Outline.Segments))
		}
		whole(t, p)
		if err := a.RemoveNode(Outer, k); err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		for i := range a.Edges {
			// The merged cubic is the one that was split: Schneider's fit finds it
			// again but for its own convergence.
			if d := a.EdgeLengthMM(i) - lengths[i]; math.Abs(d) > 0.02 {
				t.Errorf("edge %s changed by %.3f mm", a.Edges[i].ID, d)
			}
		}
	})
}

func TestANodeBetweenEdgesStays(t *testing.T) {
	p := plate(t)
	var e *EdgeNodeError
	if err := p.Pieces[0].RemoveNode(Outer, 1); !errors.As(err, &e) || e.Before != "A1" || e.After != "A2" {
		t.Errorf("removing the node between A1 and A2: %v", err)
	}
	for range 3 {
		if err := p.Pieces[0].RemoveNode(Outer, 3); err == nil {
			whole(t, p)
		}
	}
	if len(p.Pieces[0].Outline.Segments) != 4 {
		t.Errorf("%d segments", len(p.Pieces[0].Outline.Segments))
	}
}

func TestStraightenAcrossACornerKeepsTheEdge(t *testing.T) {
	p := plate(t)
	a := &p.Pieces[0]
	// From the top left over the round end to the bottom right: A2 begins within.
	if err := a.Straighten(Outer, 0, 2); err != nil {
		t.Fatal(err)
	}
	whole(t, p)
	if len(a.Edges) != 4 || a.Edges[1].ID != "A2" {
		t.Fatalf("edges %+v", a.Edges)
	}
	for _, s := range a.Outline.Segments[:2] {
		if !s.Line {
			t.Error("the stretch is not straight")
		}
	}
	if d := a.EdgeLengthMM(0) + a.EdgeLengthMM(1) - math.Hypot(100, 60); math.Abs(d) > 1e-6 {
		t.Errorf("the straight stretch is off by %g mm", d)
	}
	if m, _ := a.MarkEdge(a.Marks[0]); m.OffMM > 1e-6 {
		t.Errorf("the mark stands %.3f mm off", m.OffMM)
	}
	if err := a.Straighten(Outer, 1, 1); !errors.Is(err, ErrAllRound) {
		t.Errorf("from a node to itself: %v", err)
	}
}

// Any stretch redrawn by a course nearby leaves edges, marks and outline whole.
func TestRedrawLeavesThePieceWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plate(t)
		a := &p.Pieces[0]
		n := len(a.Outline.Segments)
		from, to := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
		off := rapid.Float64Range(-0.4, 0.4).Draw(t, "off")
		course := curve.Path{Closed: from == to}
		for k := range (to-from+n-1)%n + 1 {
			course.Segments = append(course.Segments, a.Outline.Segments[(from+k)%n])
		}
		course = course.Translate(mat.Point{X: off, Y: off / 2})
		before := edgeIDs(a)
		if err := a.Redraw(Outer, from, to, course); err != nil {
			t.Fatal(err)
		}
		whole(t, p)
		for i, id := range edgeIDs(a) {
			if before[i] != id {
				t.Errorf("edge %d was %s, is %s", i, before[i], id)
			}
		}
		for _, m := range a.Marks {
			if place, err := a.MarkEdge(m); err != nil || place.OffMM > 1e-6 {
				t.Errorf("a mark stands %.4f mm off (%v)", place.OffMM, err)
			}
		}
	})
}

func TestRedrawRefuses(t *testing.T) {
	p := plate(t)
	a := &p.Pieces[0]
	at := func(x, y float64) mat.Point { return mat.Point{X: x, Y: y} }
	for name, try := range map[string]func() error{
		"no such node":    func() error { return a.Redraw(Outer, 0, 9, curve.Polyline(at(0, 0), at(1, 0))) },
		"nothing":         func() error { return a.Redraw(Outer, 0, 2, curve.Path{}) },
		"no such opening": func() error { return a.Redraw(0, 0, 1, curve.Polyline(at(0, 0), at(1, 0))) },
		"turned over": func() error {
			return a.Redraw(Outer, 0, 0, curve.Polygon(at(0, 0), at(0, 60), at(100, 60), at(100, 0)))
		},
	} {
		if try() == nil {
			t.Errorf("%s was taken", name)
		}
	}
	if err := a.MoveNodes(Outer, at(1, 1), 77); !errors.Is(err, reshape.ErrNoNode) {
		t.Errorf("node 77: %v", err)
	}
	whole(t, p)
}

func TestRemovedPiecesLeaveTheirSeams(t *testing.T) {
	p := plate(t)
	if _, err := p.Pair(Facing("A1", "B3")); err != nil {
		t.Fatal(err)
	}
	if err := p.Remove("B", "Q"); err == nil || len(p.Pieces) != 2 {
		t.Errorf("a piece that is not there: %v, %d pieces", err, len(p.Pieces))
	}
	if err := p.Remove("B"); err != nil || len(p.Pieces) != 1 || len(p.Seams) != 0 {
		t.Errorf("%v, %d pieces, seams %v", err, len(p.Pieces), p.Seams)
	}
	id, err := p.Add(Piece{Outline: curve.Polygon(mat.Point{Y: 100}, mat.Point{X: 9, Y: 100}, mat.Point{X: 9, Y: 109})})
	if err != nil || id != "B" || p.Pieces[1].Edges[2].ID != "B3" {
		t.Errorf("added %q %v", id, err)
	}
	whole(t, p)
}
