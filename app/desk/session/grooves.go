package session

import "flatwright/trace/pattern"

// GroovePlace returns where a run of grooves would stand: on the selected
// edge, or beside the selected line. False when neither is selected.
func (s *Session) GroovePlace() (pattern.Piece, pattern.GroovePlace, bool) {
	if q, e := s.doc.edge(s.edgeID); e != nil {
		return *q, pattern.GroovePlace{Edge: e.ID}, true
	}
	q, _, ok := s.SelectedLine()
	if !ok {
		return pattern.Piece{}, pattern.GroovePlace{}, false
	}
	return q, q.GroovePlaceOf(s.LineNumber()), true
}

// PlanGrooves works out a run of grooves at the place of the selection;
// nothing is changed.
func (s *Session) PlanGrooves(want pattern.GrooveRun) (pattern.Grooving, error) {
	q, at, ok := s.GroovePlace()
	if !ok {
		return pattern.Grooving{}, ErrNoLine
	}
	g, _, err := q.PlanGrooves(at, want)
	return g, err
}

// SetGrooves puts a run of grooves there.
func (s *Session) SetGrooves(want pattern.GrooveRun) (pattern.Grooving, error) {
	q, at, ok := s.GroovePlace()
	if !ok {
		return pattern.Grooving{}, ErrNoLine
	}
	var g pattern.Grooving
	err := s.onPattern(Edit{ActionGrooves, q.ID}, func(p *pattern.Pattern) (err error) {
		g, err = p.SetGrooves(q.ID, at, want)
		return err
	})
	if err == nil && at.Edge == "" {
		s.SelectLine(q.ID, at.Line)
	}
	return g, err
}

// DropGrooves takes the run of grooves there off the piece.
func (s *Session) DropGrooves() error {
	q, at, ok := s.GroovePlace()
	if !ok {
		return ErrNoLine
	}
	err := s.onPattern(Edit{ActionGrooves, q.ID}, func(p *pattern.Pattern) error { return p.DropGrooves(q.ID, at) })
	if err == nil && at.Edge == "" {
		s.SelectLine(q.ID, at.Line)
	}
	return err
}
