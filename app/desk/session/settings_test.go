package session_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// solved works a session's settings out anew, as the window does.
func solved(t testing.TB, s *session.Session, by session.Means) session.Solution {
	t.Helper()
	j := &practice.Job{Drawn: photograph()}
	o, err := s.Options(by)
	if err != nil {
		t.Fatal(err)
	}
	q, err := j.SquareUp(t.Context(), s.Photo(), o)
	if err != nil {
		t.Fatal(err)
	}
	traced, err := j.Trace(t.Context(), q, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return session.Solution{Squared: q, Traced: traced, By: by, With: s.Document().Settings}
}

func TestScaleOfTheSettings(t *testing.T) {
	base := session.Settings{PitchMM: 25.4}
	known := session.Mat{Name: "m", PitchMM: 25.4, Scale: rectify.Scale{X: 1.01, Y: 0.99, Source: rectify.FromProfile}}
	for name, c := range map[string]struct {
		change func(*session.Settings)
		x, y   float64
		fails  bool
	}{
		"as printed":       {func(*session.Settings) {}, 0, 0, false},
		"nothing measured": {func(x *session.Settings) { x.ScaleFrom = session.ByRule }, 1, 1, false},
		"half a span":      {func(x *session.Settings) { x.ScaleFrom, x.Across.Squares = session.ByRule, 20 }, 1, 1, false},
		"across": {func(x *session.Settings) {
			x.ScaleFrom, x.Across = session.ByRule, rectify.Span{Squares: 20, LengthMM: 508.4}
		}, 508.4 / 508, 1, false},
		"both": {func(x *session.Settings) {
			x.ScaleFrom, x.Across, x.Down = session.ByRule, rectify.Span{Squares: 20, LengthMM: 508.4}, rectify.Span{Squares: 10, LengthMM: 253.5}
		}, 508.4 / 508, 253.5 / 254, false},
		"miscounted": {func(x *session.Settings) {
			x.ScaleFrom, x.Down = session.ByRule, rectify.Span{Squares: 20, LengthMM: 482}
		}, 0, 0, true},
		"not asked":         {func(x *session.Settings) { x.Down = rectify.Span{Squares: 20, LengthMM: 482} }, 0, 0, false},
		"known mat":         {func(x *session.Settings) { x.ScaleFrom, x.Mat = session.ByProfile, known }, 1.01, 0.99, false},
		"known mat, turned": {func(x *session.Settings) { x.ScaleFrom, x.Mat, x.Turned = session.ByProfile, known, true }, 0.99, 1.01, false},
	} {
		x := base
		c.change(&x)
		s, err := x.Scale()
		var span *rectify.SpanError
		if errors.As(err, &span) != c.fails || math.Abs(s.X-c.x) > 1e-12 || math.Abs(s.Y-c.y) > 1e-12 {
			t.Errorf("%s: %+v, %v", name, s, err)
		}
	}
}

func TestStaleFollowsWhatHasASay(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*session.Session) bool
		stale  bool
	}{
		"pitch":         {func(s *session.Session) bool { return s.SetPitch(10) }, true},
		"kind":          {func(s *session.Session) bool { return s.SetKind(2) }, true},
		"rule, no span": {func(s *session.Session) bool { return s.SetScaleFrom(session.ByRule) }, false},
		"half a span":   {func(s *session.Session) bool { return s.SetSpans(rectify.Span{Squares: 3}, rectify.Span{}) }, false},
		"a span": {func(s *session.Session) bool {
			return s.SetSpans(rectify.Span{Squares: 10, LengthMM: 254.3}, rectify.Span{})
		}, true},
		"a refused span": {func(s *session.Session) bool {
			return s.SetSpans(rectify.Span{Squares: 10, LengthMM: 100}, rectify.Span{})
		}, true},
		"turn without mat": {func(s *session.Session) bool { return s.SetTurned(true) }, false},
		"thickness":        {func(s *session.Session) bool { return s.SetRaised(rectify.Raised{ThicknessMM: 10}) }, true},
		"the same pitch":   {func(s *session.Session) bool { return !s.SetPitch(practice.PitchMM) }, false},
	} {
		s := traced(t)
		if !c.change(s) || s.Stale() != c.stale {
			t.Errorf("%s: stale %v", name, s.Stale())
		}
		if len(s.Document().Pattern.Pieces) != 4 {
			t.Errorf("%s: the pieces are gone", name)
		}
	}
}

