package session

import (
	"errors"

	"flatwright/trace/pattern"
)

// ErrNoBevels tells that the angles of a point cannot be cut.
var ErrNoBevels = errors.New("these corners give no angles that can be cut: check the seams, or trace the corners again")

// PointsOf returns the points of three pieces at which a seam ends.
func (s *Session) PointsOf(seamID string) []pattern.Point {
	all := s.points.of(s.work, func() []pattern.Point { return s.doc.Pattern.Points() })
	var out []pattern.Point
	for _, pt := range all {
		for _, x := range pt.Seams {
			if x.Seam == seamID {
				out = append(out, pt)
				break
			}
		}
	}
	return out
}

// TurnedPoint is a point as it is when it points the other way.
func (s *Session) TurnedPoint(pt pattern.Point) pattern.Point { return s.doc.Pattern.Turned(pt) }

// BevelPoint gives the three seams at a point the bevels that its corners ask
// for.
func (s *Session) BevelPoint(pt pattern.Point) error {
	m := pt.Mend()
	if m.Kind == "" {
		return ErrNoBevels
	}
	return s.onPattern(Edit{ActionPoint, pt.Corners[0].Piece}, func(p *pattern.Pattern) error { return p.Apply(m) })
}
