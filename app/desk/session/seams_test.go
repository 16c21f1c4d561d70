package session_test

import (
	"errors"
	"math"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// twoStrips is a session with two strips, A and B, 100 mm high; marks lie on
// A2 only.
func twoStrips(t *testing.T) *session.Session {
	t.Helper()
	strip := func(x float64) pattern.Piece {
		return pattern.Piece{ThicknessMM: 10, Outline: curve.Polygon(
			mat.Point{X: x}, mat.Point{X: x + 50}, mat.Point{X: x + 50, Y: 100}, mat.Point{X: x, Y: 100})}
	}
	a := strip(0)
	a.Marks = []pattern.Mark{{At: mat.Point{X: 50, Y: 30}, In: mat.Point{X: 44, Y: 30}}}
	p, err := pattern.New("strips", a, strip(80))
	if err != nil {
		t.Fatal(err)
	}
	s := session.New()
	s.SetTraced(&trace.Traced{Pattern: p})
	return s
}

func TestPairing(t *testing.T) {
	s := twoStrips(t)
	id, err := s.Pair("A2", "B4")
	if err != nil || id != "s1" {
		t.Fatalf("%q, %v", id, err)
	}
	s.SelectEdge("A2")
	if m, ok := s.SelectedSeam(); !ok || m.ID != id || !s.SeamMates()["B4"] || len(s.SeamMates()) != 1 {
		t.Errorf("the seam of A2 is %+v, its mates %v", m, s.SeamMates())
	}
	n, err := s.CopyMarks(id, pattern.ByShare)
	if err != nil || n != 1 {
		t.Fatalf("%d marks, %v", n, err)
	}
	if err := s.ShareTurn(id, 90); err != nil {
		t.Fatal(err)
	}
	m, _ := s.SelectedSeam()
	if j, err := s.Joint(m, 30); err != nil || math.Abs(j.InteriorDeg-90) > 1e-9 || math.Abs(j.WedgeDeg) > 1e-9 {
		t.Errorf("the joint is %+v, %v", j, err)
	}
	before := s.Version()
	for name, err := range map[string]error{
		"paired again":  func() error { _, err := s.Pair("A2", "B1"); return err }(),
		"paired itself": func() error { _, err := s.Pair("A1", "A1"); return err }(),
		"no edge":       func() error { _, err := s.Pair("A1", "Z9"); return err }(),
		"joined":        s.JoinNext(),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if s.Version() != before {
		t.Error("a refused edit changed the document")
	}
	for range 3 {
		s.Undo()
	}
	if d := s.Document(); len(d.Pattern.Seams) != 0 || len(d.Pattern.Pieces[1].Marks) != 0 {
		t.Errorf("undone, there are %d seams and %d marks", len(d.Pattern.Seams), len(d.Pattern.Pieces[1].Marks))
	}
	for range 3 {
		s.Redo()
	}
	if d := s.Document(); len(d.Pattern.Seams) != 1 || d.Pattern.Seams[0].WantDeg != 90 || len(d.Pattern.Pieces[1].Marks) != 1 {
		t.Errorf("done again, the seams are %+v", d.Pattern.Seams)
	}
}

// A face turned the other way pairs edges that run alike.
func TestPairingAcrossFaces(t *testing.T) {
	s := twoStrips(t)
	if err := s.SetFace("B", pattern.Back); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Pair("A2", "B2"); err != nil {
		t.Fatal(err)
	}
	if s.Document().Pattern.Seams[0].B[0].Reversed {
		t.Error("the mate is taken against its outline")
	}
}

func TestBreakJoinAndScale(t *testing.T) {
	s := twoStrips(t)
	if _, err := s.Pair("A2", "B4"); err != nil {
		t.Fatal(err)
	}
	if err := s.BreakEdge("A", curve.Position{Segment: 1, T: 0.5}); err != nil {
		t.Fatal(err)
	}
	if m, ok := s.SelectedSeam(); !ok || len(m.A) != 2 {
		t.Errorf("the part after the break belongs to %+v", m)
	}
	s.SelectEdge("A2")
	if err := s.JoinNext(); err != nil {
		t.Fatal(err)
	}
	if err := s.ScalePattern(2); err != nil {
		t.Fatal(err)
	}
	if m, err := s.Measure("s1"); err != nil || math.Abs(m.A.LengthMM-200) > 1e-6 {
		t.Errorf("the seam is %.2f mm long, %v", m.A.LengthMM, err)
	}
	if err := s.SetAllowance("A1", pattern.Allowance{WidthMM: 8}); err != nil {
		t.Error(err)
	}
	if err := s.SetAllowance("A1", pattern.Allowance{WidthMM: -1}); err == nil {
		t.Error("a negative allowance was taken")
	}
}

// Findings carry their mends, and a mend is one step.
func TestMending(t *testing.T) {
	s := twoStrips(t)
	if _, err := s.Pair("A2", "B4"); err != nil {
		t.Fatal(err)
	}
	mended := false
	for _, f := range s.Findings() {
		if f.Mend.Kind == pattern.CopyMarks {
			if err := s.Mend(f.Mend); err != nil {
				t.Fatal(err)
			}
			mended = true
		}
	}
	if !mended || len(s.Document().Pattern.Pieces[1].Marks) != 1 {
		t.Errorf("mended: %v, marks %v", mended, s.Document().Pattern.Pieces[1].Marks)
	}
	if e, _ := s.Undo(); e.Action != session.ActionMend {
		t.Errorf("undone was %+v", e)
	}
	if _, err := s.AcceptSure(); err != nil && !errors.Is(err, session.ErrNothingSure) {
		t.Error(err)
	}
}
