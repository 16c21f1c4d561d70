package pattern

import "flatwright/rectify/mat"

// FacingMark is where a mark across a seam would meet a piece.
type FacingMark struct {
	// At lies on the piece's outline, mm.
	At mat.Point
	// Edge is the edge that the other mark is on.
	Edge string
}

// FacingMarks returns the places on a piece's outline that face the marks on the
// other sides of its seams, at the same share of either side as TransferMarks
// puts them. Seams that cannot be measured face nothing. Errors: there is no
// such piece.
func (p *Pattern) FacingMarks(pieceID string) ([]FacingMark, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return nil, err
	}
	var out []FacingMark
	for _, s := range p.Seams {
		onA, onB := s.A.touches(q), s.B.touches(q)
		if !onA && !onB {
			continue
		}
		m, err := p.MeasureSeam(s.ID)
		if err != nil {
			continue
		}
		if onA {
			out = append(out, p.facing(q, s, s.A, m.B, m.A.LengthMM)...)
		}
		if onB {
			out = append(out, p.facing(q, s, s.B, m.A, m.B.LengthMM)...)
		}
	}
	return out, nil
}

// facing takes the marks of one side over to the other, of a length in mm, where
// that is the piece's.
func (p *Pattern) facing(q *Piece, s Seam, to Run, from SideMeasure, lengthMM float64) []FacingMark {
	face, err := p.sharedFace(s)
	if err != nil || from.LengthMM <= 0 {
		return nil
	}
	var out []FacingMark
	for _, x := range from.Marks {
		id, m, err := p.markOnRun(to, x.AlongMM*lengthMM/from.LengthMM, face)
		if err != nil || id != q.ID {
			continue
		}
		out = append(out, FacingMark{At: m.At, Edge: p.edgeOfMark(x)})
	}
	return out
}

// edgeOfMark is the edge that a mark is on, empty for none.
func (p *Pattern) edgeOfMark(x SideMark) string {
	q, err := p.Piece(x.PieceID)
	if err != nil {
		return ""
	}
	at, err := q.MarkEdge(q.Marks[x.Index])
	if err != nil || at.Edge < 0 {
		return ""
	}
	return q.Edges[at.Edge].ID
}

// touches reports whether an edge of a piece is part of the run.
func (r Run) touches(q *Piece) bool {
	for _, x := range r {
		for _, e := range q.Edges {
			if e.ID == x.Edge {
				return true
			}
		}
	}
	return false
}
