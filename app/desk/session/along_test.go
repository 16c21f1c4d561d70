package session_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// A pattern that comes along lies in the photograph where it lay, stretched on
// the mat by what the scale says, and carries all that was said of it.
func TestWorkedPiecesComeAlong(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := traced(t)
		if s.ComesAlong() {
			rt.Fatal("untouched pieces come along instead of being traced")
		}
		_ = s.SetCut("A2", bevel(30))
		_ = s.SetName("C", "fin")
		if _, err := s.Pair("A4", "B1"); err != nil {
			rt.Fatal(err)
		}
		before := s.Document().Pattern
		fx, fy := rapid.Float64Range(0.96, 1.04).Draw(rt, "x"), rapid.Float64Range(0.96, 1.04).Draw(rt, "y")
		s.SetSpans(rectify.Span{Squares: 10, LengthMM: 254 * fx}, rectify.Span{Squares: 8, LengthMM: 203.2 * fy})
		if !s.ComesAlong() {
			rt.Fatal("worked pieces do not come along")
		}
		x := solved(t, s, session.ByLines)
		x.Traced, x.Along = nil, true
		if c := s.Take(x); !c.Along || c.Lost() != 0 {
			rt.Fatalf("%+v", c)
		}
		d := s.Document()
		if len(d.Pattern.Seams) != 1 || d.Pattern.Pieces[0].Edges[1].Cut != bevel(30) || d.Pattern.Pieces[2].Name != "fin" {
			rt.Error("something said was lost")
		}
		if d.Traced == nil || len(d.Traced.Pattern.Pieces) != 4 {
			rt.Error("what was traced is gone")
		}
		v, _ := s.View()
		truth := (&practice.Job{}).Model()
		for i, n := range d.Pattern.Nodes() {
			old := before.Nodes()[i]
			p, q := v.ToPhoto(n), truth.ToPhoto(practice.Pattern().Nodes()[i])
			if math.Hypot(n.X-fx*old.X, n.Y-fy*old.Y) > 0.05 || math.Hypot(p.X-q.X, p.Y-q.Y) > 0.3 {
				rt.Fatalf("node %d went from %v to %v, stretched by %v and %v", i, old, n, fx, fy)
			}
		}
	})
}

func TestPiecesOfAnotherHeightAreTracedAnew(t *testing.T) {
	s := traced(t)
	_ = s.SetCut("A2", bevel(30))
	s.SetRaised(rectify.Raised{ThicknessMM: 10, CameraHeightMM: 600})
	if s.ComesAlong() {
		t.Error("outlines of flat pieces serve for thick ones")
	}
	if c := s.Take(solved(t, s, session.ByLines)); c.Along || c.Kept != 1 || c.Lost() != 0 {
		t.Errorf("%+v", c)
	}
}

// Seams, allowances, work along lines and marks of the maker's own survive
// tracing anew; those without a place are named.
func TestAllKindsOfMarksAreCarried(t *testing.T) {
	p := practice.Pattern()
	p.Pieces[0].Lines[0].Work = pattern.LineWork{Kind: pattern.Groove, DepthMM: 3}
	p.Pieces[1].Edges[0].Allowance = pattern.Allowance{WidthMM: 6}
	p.Pieces[2].Marks = []pattern.Mark{{At: mat.Point{X: 60, Y: 140}, In: mat.Point{X: 60, Y: 146}}}
	p.Pieces[0].Marks[0].Ticks = 2
	p.Pieces[3].Note = "mirror"
	p.Seams = []pattern.Seam{
		{ID: "1", A: pattern.Run{{Edge: "A4"}}, B: pattern.Run{{Edge: "B1", Reversed: true}}, WantDeg: 90},
		{ID: "2", A: pattern.Run{{Edge: "C1"}}, B: pattern.Run{{Edge: "D1"}}},
	}
	s := traced(t)
	s.SetPhoto(photograph())
	s.SetPitch(practice.PitchMM)
	x := solved(t, s, session.ByLines)
	x.Traced = &trace.Traced{Pattern: p}
	s.Take(x)
	next := practice.Pattern()
	next.Pieces = slices.Delete(next.Pieces, 3, 4) // D is not found again
	next.Pieces[2].ID, next.Pieces[2].Edges[0].ID = "Q", "Q1"
	c := s.SetTraced(&trace.Traced{Pattern: next})
	if !slices.Equal(c.LostSeams, []string{"2"}) || !slices.Equal(c.LostPieces, []string{"D"}) || len(c.LostCuts) != 0 {
		t.Errorf("lost %+v", c)
	}
	got := s.Document().Pattern
	if len(got.Seams) != 1 || got.Seams[0].WantDeg != 90 || !got.Seams[0].B[0].Reversed {
		t.Errorf("seams %+v", got.Seams)
	}
	if got.Pieces[0].Lines[0].Work.DepthMM != 3 || got.Pieces[1].Edges[0].Allowance.WidthMM != 6 || got.Pieces[0].Marks[0].Ticks != 2 {
		t.Error("a groove, an allowance or a double mark is gone")
	}
	if m := got.Pieces[2].Marks; len(m) != 1 || math.Hypot(m[0].At.X-60, m[0].At.Y-140) > 1e-6 {
		t.Errorf("the maker's mark: %+v", m)
	}
}
