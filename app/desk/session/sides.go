package session

import "flatwright/trace/pattern"

// SetSideEdge takes an edge into a side of a seam that it goes on from, or
// takes it off the side's end again.
func (s *Session) SetSideEdge(seamID, edgeID string) error {
	return s.onPattern(Edit{ActionSide, seamID}, func(p *pattern.Pattern) error { return p.SetSideEdge(seamID, edgeID) })
}

// TrySideEdge returns a seam and its measure as SetSideEdge would leave them;
// nothing is changed.
func (s *Session) TrySideEdge(seamID, edgeID string) (pattern.Seam, pattern.SeamMeasure, error) {
	trial := s.doc.clone().Pattern
	if err := trial.SetSideEdge(seamID, edgeID); err != nil {
		return pattern.Seam{}, pattern.SeamMeasure{}, err
	}
	m, err := trial.MeasureSeam(seamID)
	for _, x := range trial.Seams {
		if x.ID == seamID {
			return x, m, err
		}
	}
	return pattern.Seam{}, m, err
}

// TurnSeam makes a seam close the other way round.
func (s *Session) TurnSeam(seamID string) error {
	return s.onPattern(Edit{ActionTurnSeam, seamID}, func(p *pattern.Pattern) error { return p.TurnSeam(seamID) })
}

// Seam returns a seam by its name; false when there is none.
func (s *Session) Seam(id string) (pattern.Seam, bool) {
	for _, m := range s.doc.Pattern.Seams {
		if m.ID == id {
			return m, true
		}
	}
	return pattern.Seam{}, false
}

// DartOpenMM returns how wide a dart gapes; false for seams that are none.
func (s *Session) DartOpenMM(seamID string) (float64, bool) { return s.doc.Pattern.DartOpenMM(seamID) }
