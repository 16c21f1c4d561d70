package session_test

import (
	"errors"
	"math"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
)

// What was split is selected as two pieces, and made one again as it stands: the
// edges between them are found.
func TestWhatWasSplitIsJoinedAgain(t *testing.T) {
	s := traced(t)
	p := s.Document().Pattern.Pieces[0]
	area, b := p.AreaMM2(), p.Outline.Bounds()
	mid := (b.Min.X + b.Max.X) / 2
	s.SelectPiece(p.ID)
	if _, err := s.Split(mat.Point{X: mid, Y: b.Min.Y - 50}, mat.Point{X: mid, Y: b.Max.Y + 50}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Unite(); err != nil {
		t.Fatal(err)
	}
	q, ok := s.SelectedPiece()
	if !ok || q.ID != p.ID || math.Abs(q.AreaMM2()-area) > 1e-2 || len(q.Openings) != len(p.Openings) {
		t.Errorf("%v, %.3f mm² of %.3f, %d openings of %d", q.ID, q.AreaMM2(), area, len(q.Openings), len(p.Openings))
	}
	s.SelectPieces([]string{"A", "C"}, false)
	if _, err := s.Unite(); !errors.Is(err, session.ErrTwoEdges) {
		t.Errorf("two pieces apart were joined: %v", err)
	}
}