func TestASettingAndItsSolutionAreOneStep(t *testing.T) {
	s := traced(t)
	before := s.Document()
	s.SetSpans(rectify.Span{Squares: 10, LengthMM: 254.5}, rectify.Span{})
	s.Take(solved(t, s, session.ByLines))
	if s.Stale() || s.Document().Squared == before.Squared || s.NextUndo().Action != session.ActionScale {
		t.Fatalf("stale %v, undo would take back %+v", s.Stale(), s.NextUndo())
	}
	s.Undo()
	if d := s.Document(); d.Squared != before.Squared || d.ScaleFrom != session.AsPrinted || s.Stale() {
		t.Error("one undo did not bring setting and solution back")
	}
	s.Redo()
	if s.Stale() || s.Document().Across.LengthMM != 254.5 {
		t.Error("one redo did not do it again")
	}
	// A solution nobody's setting led to is a step of its own.
	s.EndGesture()
	s.Take(solved(t, s, session.ByLines))
	if s.NextUndo().Action != session.ActionSquareUp {
		t.Errorf("undo would take back %+v", s.NextUndo())
	}
}

func TestMarksSurviveAnotherScale(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := traced(t)
		_ = s.SetCut("A2", bevel(30))
		_ = s.SetCut("C3", pattern.Cut{Kind: pattern.Undercut, AngleDeg: 45})
		_ = s.SetCut("D1", bevel(20))
		_ = s.SetName("B", "fin")
		_ = s.SetThickness("A", 10)
		_ = s.SetQuantity("D", 3)
		s.SetSpans(
			rectify.Span{Squares: 10, LengthMM: 254 * rapid.Float64Range(0.96, 1.04).Draw(rt, "x")},
			rectify.Span{Squares: 8, LengthMM: 203.2 * rapid.Float64Range(0.96, 1.04).Draw(rt, "y")})
		c := s.Take(solved(t, s, session.ByLines))
		if c.Lost() != 0 || c.Kept != 6 {
			rt.Fatalf("%+v", c)
		}
		p := s.Document().Pattern
		if p.Pieces[0].Edges[1].Cut != bevel(30) || p.Pieces[2].Edges[2].Cut.Kind != pattern.Undercut || p.Pieces[3].Edges[0].Cut != bevel(20) {
			rt.Error("a cut is gone")
		}
		if p.Pieces[1].Name != "fin" || p.Pieces[0].ThicknessMM != 10 || p.Pieces[3].Quantity != 3 {
			rt.Error("a name, thickness or number is gone")
		}
		if p.Pieces[0].Edges[0].Cut.Kind != pattern.Straight {
			rt.Error("a straight edge got a cut")
		}
	})
}

// The tracer may find fewer pieces, letter them otherwise, and divide their
// outlines otherwise.
func TestMarksAreNotLostSilently(t *testing.T) {
	s := traced(t)
	_ = s.SetCut("A2", bevel(30))
	_ = s.SetCut("B1", bevel(40))
	_ = s.SetName("B", "fin")
	_ = s.SetCut("C1", bevel(15))
	_ = s.SetCut("C2", bevel(15))
	_ = s.SetCut("C4", bevel(25))
	next := practice.Pattern()
	// B is not found, A's right side comes in two edges, C's first two are one,
	// and C4 joins the straight C5.
	a, c := next.Pieces[0], next.Pieces[2]
	a.Outline = halved(a.Outline, 1)
	a.Edges = []pattern.Edge{edge("A1", 0, 1), edge("A2", 1, 1), edge("A3", 2, 1), edge("A4", 3, 2), edge("A5", 5, 1)}
	c.Edges = []pattern.Edge{edge("B1", 0, 2), edge("B2", 2, 1), edge("B3", 3, 2), edge("B4", 5, 1)}
	c.ID = "B"
	got := s.SetTraced(&trace.Traced{Pattern: pattern.Pattern{Pieces: []pattern.Piece{c, a}}})
	if !slices.Equal(got.LostCuts, []string{"B1", "C4"}) || !slices.Equal(got.LostPieces, []string{"B"}) || got.Kept != 3 {
		t.Fatalf("%+v", got)
	}
	p := s.Document().Pattern.Pieces
	if p[1].Edges[1].Cut != bevel(30) || p[1].Edges[2].Cut != bevel(30) {
		t.Error("the halves of a cut edge are not both cut")
	}
	if p[0].Edges[0].Cut != bevel(15) || p[0].Edges[2].Cut.Kind != pattern.Straight {
		t.Errorf("joined edges are cut %v and %v", p[0].Edges[0].Cut, p[0].Edges[2].Cut)
	}
	s.Undo()
	if s.Document().Pattern.Pieces[1].Name != "fin" {
		t.Error("undo does not bring the lost back")
	}
}

