package session

import (
	"slices"
	"strconv"

	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// LengthCheck is a length in the photograph that the maker knows.
type LengthCheck struct {
	From, To photo.Point
	KnownMM  float64
}

// AddCheck keeps a length to be checked.
func (s *Session) AddCheck(c LengthCheck) {
	if c.KnownMM > 0 && c.From != c.To {
		n := strconv.Itoa(len(s.doc.Checks) + 1)
		s.edit(Edit{ActionCheck, n}, func(d *Document) { d.Checks = append(d.Checks, c) })
	}
}

// RemoveCheck takes a check away.
func (s *Session) RemoveCheck(i int) {
	if i >= 0 && i < len(s.doc.Checks) {
		s.edit(Edit{ActionRemoveCheck, strconv.Itoa(i + 1)}, func(d *Document) { d.Checks = slices.Delete(d.Checks, i, i+1) })
	}
}

// Measured returns what the squared-up photograph says of a length. Errors:
// ErrNotSquaredUp, rectify.ErrOffMat.
func (s *Session) Measured(c LengthCheck) (rectify.DistanceCheck, error) {
	q := s.doc.Squared
	if q == nil || q.Fit == nil {
		return rectify.DistanceCheck{}, ErrNotSquaredUp
	}
	return q.CheckDistance(c.From, c.To, c.KnownMM)
}
