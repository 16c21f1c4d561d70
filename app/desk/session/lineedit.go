package session

import (
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// SelectLineNode selects a node of a line inside the selected piece, and the
// line.
func (s *Session) SelectLineNode(line, node int) {
	p, ok := s.SelectedPiece()
	if !ok || line < 0 || line >= len(p.Lines) || node < 0 || node >= len(p.Lines[line].Nodes()) {
		s.ClearNodes()
		return
	}
	s.edgeID, s.line = "", line+1
	s.chooseNodes(p, nodePick{piece: p.ID, loop: pattern.Outer, line: line + 1, end: node})
}

// SelectedLineNode returns the selected node of a line inside the piece; false
// when there is none.
func (s *Session) SelectedLineNode() (line, node int, ok bool) {
	p, piece := s.SelectedPiece()
	line, node = s.nodes.line-1, s.nodes.end
	if !piece || s.nodes.piece != p.ID || line < 0 || line >= len(p.Lines) || node >= len(p.Lines[line].Nodes()) {
		return 0, 0, false
	}
	return line, node, true
}

// DragLineNode moves a node of a line inside the piece to a place, as part of a
// drag that EndGesture ends. Within reach it goes where SnapLine says, and tells
// where. Where it cannot be it stays at the last place where it could.
func (s *Session) DragLineNode(base pattern.Piece, line, node int, to mat.Point, reachMM float64) (Snapped, error) {
	at := Snapped{At: to}
	if line < 0 || line >= len(base.Lines) || node < 0 || node >= len(base.Lines[line].Nodes()) {
		return at, ErrNoLine
	}
	nodes := base.Lines[line].Nodes()
	if reachMM > 0 {
		var others []mat.Point
		for k, q := range nodes {
			if k != node {
				others = append(others, q)
			}
		}
		at = snapLine(base, to, others, reachMM)
	}
	d := mat.Point{X: at.At.X - nodes[node].X, Y: at.At.Y - nodes[node].Y}
	if err := s.drag(ActionMoveLine, base, func(p *pattern.Piece) error { return p.MoveLineNode(line, node, d) }); err != nil {
		return Snapped{At: to}, err
	}
	return at, nil
}

// SnapLine returns the place next to a point that an end of a line inside the
// selected piece goes to, at most reachMM off: a node or mark of the piece, then
// its outline, then where it is level or plumb with the others. It stays where it
// is in a space that does not show the piece.
func (s *Session) SnapLine(in Space, at mat.Point, others []mat.Point, reachMM float64) Snapped {
	p, ok := s.SelectedPiece()
	if !ok || !s.seesPiece(in, p.ID) {
		return Snapped{At: at}
	}
	return snapLine(p, at, others, reachMM)
}

func snapLine(p pattern.Piece, at mat.Point, others []mat.Point, reachMM float64) Snapped {
	best, near := Snapped{At: at}, reachMM
	try := func(q mat.Point, k SnapKind) {
		if d := distanceMM(q, at); d <= near {
			best, near = Snapped{At: q, Kind: k}, d
		}
	}
	for _, path := range loops(p) {
		for _, g := range path.Segments {
			try(g.P0, SnapNode)
		}
	}
	for _, m := range p.Marks {
		try(m.At, SnapMark)
	}
	if best.Kind != SnapNone {
		return best
	}
	for _, path := range loops(p) {
		if q, err := path.Nearest(at); err == nil {
			try(q.At, SnapEdge)
		}
	}
	if best.Kind != SnapNone {
		return best
	}
	return levelWith(at, others, reachMM)
}

// NudgeLineNode moves the selected node of a line by d mm; a run of nudges is
// one step.
func (s *Session) NudgeLineNode(d mat.Point) error {
	p, ok := s.SelectedPiece()
	line, node, chosen := s.SelectedLineNode()
	if !ok || !chosen {
		return ErrNoLine
	}
	at := p.Lines[line].Nodes()[node]
	_, err := s.DragLineNode(p, line, node, mat.Point{X: at.X + d.X, Y: at.Y + d.Y}, 0)
	return err
}

// AddLine adds a straight line inside the selected piece and selects it.
func (s *Session) AddLine(from, to mat.Point) error {
	line := 0
	err := s.reshaped(ActionAddLine, func(p *pattern.Piece) (err error) {
		line, err = p.AddInsideLine(from, to)
		return err
	})
	if err == nil {
		s.SelectLine(s.pieceID, line)
	}
	return err
}

// RemoveLine takes the selected line inside a piece away.
func (s *Session) RemoveLine() error {
	if _, _, ok := s.SelectedLine(); !ok {
		return ErrNoLine
	}
	line := s.line - 1
	err := s.reshaped(ActionRemoveLine, func(p *pattern.Piece) error { return p.RemoveInsideLine(line) })
	if err == nil {
		s.line, s.nodes = 0, nodePick{}
	}
	return err
}

// addLineNode adds a node to a line where it is nearest to a point, and selects
// it.
func (s *Session) addLineNode(line int, near mat.Point) error {
	node := 0
	err := s.reshaped(ActionAddNode, func(p *pattern.Piece) (err error) {
		node, err = p.AddLineNode(line, near)
		return err
	})
	if err == nil {
		s.SelectLineNode(line, node)
	}
	return err
}

// PathOffMM returns how far off the nearest of the selected piece's outline, its
// openings and the lines inside a point lies; false without a piece.
func (s *Session) PathOffMM(near mat.Point) (float64, bool) {
	p, ok := s.SelectedPiece()
	if !ok {
		return 0, false
	}
	_, at, err := nearestLoop(p, near)
	if line, offMM := nearestLine(p, near); line >= 0 && (err != nil || offMM < at.DistanceMM) {
		return offMM, true
	}
	return at.DistanceMM, err == nil
}

// nearestLine returns the line inside a piece that is nearest to a point, and
// how far off it is, mm; -1 for a piece without lines.
func nearestLine(p pattern.Piece, near mat.Point) (line int, offMM float64) {
	line = -1
	for k, l := range p.Lines {
		if at, err := l.Path.Nearest(near); err == nil && (line < 0 || at.DistanceMM < offMM) {
			line, offMM = k, at.DistanceMM
		}
	}
	return line, offMM
}

// lineCount is how many lines are inside a piece.
func (d Document) lineCount(pieceID string) int {
	if p := d.piece(pieceID); p != nil {
		return len(p.Lines)
	}
	return 0
}