func edge(id string, first, count int) pattern.Edge {
	return pattern.Edge{ID: id, First: first, Count: count, Cut: pattern.Cut{Kind: pattern.Straight}}
}

// halved divides one segment of an outline in two.
func halved(p curve.Path, i int) curve.Path {
	a, b := p.Segments[i].Split(0.5)
	a.Line, b.Line = p.Segments[i].Line, p.Segments[i].Line
	out := slices.Insert(slices.Clone(p.Segments), i+1, b)
	out[i] = a
	return curve.Path{Closed: p.Closed, Segments: out}
}

func TestANewPhotographKeepsTheMatButNotItsPlace(t *testing.T) {
	s := traced(t)
	s.SetMat(session.Mat{Name: "m", PitchMM: 10, Kind: 2}, true)
	s.SetRaised(rectify.Raised{ThicknessMM: 10, CameraHeightMM: 500})
	s.SetPhoto(photograph())
	d := s.Document()
	if d.Mat.Name != "m" || d.PitchMM != 10 || d.Kind != 2 || d.Raised != (rectify.Raised{ThicknessMM: 10}) {
		t.Errorf("%+v", d.Settings)
	}
	s.SetSpans(rectify.Span{Squares: 10, LengthMM: 100.1}, rectify.Span{})
	s.SetPhoto(photograph())
	if d := s.Document(); d.ScaleFrom != session.AsPrinted || d.Across != (rectify.Span{}) {
		t.Errorf("spans of another photograph stay: %+v", d.Settings)
	}
}

func TestRaisedPiecesAreDrawnOnTheirUpperFace(t *testing.T) {
	s := traced(t)
	if s.RaisedCostMM() != 0 {
		t.Error("flat pieces cost something")
	}
	s.SetRaised(rectify.Raised{ThicknessMM: 10, CameraHeightMM: 600})
	s.Take(solved(t, s, session.ByLines))
	if c := s.RaisedCostMM(); !(c > 0.01 && c < 2) {
		t.Errorf("10 mm cost ± %v mm", c)
	}
	upper, _ := s.View()
	flat, _ := s.MatView()
	far := 0.0
	for _, n := range s.Document().Pattern.Nodes() {
		a, b := upper.ToPhoto(n), flat.ToPhoto(n)
		far = math.Max(far, math.Hypot(a.X-b.X, a.Y-b.Y))
	}
	if far < 2 {
		t.Errorf("the upper face lies %.2f px from the mat", far)
	}
	// The pieces of the truth are still where they are in the photograph.
	truth := (&practice.Job{}).Model()
	for i, n := range practice.Pattern().Nodes() {
		want := truth.ToPhoto(n)
		got := upper.ToPhoto(s.Document().Pattern.Nodes()[i])
		if d := math.Hypot(got.X-want.X, got.Y-want.Y); d > 0.5 {
			t.Fatalf("node %d is drawn %.2f px off", i, d)
		}
	}
}

func TestChecks(t *testing.T) {
	s := traced(t)
	m := (&practice.Job{}).Model()
	c := session.LengthCheck{From: m.ToPhoto(mat.Point{X: 30, Y: 25}), To: m.ToPhoto(mat.Point{X: 130, Y: 25}), KnownMM: 99}
	work := s.Shapes()
	s.AddCheck(c)
	if s.Shapes() != work {
		t.Error("a check makes the shapes anew")
	}
	got, err := s.Measured(c)
	if err != nil || math.Abs(got.MeasuredMM-100) > 0.05 || math.Abs(got.DifferenceMM()-1) > 0.05 || !(got.PlusMinusMM > 0) {
		t.Errorf("%+v, %v", got, err)
	}
	s.AddCheck(session.LengthCheck{From: c.From, To: c.From, KnownMM: 5})
	s.AddCheck(session.LengthCheck{From: c.From, To: c.To})
	if n := len(s.Document().Checks); n != 1 {
		t.Errorf("%d checks", n)
	}
	s.RemoveCheck(3)
	s.RemoveCheck(0)
	if len(s.Document().Checks) != 0 {
		t.Error("the check stays")
	}
	s.Undo()
	if len(s.Document().Checks) != 1 {
		t.Error("undo does not bring it back")
	}
	if _, err := session.New().Measured(c); !errors.Is(err, session.ErrNotSquaredUp) {
		t.Error(err)
	}
}
