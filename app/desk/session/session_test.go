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
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
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
	switch rapid.IntRange(0, 16).Draw(t, "kind") {
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
	default:
		editSettings(t, s)
	}
}

func editSettings(t *rapid.T, s *session.Session) {
	mm := rapid.Float64Range(1, 300)
	at := photo.Point{X: mm.Draw(t, "x"), Y: mm.Draw(t, "y")}
	// Equal edits in a row are one step while a drag lasts; here each is its own.
	defer s.EndGesture()
	switch rapid.IntRange(0, 10).Draw(t, "setting") {
	case 0:
		s.SetPitch(mm.Draw(t, "pitch"))
	case 1:
		s.SetKind(rapid.IntRange(0, 3).Draw(t, "kind"))
	case 2:
		s.SetSpans(rectify.Span{Squares: 10, LengthMM: mm.Draw(t, "span")}, rectify.Span{})
	case 3:
		s.SetMat(session.Mat{Name: "m", PitchMM: mm.Draw(t, "pitch")}, rapid.Bool().Draw(t, "turned"))
	case 4:
		s.SetTurned(rapid.Bool().Draw(t, "turned"))
	case 5:
		s.SetRaised(rectify.Raised{ThicknessMM: rapid.Float64Range(0, 20).Draw(t, "mm")})
	case 6:
		s.ChooseSheet("", mm.Draw(t, "a"), mm.Draw(t, "b"))
	case 7:
		s.AddSheetCorner(at)
	case 8:
		s.MoveSheetCorner(rapid.IntRange(-1, 4).Draw(t, "i"), at)
	case 9:
		s.AddCheck(session.LengthCheck{From: at, To: photo.Point{}, KnownMM: 5})
	case 10:
		s.RemoveCheck(rapid.IntRange(-1, 2).Draw(t, "i"))
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

func TestANewPitchKeepsTheWorkButSaysSo(t *testing.T) {
	s := traced(t)
	if s.Stale() || s.State(session.StageSquareUp) != session.Done {
		t.Fatal("stale from the start")
	}
	s.SetPitch(10)
	if d := s.Document(); d.Squared == nil || len(d.Pattern.Pieces) != 4 || !s.Stale() || s.State(session.StageSquareUp) != session.NeedsYou {
		t.Error("the work is gone, or passes for solved at the new pitch")
	}
	s.Undo()
	if d := s.Document(); s.Stale() || d.PitchMM != practice.PitchMM {
		t.Error("undo did not bring the pitch back")
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
	if c, r, ok := s.ProposeCount(at(10, 8)); !ok || c != 8 || r != 7 {
		t.Errorf("the rectangle's fourth corner is proposed as %d, %d, %v", c, r, ok)
	}
	if c, r, ok := s.ProposeCount(at(6, 4)); ok {
		t.Errorf("three corners cannot count to the middle, yet %d, %d is proposed", c, r)
	}
	i := s.AddCorner(at(10, 8), true)
	if !s.Document().Corners[i].Proposed {
		t.Error("a guess does not say that it is one")
	}
	s.SetCornerCount(i, 8, 7)
	if s.Document().Corners[i].Proposed {
		t.Error("a confirmed count still says it is a guess")
	}
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

// Under strong perspective the far side of a mat looks a fifth shorter; the
// fourth corner is still told.
func TestFourthCornerUnderPerspective(t *testing.T) {
	s := session.New()
	s.SetPhoto(photograph())
	for i, c := range []struct {
		at   photo.Point
		c, r int
	}{{photo.Point{X: 285, Y: 188}, 0, 0}, {photo.Point{X: 861, Y: 145}, 24, 0}, {photo.Point{X: 933, Y: 625}, 24, 18}} {
		s.AddCorner(c.at, true)
		s.SetCornerCount(i, c.c, c.r)
	}
	if c, r, ok := s.ProposeCount(photo.Point{X: 249, Y: 632}); !ok || c != 0 || r != 18 {
		t.Errorf("proposed %d, %d, %v", c, r, ok)
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
