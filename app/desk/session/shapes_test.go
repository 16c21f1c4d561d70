package session_test

import (
	"context"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

func TestHitTest(t *testing.T) {
	s := traced(t)
	sh := s.Shapes()
	if id := sh.EdgeAt(session.OnMat, view.Point{X: 129, Y: 50}, 2); id != "A2" {
		t.Errorf("hit %q", id)
	}
	if id := sh.EdgeAt(session.OnMat, view.Point{X: 100, Y: 60}, 2); id != "" {
		t.Errorf("hit %q in the middle of nothing", id)
	}
	for at, want := range map[view.Point]string{{X: 80, Y: 60}: "A", {X: 120, Y: 150}: "", {X: 215, Y: 178}: "D", {X: 60, Y: 190}: "C"} {
		if got := sh.PieceAt(session.OnMat, at); got != want {
			t.Errorf("%v lies in %q, want %q", at, got, want)
		}
	}
	m := (&practice.Job{}).Model()
	seen := m.ToPhoto(mat.Point{X: 130, Y: 50})
	if id := sh.EdgeAt(session.InPhoto, view.Point(seen), 4); id != "A2" {
		t.Errorf("in the photograph hit %q", id)
	}
}

// Every point along an edge hits that edge or its neighbour at a corner.
func TestEveryEdgeCanBeHit(t *testing.T) {
	s := traced(t)
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(s.Shapes().Pieces).Draw(t, "piece")
		e := rapid.SampledFrom(p.Edges).Draw(t, "edge")
		i := rapid.IntRange(1, len(e.Line.OnMat)-1).Draw(t, "chord")
		f := rapid.Float64Range(0.2, 0.8).Draw(t, "part")
		a, b := e.Line.OnMat[i-1], e.Line.OnMat[i]
		at := view.Point{X: a.X + (b.X-a.X)*f, Y: a.Y + (b.Y-a.Y)*f}
		if id := s.Shapes().EdgeAt(session.OnMat, at, 0.01); id != e.ID {
			t.Fatalf("%v on %s hit %q", at, e.ID, id)
		}
	})
}

func TestEdgeLength(t *testing.T) {
	s := traced(t)
	for id, want := range map[string]float64{"A1": 100, "A2": 45, "C3": 60, "D1": 2 * math.Pi * 32} {
		e, ok := s.Shapes().Edge(id)
		// A circle of four cubics is 0.03 % off at worst.
		if !ok || math.Abs(e.LengthMM-want) > 0.06 {
			t.Errorf("%s is %.3f mm long, want %.3f", id, e.LengthMM, want)
		}
	}
}

// square is a piece 40 mm square with one edge to a side, clockwise with y down.
func square() pattern.Piece {
	c := []mat.Point{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 40}, {X: 0, Y: 40}}
	p := pattern.Piece{ID: "A", Outline: curve.Polygon(c...), ThicknessMM: 10, Face: pattern.Front, Quantity: 1}
	for i := range c {
		p.Edges = append(p.Edges, pattern.Edge{ID: "A" + string(rune('1'+i)), First: i, Count: 1, Cut: pattern.Cut{Kind: pattern.Straight}})
	}
	return p
}

func shapesOf(p pattern.Piece) *session.Shapes {
	s := session.New()
	s.SetTraced(&trace.Traced{Pattern: pattern.Pattern{Pieces: []pattern.Piece{p}}})
	return s.Shapes()
}

func TestOtherFace(t *testing.T) {
	p := square()
	p.Edges[0].Cut = bevel(45)
	p.Edges[1].Cut = pattern.Cut{Kind: pattern.Undercut, AngleDeg: 30}
	sh := shapesOf(p)
	d := 10 * math.Tan(30*math.Pi/180)
	for id, want := range map[string][2]view.Point{
		// The bevelled edge's line lies 10 mm inside and runs on to where the
		// undercut edge's line crosses it.
		"A1": {{X: 0, Y: 10}, {X: 40 + d, Y: 10}},
		"A2": {{X: 40 + d, Y: 10}, {X: 40 + d, Y: 40}},
	} {
		e, _ := sh.Edge(id)
		if len(e.OtherFace) != 1 {
			t.Errorf("%s has %d lines on the other face", id, len(e.OtherFace))
			continue
		}
		got := e.OtherFace[0].OnMat
		if len(got) != 2 || math.Hypot(got[0].X-want[0].X, got[0].Y-want[0].Y) > 1e-9 || math.Hypot(got[1].X-want[1].X, got[1].Y-want[1].Y) > 1e-9 {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
	if e, _ := sh.Edge("A3"); len(e.OtherFace) != 0 {
		t.Error("a straight cut shows another face")
	}
	p.Face = pattern.Back
	if e, _ := shapesOf(p).Edge("A1"); len(e.OtherFace) != 1 || e.OtherFace[0].OnMat[0].Y != -10 {
		t.Errorf("seen from the back a bevel's other face lies outside: %v", e.OtherFace)
	}
}

func TestOffsetIsThicknessTimesTangent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		deg, mm := rapid.Float64Range(0.5, 80).Draw(t, "deg"), rapid.Float64Range(0.5, 30).Draw(t, "mm")
		p := square()
		p.ThicknessMM = mm
		d := session.OffsetMM(bevel(deg), p)
		if math.Abs(math.Atan2(d, mm)*180/math.Pi-deg) > 1e-9 {
			t.Fatalf("%v° in %v mm gives %v", deg, mm, d)
		}
		if u := session.OffsetMM(pattern.Cut{Kind: pattern.Undercut, AngleDeg: deg}, p); u != -d {
			t.Fatalf("undercut %v, bevel %v", u, d)
		}
	})
}

