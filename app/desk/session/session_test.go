package session_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// photograph is enough of one where no pixel is looked at.
func photograph() *photo.Photo { return &photo.Photo{Name: "p.jpg", Width: 1600, Height: 1200} }

// traced returns a session with the practice pattern.
func traced(t testing.TB) *session.Session {
	t.Helper()
	j := &practice.Job{}
	s := session.New()
	s.SetPhoto(photograph())
	s.SetPitch(practice.PitchMM)
	q, err := j.SquareUp(context.Background(), s.Photo(), rectify.Options{PitchMM: practice.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	s.SetSquared(q)
	s.SetTraced(&trace.Traced{Pattern: practice.Pattern()})
	return s
}

func bevel(deg float64) pattern.Cut { return pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg} }

func TestSetCutAndUndo(t *testing.T) {
	s := traced(t)
	s.SelectEdge("A2")
	if err := s.SetCut("A2", bevel(45)); err != nil {
		t.Fatal(err)
	}
	if e, ok := s.SelectedEdge(); !ok || e.Cut != bevel(45) {
		t.Fatalf("got %+v, %v", e, ok)
	}
	if e := s.NextUndo(); e.Action != session.ActionCut || e.Target != "A2" {
		t.Errorf("undo would take back %+v", e)
	}
	s.Undo()
	if e, _ := s.SelectedEdge(); e.Cut.Kind != pattern.Straight {
		t.Errorf("after undo %+v", e)
	}
	s.Redo()
	if e, _ := s.SelectedEdge(); e.Cut != bevel(45) {
		t.Errorf("after redo %+v", e)
	}
}

func TestRefusals(t *testing.T) {
	s := traced(t)
	if err := s.SetCut("Z9", bevel(45)); !errors.Is(err, session.ErrNoSuchEdge) {
		t.Error(err)
	}
	for _, deg := range []float64{0, 90, -5, math.NaN()} {
		if err := s.SetCut("A1", bevel(deg)); err == nil {
			t.Errorf("%v degrees were taken", deg)
		}
	}
	if err := s.SetName("Z", "x"); !errors.Is(err, session.ErrNoSuchPiece) {
		t.Error(err)
	}
	if s.NextUndo().Action != session.ActionTrace {
		t.Error("a refusal left a step")
	}
}

func TestNoStepForNoChange(t *testing.T) {
	s := traced(t)
	before := s.Version()
	_ = s.SetCut("A1", pattern.Cut{Kind: pattern.Straight})
	_ = s.SetName("A", " ")
	_ = s.SetQuantity("A", 0)
	_ = s.SetThickness("A", 0)
	if s.Version() != before {
		t.Error("nothing changed, yet there is a step")
	}
}

// edits are random steps of every kind.
func edit(t *rapid.T, s *session.Session) {
	edges := []string{"A1", "A2", "B1", "C3", "D1"}
	piece := rapid.SampledFrom([]string{"A", "B", "C", "D"}).Draw(t, "piece")
	switch rapid.IntRange(0, 6).Draw(t, "kind") {
	case 0:
		_ = s.SetCut(rapid.SampledFrom(edges).Draw(t, "edge"), bevel(rapid.Float64Range(1, 75).Draw(t, "deg")))
	case 1:
		_ = s.SetThickness(piece, rapid.Float64Range(1, 20).Draw(t, "mm"))
	case 2:
		_ = s.SetName(piece, rapid.StringMatching(`[a-z]{1,5}`).Draw(t, "name"))
	case 3:
		_ = s.SetQuantity(piece, rapid.IntRange(1, 9).Draw(t, "n"))
	case 4:
		s.AddCorner(photo.Point{X: rapid.Float64Range(0, 1600).Draw(t, "x"), Y: rapid.Float64Range(0, 1200).Draw(t, "y")}, false)
	case 5:
		s.SetCornerCount(rapid.IntRange(-1, 3).Draw(t, "i"), rapid.IntRange(-5, 15).Draw(t, "c"), rapid.IntRange(-5, 15).Draw(t, "r"))
	case 6:
		s.RemoveCorner(rapid.IntRange(-1, 3).Draw(t, "i"))
	}
}

func TestUndoGoesBackToEveryState(t *testing.T) {
	start := traced(t)
	doc := start.Document()
	rapid.Check(t, func(t *rapid.T) {
		s := session.New()
		s.SetPhoto(photograph())
		s.SetSquared(doc.Squared)
		s.SetTraced(doc.Traced)
		states := []session.Document{s.Document()}
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			before := s.Version()
			if edit(t, s); s.Version() != before {
				states = append(states, s.Document())
			}
		}
		for i := len(states) - 2; i >= 0; i-- {
			if _, ok := s.Undo(); !ok || !reflect.DeepEqual(s.Document(), states[i]) {
				t.Fatalf("undo to state %d gave another", i)
			}
		}
		for i := 1; i < len(states); i++ {
			if _, ok := s.Redo(); !ok || !reflect.DeepEqual(s.Document(), states[i]) {
				t.Fatalf("redo to state %d gave another", i)
			}
		}
	})
}

