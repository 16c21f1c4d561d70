package session

import (
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Stretch is a part of a loop from one node forward to another.
type Stretch struct {
	Piece          string
	Loop, From, To int
}

// SelectedStretch returns what lies between the two selected nodes, the shorter
// way round, or else the selected edge.
func (s *Session) SelectedStretch() (Stretch, error) {
	p, ok := s.SelectedPiece()
	if !ok {
		return Stretch{}, ErrNoPiece
	}
	loop, nodes := s.SelectedNodes()
	if e, ok := s.SelectedEdge(); ok && len(nodes) == 0 {
		n := len(p.Outline.Segments)
		return Stretch{p.ID, pattern.Outer, e.First, (e.First + e.Count) % n}, nil
	}
	if len(nodes) != 2 {
		return Stretch{}, ErrTwoNodes
	}
	path, err := p.Loop(loop)
	if err != nil {
		return Stretch{}, err
	}
	x := Stretch{p.ID, loop, nodes[0], nodes[1]}
	if 2*lengthFrom(path, x.From, x.To) > path.Length() {
		x.From, x.To = x.To, x.From
	}
	return x, nil
}

// lengthFrom is the length of a loop from a node forward to another.
func lengthFrom(p curve.Path, from, to int) float64 {
	sum, n := 0.0, len(p.Segments)
	for i := from; i != to; i = (i + 1) % n {
		sum += p.Segments[i].Length(1e-3)
	}
	return sum
}

// Straighten makes a stretch straight.
func (s *Session) Straighten(x Stretch) error {
	return s.onPiece(ActionStraighten, x.Piece, func(p *pattern.Piece) error { return p.Straighten(x.Loop, x.From, x.To) })
}

// Redraw puts a traced course in the place of a stretch.
func (s *Session) Redraw(x Stretch, course curve.Path) error {
	return s.onPiece(ActionRetrace, x.Piece, func(p *pattern.Piece) error { return p.Redraw(x.Loop, x.From, x.To, course) })
}

// onPiece makes an edit of one piece.
func (s *Session) onPiece(a Action, id string, change func(p *pattern.Piece) error) error {
	return s.onPattern(Edit{a, id}, func(t *pattern.Pattern) error {
		p, err := t.Piece(id)
		if err != nil {
			return err
		}
		return change(p)
	})
}
