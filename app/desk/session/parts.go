package session

import (
	"errors"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Errors of joining and mirroring, each with what to do.
var (
	ErrTwoEdges = errors.New("two pieces are joined along an edge of each: choose one edge, then the other with Shift")
	ErrOneEdge  = errors.New("the edge along the centre line is not chosen: click it, or draw the line across the piece")
)

// Split cuts the selected piece in two along a line, mm of the mat, and selects
// both parts. It returns the new one's ID.
func (s *Session) Split(a, b mat.Point) (string, error) {
	id := s.pieceID
	if id == "" {
		id = s.pieceUnder(a, b)
	}
	if s.doc.piece(id) == nil {
		return "", ErrNoPiece
	}
	trial := s.doc.clone()
	fresh, err := trial.Pattern.Split(id, a, b)
	if err == nil {
		s.edit(Edit{ActionSplit, id}, func(d *Document) {
			d.Pattern = trial.Pattern
			d.setOrigin(d.origin(id), fresh)
		})
		s.forgetMeasured(id)
		s.SelectPieces([]string{id, fresh}, false)
	}
	return fresh, err
}

// pieceUnder is the piece that the middle of a line lies in; empty for none.
func (s *Session) pieceUnder(a, b mat.Point) string {
	mid := mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
	for _, p := range s.doc.Pattern.Pieces {
		if p.Outline.Contains(mid, 0.1) {
			return p.ID
		}
	}
	return ""
}

// SplitAtNodes cuts the selected piece between its two selected nodes.
func (s *Session) SplitAtNodes() (string, error) {
	p, ok := s.SelectedPiece()
	loop, nodes := s.SelectedNodes()
	if !ok {
		return "", ErrNoPiece
	}
	if len(nodes) != 2 || loop != pattern.Outer {
		return "", ErrTwoNodes
	}
	a, b := p.Outline.Segments[nodes[0]].P0, p.Outline.Segments[nodes[1]].P0
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return "", ErrTwoNodes
	}
	// A hair longer, so that it goes across.
	const beyondMM = 0.01
	d := mat.Point{X: beyondMM * (b.X - a.X) / l, Y: beyondMM * (b.Y - a.Y) / l}
	return s.Split(mat.Point{X: a.X - d.X, Y: a.Y - d.Y}, mat.Point{X: b.X + d.X, Y: b.Y + d.Y})
}

// ForgetMeasured drops what was measured of a piece, so that it is measured
// anew: its outline follows another edge now.
func (s *Session) ForgetMeasured(id string) { s.forgetMeasured(id) }

// forgetMeasured drops what was measured of a piece whose outline is another
// one now.
func (s *Session) forgetMeasured(id string) {
	if _, ok := s.doc.Measured[id]; ok {
		s.doc.Measured = withMeasured(s.doc.Measured, id, Measured{})
	}
}

// TwoEdges returns the two selected edges, of two pieces, in the order of
// choosing. Of two whole pieces it is the edges that lie on each other, as after
// a split.
func (s *Session) TwoEdges() (first, second string, err error) {
	all := s.Picks()
	if len(all) != 2 || all[0].Piece == all[1].Piece {
		return "", "", ErrTwoEdges
	}
	if all[0].Edge == "" && all[1].Edge == "" {
		if a, b, ok := s.doc.Pattern.SharedEdge(all[0].Piece, all[1].Piece); ok {
			return a, b, nil
		}
	}
	if all[0].Edge == "" || all[1].Edge == "" {
		return "", "", ErrTwoEdges
	}
	return all[0].Edge, all[1].Edge, nil
}

// reworked makes an edit of one piece that may reach over others then: it is
// laid beside them in that case, and no longer where the photograph shows it.
func (s *Session) reworked(e Edit, id string, change func(*pattern.Pattern) error) error {
	trial := s.doc.clone()
	if err := change(&trial.Pattern); err != nil {
		return err
	}
	moved, err := trial.Pattern.LayApart(id)
	if err != nil {
		return err
	}
	s.edit(e, func(d *Document) {
		d.Pattern = trial.Pattern
		if moved {
			o := d.origin(id)
			o.Elsewhere = true
			d.setOrigin(o, id)
		}
	})
	s.forgetMeasured(id)
	s.SelectPiece(id)
	return nil
}