func TestFoundLinesFollowThePictureAndShowMisses(t *testing.T) {
	s := traced(t)
	lines := s.FoundLines()
	if len(lines) != 23 {
		t.Fatalf("%d lines, want 13 + 10", len(lines))
	}
	m := (&practice.Job{}).Model()
	worst, most := 0.0, 0.0
	for _, l := range lines {
		for i, p := range l.Line.InPhoto {
			w := m.ToPhoto(mat.Point(l.Line.OnMat[i]))
			worst = math.Max(worst, math.Hypot(p.X-w.X, p.Y-w.Y))
		}
		for _, miss := range l.MissPx {
			if l.Family == mat.Columns && l.Index == 12 {
				most = math.Max(most, miss)
			} else if math.Abs(miss) > 0.4 {
				t.Errorf("line %v %d misses by %.2f px", l.Family, l.Index, miss)
			}
		}
	}
	if worst > 0.3 {
		t.Errorf("lines lie up to %.2f px from the true ones", worst)
	}
	if math.Abs(most-practice.MissPx) > 0.3 {
		t.Errorf("the lifted corner shows %.2f px, want %.2f", most, practice.MissPx)
	}
}

func TestASingleSampleSetAsideIsNoMiss(t *testing.T) {
	s := traced(t)
	q := *s.Document().Squared
	fit := *q.Fit
	q.Fit = &fit
	at := fit.ToPhoto(mat.Point{X: 3*practice.PitchMM + 1, Y: 4.1 * practice.PitchMM})
	fit.Rejected = append([]mat.LinePoint{{Family: mat.Columns, Index: 3, Along: 4.1, At: at}}, fit.Rejected...)
	s.SetSquared(&q)
	for _, l := range s.FoundLines() {
		if l.Family != mat.Columns || l.Index != 3 {
			continue
		}
		for _, miss := range l.MissPx {
			if math.Abs(miss) > 0.4 {
				t.Errorf("a single stray sample shows as a miss of %.1f px", miss)
			}
		}
	}
}

func TestCornersAloneStillShowLines(t *testing.T) {
	m := (&practice.Job{}).Model()
	var c []lens.Crossing
	for _, k := range [][2]int{{0, 0}, {12, 0}, {12, 9}, {0, 9}} {
		at := m.ToPhoto(mat.Point{X: float64(k[0]) * practice.PitchMM, Y: float64(k[1]) * practice.PitchMM})
		c = append(c, lens.Crossing{At: at, Column: k[0], Row: k[1]})
	}
	fit, err := lens.SolveCorners(context.Background(), c, lens.SolveOptions{PitchMM: practice.PitchMM, Width: 1600, Height: 1200})
	if err != nil {
		t.Fatal(err)
	}
	s := session.New()
	s.SetPhoto(photograph())
	s.SetSquared(&rectify.Squared{PitchMM: practice.PitchMM, Pitch: mat.Square(practice.PitchMM), Fit: fit, Grid: mat.Grid{MaxColumn: 12, MaxRow: 9}})
	if n := len(s.FoundLines()); n != 23 {
		t.Errorf("%d lines", n)
	}
}

func TestLabelsLieInside(t *testing.T) {
	s := traced(t)
	for _, p := range s.Shapes().Pieces {
		at := p.Label.OnMat[0]
		if s.Shapes().PieceAt(session.OnMat, at) != p.ID || s.Shapes().EdgeAt(session.OnMat, at, 6) != "" {
			t.Errorf("%s is written at %v", p.ID, at)
		}
	}
	d := s.Shapes().Pieces[3]
	if r := math.Hypot(d.Label.OnMat[0].X-215, d.Label.OnMat[0].Y-178); r < 12 {
		t.Errorf("the disc's letter lies in its opening, %.1f mm from the middle", r)
	}
}

func TestBrokenPiecesDoNoHarm(t *testing.T) {
	broken := []pattern.Piece{
		{ID: "A"},
		{ID: "B", Edges: []pattern.Edge{{ID: "B1", First: 3, Count: 9, Cut: bevel(45)}}, ThicknessMM: 5},
		{ID: "D", Outline: curve.Polygon(mat.Point{}, mat.Point{X: 1}), Edges: []pattern.Edge{{ID: "D1", First: -1, Count: 1, Cut: bevel(45)}}},
		{ID: "C", Outline: curve.Polygon(mat.Point{}, mat.Point{}), Edges: []pattern.Edge{{ID: "C1", First: -1, Count: 1, Cut: bevel(45)}}, ThicknessMM: 5},
	}
	s := session.New()
	s.SetPhoto(photograph())
	s.SetTraced(&trace.Traced{Pattern: pattern.Pattern{Pieces: broken}})
	if n := len(s.Shapes().Pieces); n != len(broken) {
		t.Errorf("%d pieces", n)
	}
	s.Findings()
	s.Shapes().EdgeAt(session.OnMat, view.Point{}, 5)
}
