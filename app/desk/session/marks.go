package session

import (
	"errors"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// ErrNoMark tells that no registration mark is chosen.
var ErrNoMark = errors.New("no registration mark is chosen: reshape its piece and click the mark")

// SelectMark selects a registration mark of the selected piece, and no node.
func (s *Session) SelectMark(mark int) {
	p, ok := s.SelectedPiece()
	if !ok || mark < 0 || mark >= len(p.Marks) {
		s.ClearNodes()
		return
	}
	s.chooseNodes(p, nodePick{piece: p.ID, loop: pattern.Outer, mark: mark + 1})
}

// SelectedMark returns the selected mark's number; false when there is none.
func (s *Session) SelectedMark() (int, bool) {
	p, ok := s.SelectedPiece()
	if k := s.nodes.mark - 1; ok && s.nodes.piece == p.ID && k >= 0 && k < len(p.Marks) {
		return k, true
	}
	return 0, false
}

// DragMark moves a mark along the outline to where that is nearest to a point,
// as part of a drag that EndGesture ends. Within reach it goes to a target, see
// MarkTargets, and tells to which.
func (s *Session) DragMark(base pattern.Piece, mark int, to mat.Point, targets []Snapped, reachMM float64) (Snapped, error) {
	at := markSnap(base.Outline, to, targets, reachMM)
	return at, s.drag(ActionMoveMark, base, func(p *pattern.Piece) error { return p.MoveMark(mark, at.At) })
}

// NudgeMark moves the selected mark by d mm along the outline; a run of nudges
// is one step.
func (s *Session) NudgeMark(d mat.Point) error {
	p, ok := s.SelectedPiece()
	k, marked := s.SelectedMark()
	if !ok || !marked {
		return ErrNoMark
	}
	at := p.Marks[k].At
	_, err := s.DragMark(p, k, mat.Point{X: at.X + d.X, Y: at.Y + d.Y}, nil, 0)
	return err
}

// AddMark adds a mark to the selected piece where its outline is nearest to a
// point, and selects it.
func (s *Session) AddMark(near mat.Point) error {
	k := 0
	err := s.reshaped(ActionAddMark, func(p *pattern.Piece) (err error) {
		k, err = p.AddMark(near)
		return err
	})
	if err == nil {
		s.SelectMark(k)
	}
	return err
}

// RemoveMark takes the selected mark away.
func (s *Session) RemoveMark() error {
	k, ok := s.SelectedMark()
	if !ok {
		return ErrNoMark
	}
	err := s.reshaped(ActionRemoveMark, func(p *pattern.Piece) error { return p.RemoveMark(k) })
	if err == nil {
		s.nodes = nodePick{}
	}
	return err
}

// MarkAlong tells on which edge the selected mark lies and how far from its
// start, mm; false when none is selected.
func (s *Session) MarkAlong() (edgeID string, alongMM float64, ok bool) {
	p, piece := s.SelectedPiece()
	k, marked := s.SelectedMark()
	if !piece || !marked {
		return "", 0, false
	}
	at, err := p.MarkEdge(p.Marks[k])
	if err != nil || at.Edge < 0 {
		return "", 0, false
	}
	return p.Edges[at.Edge].ID, at.AlongMM, true
}
