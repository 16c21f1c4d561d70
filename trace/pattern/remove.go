package pattern

import (
	"fmt"
	"slices"
	"strings"
)

// Remove takes pieces away, and their edges out of their seams; a seam that
// has an empty side then goes. It fails, changing nothing, when one is not
// there.
func (p *Pattern) Remove(pieceIDs ...string) error {
	for _, id := range pieceIDs {
		if _, err := p.Piece(id); err != nil {
			return err
		}
	}
	next := p.clone()
	for _, id := range pieceIDs {
		next.leaveOut(id)
	}
	*p = next
	return nil
}

// Add takes a piece in and returns its ID: its own where no other piece has it,
// else the next free letter. Its edges are numbered by that.
func (p *Pattern) Add(q Piece) (string, error) {
	id := q.ID
	if _, err := p.Piece(id); err == nil || id == "" {
		id = p.freshPieceID()
	}
	q.Edges = slices.Clone(q.Edges)
	for k := range q.Edges {
		q.Edges[k].ID = edgeID(id, k+1)
	}
	q.ID, q.Quantity = id, max(1, q.Quantity)
	if q.Face == "" {
		q.Face = Front
	}
	if len(q.Edges) == 0 {
		if err := EdgesFromCorners(&q); err != nil {
			return "", fmt.Errorf("add a piece: %w", err)
		}
	}
	p.Pieces = append(slices.Clip(p.Pieces), q)
	return id, nil
}

// freshPieceID returns the first letter that no piece has.
func (p *Pattern) freshPieceID() string {
	for k := 0; ; k++ {
		if id := Letters(k); !slices.ContainsFunc(p.Pieces, func(q Piece) bool { return strings.EqualFold(q.ID, id) }) {
			return id
		}
	}
}
