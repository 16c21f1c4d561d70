package session

import "flatwright/trace/pattern"

// SelectEdge selects an edge and its piece; an unknown ID selects nothing.
func (s *Session) SelectEdge(id string) {
	s.line, s.also, s.kept = 0, nil, nil
	p, e := s.doc.edge(id)
	if e == nil {
		s.edgeID, s.pieceID = "", ""
		return
	}
	s.edgeID, s.pieceID = id, p.ID
}

// SelectPiece selects a piece without an edge; an unknown ID selects nothing.
func (s *Session) SelectPiece(id string) {
	s.edgeID, s.pieceID, s.line, s.also, s.kept = "", "", 0, nil, nil
	if s.doc.piece(id) != nil {
		s.pieceID = id
	}
}

// SelectedEdge returns a copy of the selected edge; false for none.
func (s *Session) SelectedEdge() (pattern.Edge, bool) {
	_, e := s.doc.edge(s.edgeID)
	if e == nil {
		return pattern.Edge{}, false
	}
	return *e, true
}

// SelectedPiece returns a copy of the selected piece; false for none.
func (s *Session) SelectedPiece() (pattern.Piece, bool) {
	p := s.doc.piece(s.pieceID)
	if p == nil {
		return pattern.Piece{}, false
	}
	return *p, true
}

// StepEdge selects the next edge round the pattern, or the one before when
// by is -1.
func (s *Session) StepEdge(by int) {
	var ids []string
	at := -1
	for _, p := range s.doc.Pattern.Pieces {
		for _, e := range p.Edges {
			if e.ID == s.edgeID || s.edgeID == "" && p.ID == s.pieceID && at < 0 {
				at = len(ids)
				if s.edgeID == "" {
					at -= max(by, 0)
				}
			}
			ids = append(ids, e.ID)
		}
	}
	if len(ids) > 0 {
		kept := s.kept
		s.SelectEdge(ids[wrap(at, by, len(ids))])
		s.kept = kept
	}
}

// StepPiece selects the next piece, or the one before when by is -1.
func (s *Session) StepPiece(by int) {
	at, n := -1, len(s.doc.Pattern.Pieces)
	for i, p := range s.doc.Pattern.Pieces {
		if p.ID == s.pieceID {
			at = i
		}
	}
	if n > 0 {
		kept := s.kept
		s.SelectPiece(s.doc.Pattern.Pieces[wrap(at, by, n)].ID)
		s.kept = kept
	}
}

// wrap steps round a ring of n; from nowhere (-1) forward is the first and
// backward the last.
func wrap(at, by, n int) int {
	if at < 0 && by < 0 {
		at = 0
	}
	return ((at+by)%n + n) % n
}