func TestADragIsOneStep(t *testing.T) {
	s := traced(t)
	i := s.AddCorner(photo.Point{X: 100, Y: 100}, false)
	for x := 101.0; x < 150; x++ {
		s.MoveCorner(i, photo.Point{X: x, Y: 100}, false)
	}
	s.EndGesture()
	s.EndGesture()
	s.Undo()
	if c := s.Document().Corners[i].At; c.X != 100 {
		t.Errorf("one undo of the drag left it at %v", c)
	}
	s.Undo()
	if n := len(s.Document().Corners); n != 0 {
		t.Errorf("%d corners left", n)
	}
}

func TestAnotherDragIsAnotherStep(t *testing.T) {
	s := traced(t)
	i := s.AddCorner(photo.Point{X: 100, Y: 100}, false)
	s.MoveCorner(i, photo.Point{X: 120, Y: 100}, false)
	s.EndGesture()
	s.MoveCorner(i, photo.Point{X: 140, Y: 100}, false)
	s.EndGesture()
	s.Undo()
	if c := s.Document().Corners[i].At; c.X != 120 {
		t.Errorf("undo went back to %v", c)
	}
}

func TestANewPitchTakesTheOldSolutionAway(t *testing.T) {
	s := traced(t)
	s.SetPitch(10)
	if d := s.Document(); d.Squared != nil || len(d.Pattern.Pieces) != 0 {
		t.Error("a pattern at the wrong scale stayed")
	}
	s.Undo()
	if d := s.Document(); d.Squared == nil || len(d.Pattern.Pieces) != 4 || d.PitchMM != practice.PitchMM {
		t.Error("undo did not bring the work back")
	}
}

func TestSelectionFollowsThePattern(t *testing.T) {
	s := traced(t)
	s.SelectEdge("C2")
	s.SetTraced(&trace.Traced{Pattern: pattern.Pattern{}})
	if _, ok := s.SelectedEdge(); ok {
		t.Error("an edge that is gone is still selected")
	}
	s.Undo()
	s.SelectEdge("")
	s.StepEdge(1)
	first, _ := s.SelectedEdge()
	s.StepEdge(-1)
	last, _ := s.SelectedEdge()
	s.StepEdge(1)
	again, _ := s.SelectedEdge()
	if first.ID != "A1" || last.ID != "D1" || again.ID != "A1" {
		t.Errorf("stepped %s %s %s", first.ID, last.ID, again.ID)
	}
	s.SelectPiece("C")
	s.StepEdge(1)
	if e, _ := s.SelectedEdge(); e.ID != "C1" {
		t.Errorf("from piece C to %s", e.ID)
	}
	s.StepPiece(1)
	if p, _ := s.SelectedPiece(); p.ID != "D" {
		t.Errorf("next piece %s", p.ID)
	}
}

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
	s.SetSquared(&rectify.Squared{PitchMM: practice.PitchMM, Fit: fit, Grid: mat.Grid{MaxColumn: 12, MaxRow: 9}})
	if n := len(s.FoundLines()); n != 23 {
		t.Errorf("%d lines", n)
	}
}

