package rectify

import (
	"errors"
	"math"

	"flatwright/rectify/photo"
)

// DistanceCheck compares a length in the photograph with its known value.
type DistanceCheck struct {
	From, To            photo.Point
	KnownMM, MeasuredMM float64
	// PlusMinusMM is two standard errors of the measured length that come from
	// squaring up, both ends together; where the points were clicked is not
	// part of it.
	PlusMinusMM float64
}

// DifferenceMM is what was measured less what is known.
func (c DistanceCheck) DifferenceMM() float64 { return c.MeasuredMM - c.KnownMM }

// ErrOffMat is returned for a place in the photograph that shows no point of
// the mat's plane.
var ErrOffMat = errors.New("that place in the photograph lies off the mat's plane: choose places on the mat")

// CheckDistance measures between two places of the photograph on the mat, to
// be held against a length that is known: a rule's, say. It serves in every
// way of squaring up. Errors: ErrOffMat.
func (s *Squared) CheckDistance(from, to photo.Point, knownMM float64) (DistanceCheck, error) {
	a, ok1 := s.Fit.ToMat(from)
	b, ok2 := s.Fit.ToMat(to)
	if !ok1 || !ok2 {
		return DistanceCheck{}, ErrOffMat
	}
	return DistanceCheck{
		From: from, To: to, KnownMM: knownMM,
		MeasuredMM:  math.Hypot(b.X-a.X, b.Y-a.Y),
		PlusMinusMM: math.Hypot(s.Fit.PlusMinusMM(a), s.Fit.PlusMinusMM(b)),
	}, nil
}