// Unite makes one piece of two along the selected edges.
func (s *Session) Unite() (pattern.United, error) {
	a, b, err := s.TwoEdges()
	if err != nil {
		return pattern.United{}, err
	}
	all := s.Picks()
	var u pattern.United
	err = s.reworked(Edit{ActionUnite, all[0].Piece + ", " + all[1].Piece}, all[0].Piece, func(p *pattern.Pattern) (err error) {
		u, err = p.Unite(a, b)
		return err
	})
	return u, err
}

// UniteAt makes one piece of two by two points of each, mm of the mat.
func (s *Session) UniteAt(pieceID string, a [2]mat.Point, otherID string, b [2]mat.Point) (pattern.United, error) {
	var u pattern.United
	err := s.reworked(Edit{ActionUnite, pieceID + ", " + otherID}, pieceID, func(p *pattern.Pattern) (err error) {
		u, err = p.UniteAt(pieceID, a, otherID, b)
		return err
	})
	return u, err
}

// MirrorCopy adds a mirrored copy of the selected piece, selects it and returns
// its ID.
func (s *Session) MirrorCopy() (string, error) {
	id := s.pieceID
	if s.doc.piece(id) == nil {
		return "", ErrNoPiece
	}
	trial := s.doc.clone()
	fresh, err := trial.Pattern.MirrorCopy(id)
	if err == nil {
		s.edit(Edit{ActionMirrorCopy, id}, func(d *Document) {
			d.Pattern = trial.Pattern
			o := d.origin(id)
			o.Elsewhere = true
			d.setOrigin(o, fresh)
		})
		s.SelectPiece(fresh)
	}
	return fresh, err
}

// Complete makes a whole piece of a half about the selected edge.
func (s *Session) Complete() (pattern.Completed, error) {
	id, edge := s.pieceID, s.edgeID
	if _, e := s.doc.edge(edge); e == nil {
		return pattern.Completed{}, ErrOneEdge
	}
	var c pattern.Completed
	err := s.reworked(Edit{ActionComplete, id}, id, func(p *pattern.Pattern) (err error) {
		c, err = p.Complete(edge)
		return err
	})
	return c, err
}

// CompleteAbout makes a whole piece of a half about a line across it.
func (s *Session) CompleteAbout(a, b mat.Point) (pattern.Completed, error) {
	id := s.pieceID
	if id == "" {
		id = s.pieceUnder(a, b)
	}
	if s.doc.piece(id) == nil {
		return pattern.Completed{}, ErrNoPiece
	}
	var c pattern.Completed
	err := s.reworked(Edit{ActionComplete, id}, id, func(p *pattern.Pattern) (err error) {
		c, err = p.CompleteAbout(id, a, b)
		return err
	})
	return c, err
}

// NodeOffMM is how far the last selected node lies from the measured outline;
// false before that was measured.
func (s *Session) NodeOffMM() (float64, bool) {
	loop, nodes := s.SelectedNodes()
	if len(nodes) == 0 {
		return 0, false
	}
	return s.OffMM(loop, nodes[len(nodes)-1])
}

// OffMM is how far a node of the selected piece lies from the measured outline;
// false before that was measured, and of openings.
func (s *Session) OffMM(loop, node int) (float64, bool) {
	p, ok := s.SelectedPiece()
	m := s.doc.Measured[p.ID]
	if !ok || loop != pattern.Outer || node < 0 || node >= len(p.Outline.Segments) || len(m.Samples) == 0 {
		return 0, false
	}
	at := p.Outline.Segments[node].P0
	best := math.Inf(1)
	for i, q := range m.Samples {
		best = math.Min(best, offChord(at, q.At, m.Samples[(i+1)%len(m.Samples)].At))
	}
	return best, true
}

// offChord is the distance of a point from the straight line between two.
func offChord(q, a, b mat.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Max(0, math.Min(1, ((q.X-a.X)*dx+(q.Y-a.Y)*dy)/l))
	}
	return math.Hypot(q.X-a.X-t*dx, q.Y-a.Y-t*dy)
}