func TestProposedCounts(t *testing.T) {
	m := (&practice.Job{}).Model()
	at := func(c, r int) photo.Point {
		return m.ToPhoto(mat.Point{X: float64(c) * practice.PitchMM, Y: float64(r) * practice.PitchMM})
	}
	s := session.New()
	s.SetPhoto(photograph())
	if i := s.AddCorner(at(2, 1), true); !s.Document().Corners[i].Known {
		t.Error("the first corner is 0, 0")
	}
	if i := s.AddCorner(at(10, 1), true); s.Document().Corners[i].Known {
		t.Error("the second corner's count was made up")
	}
	s.SetCornerCount(1, 8, 0)
	s.SetCornerCount(s.AddCorner(at(2, 8), true), 0, 7)
	for _, k := range [][2]int{{6, 4}, {10, 8}} {
		if c, r, ok := s.ProposeCount(at(k[0], k[1])); !ok || c != k[0]-2 || r != k[1]-1 {
			t.Errorf("from three corners %v is proposed as %d, %d, %v", k, c, r, ok)
		}
	}
	s.AddCorner(at(10, 8), true)
	for c := range 13 {
		for r := range 10 {
			if gc, gr, ok := s.ProposeCount(at(c, r)); !ok || gc != c-2 || gr != r-1 {
				t.Errorf("from four corners %d, %d is proposed as %d, %d", c, r, gc, gr)
			}
		}
	}
	solved := traced(t)
	if c, r, ok := solved.ProposeCount(at(5, 6)); !ok || c != 5 || r != 6 {
		t.Errorf("a solved photograph proposes %d, %d", c, r)
	}
}

func TestHomographyRefusesALine(t *testing.T) {
	var c []rectify.Corner
	for i := range 4 {
		c = append(c, rectify.Corner{At: photo.Point{X: float64(100 * i), Y: float64(50 * i)}, Column: i, Row: i})
	}
	if _, err := session.SolveHomography(c); !errors.Is(err, session.ErrCorners) {
		t.Error(err)
	}
	if _, err := session.SolveHomography(c[:3]); !errors.Is(err, session.ErrCorners) {
		t.Error(err)
	}
}

func TestRungs(t *testing.T) {
	s := session.New()
	if s.State(session.StagePhotograph) != session.NeedsYou || s.State(session.StagePrint) != session.NotYet {
		t.Error("an empty bench asks for a photograph and nothing else")
	}
	s = traced(t)
	for _, st := range []session.Stage{session.StagePhotograph, session.StageSquareUp, session.StageTrace, session.StageCheck} {
		if s.State(st) != session.Done {
			t.Errorf("rung %d is not done", st)
		}
	}
	_ = s.SetCut("A1", bevel(45))
	f := s.Findings()
	if len(f) != 1 || f[0].Kind != session.FromRules || f[0].PieceID != "A" || s.State(session.StageCheck) != session.NeedsYou {
		t.Errorf("a bevel without a thickness: %+v", f)
	}
	s.SetThicknessOfAll(10)
	if len(s.Findings()) != 0 || s.State(session.StageMarkUp) != session.Done || s.LeaningCuts() != 1 {
		t.Error("a thickness mends it")
	}
	s.MarkPrinted(s.Version())
	if s.State(session.StagePrint) != session.Done {
		t.Error("printed is done")
	}
	_ = s.SetName("A", "cheek")
	if s.State(session.StagePrint) != session.NeedsYou {
		t.Error("an edit after printing asks for another print")
	}
	s.SetTraced(&trace.Traced{Pattern: practice.Pattern(), Problems: []find.Problem{{Text: "look"}}})
	if f := s.Findings(); len(f) != 1 || f[0].Text != "look" {
		t.Errorf("the tracing's own problem: %+v", f)
	}
}

func TestPlusMinusIsFinite(t *testing.T) {
	mm, ok := traced(t).PlusMinusMM()
	if !ok || !(mm > 0.001 && mm < 0.2) {
		t.Errorf("± %v mm, %v", mm, ok)
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
