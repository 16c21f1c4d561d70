package pattern

import "fmt"

// Letters returns the ID of piece number i, counted from 0: A … Z, AA, AB …
// Negative numbers give the empty string.
func Letters(i int) string {
	if i < 0 {
		return ""
	}
	var b []byte
	for n := i + 1; n > 0; n = (n - 1) / 26 {
		b = append([]byte{byte('A' + (n-1)%26)}, b...)
	}
	return string(b)
}

// New returns a pattern of the pieces given. Pieces without an ID get the
// next free letters, pieces without edges get them from their corners,
// pieces without a quantity are wanted once. It fails when a piece has no
// outline.
func New(name string, pieces ...Piece) (Pattern, error) {
	p := Pattern{Name: name}
	used := map[string]bool{}
	for _, q := range pieces {
		used[q.ID] = true
	}
	next := 0
	for _, q := range pieces {
		for q.ID == "" {
			if id := Letters(next); !used[id] {
				q.ID, used[id] = id, true
			}
			next++
		}
		q.Quantity = max(1, q.Quantity)
		if q.Face == "" {
			q.Face = Front
		}
		if len(q.Edges) == 0 {
			if err := EdgesFromCorners(&q); err != nil {
				return Pattern{}, fmt.Errorf("new pattern %q: %w", name, err)
			}
		}
		p.Pieces = append(p.Pieces, q)
	}
	return p, nil
}

// Piece returns the piece with the ID given.
func (p *Pattern) Piece(id string) (*Piece, error) {
	for i := range p.Pieces {
		if p.Pieces[i].ID == id {
			return &p.Pieces[i], nil
		}
	}
	return nil, fmt.Errorf("there is no piece %q", id)
}

// FindEdge returns the piece that has the edge and the edge's index there.
func (p *Pattern) FindEdge(edgeID string) (*Piece, int, error) {
	for i := range p.Pieces {
		if k := p.Pieces[i].edgeIndex(edgeID); k >= 0 {
			return &p.Pieces[i], k, nil
		}
	}
	return nil, 0, fmt.Errorf("there is no edge %q", edgeID)
}

// SetCut gives an edge its cut. It refuses angles outside Cut.Validate's
// bounds and leaves the edge as it was.
func (p *Pattern) SetCut(edgeID string, c Cut) error {
	if err := c.Validate(); err != nil {
		return fmt.Errorf("edge %s: %w", edgeID, err)
	}
	q, k, err := p.FindEdge(edgeID)
	if err != nil {
		return fmt.Errorf("set a cut: %w", err)
	}
	q.Edges[k].Cut = c
	return nil
}
