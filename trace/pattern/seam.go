package pattern

import (
	"fmt"
	"slices"

	"flatwright/trace/curve"
)

// EdgeRef names an edge of a pattern and the direction it is joined in.
type EdgeRef struct {
	Edge string
	// Reversed runs against the outline's direction.
	Reversed bool
}

// Run is one side of a seam: edges that follow each other as the seam is
// closed. They may belong to several pieces.
type Run []EdgeRef

// Seam joins two runs of edges: their beginnings meet, and their ends. Both
// may belong to one piece (a dart).
type Seam struct {
	ID   string
	A, B Run
	// WantDeg is the interior angle between the faces that the maker wants, 0
	// for whatever the bevels give.
	WantDeg float64
}

// has tells whether an edge is part of the seam.
func (s Seam) has(edgeID string) bool {
	is := func(r EdgeRef) bool { return r.Edge == edgeID }
	return slices.ContainsFunc(s.A, is) || slices.ContainsFunc(s.B, is)
}

// SeamOf returns the seam that an edge is part of.
func (p *Pattern) SeamOf(edgeID string) (*Seam, bool) {
	for i := range p.Seams {
		if p.Seams[i].has(edgeID) {
			return &p.Seams[i], true
		}
	}
	return nil, false
}

// Pair joins two runs of edges in a new seam and returns its ID. It refuses
// edges that are not there, that are named twice, or that another seam has.
func (p *Pattern) Pair(a, b Run) (string, error) {
	if len(a) == 0 || len(b) == 0 {
		return "", fmt.Errorf("a seam needs an edge on either side")
	}
	used := map[string]bool{}
	for _, r := range append(slices.Clone(a), b...) {
		if _, _, err := p.FindEdge(r.Edge); err != nil {
			return "", fmt.Errorf("%s cannot be joined to %s: %w", a.Words(), b.Words(), err)
		}
		if used[r.Edge] {
			return "", fmt.Errorf("%s cannot be joined to %s: edge %s would meet itself", a.Words(), b.Words(), r.Edge)
		}
		used[r.Edge] = true
		if s, taken := p.SeamOf(r.Edge); taken {
			return "", fmt.Errorf("%s cannot be joined to %s: edge %s is part of seam %s already; take that seam apart first", a.Words(), b.Words(), r.Edge, s.ID)
		}
	}
	for id := range used {
		if q, k, err := p.FindEdge(id); err == nil {
			q.Edges[k].Rim = false
		}
	}
	s := Seam{ID: p.freshSeamID(), A: slices.Clone(a), B: slices.Clone(b)}
	p.Seams = append(slices.Clip(p.Seams), s)
	return s.ID, nil
}

// Unpair takes a seam away. Edges and marks stay.
func (p *Pattern) Unpair(seamID string) error {
	for i := range p.Seams {
		if p.Seams[i].ID == seamID {
			p.Seams = slices.Delete(slices.Clone(p.Seams), i, i+1)
			return nil
		}
	}
	return fmt.Errorf("there is no seam %q", seamID)
}

// freshSeamID returns the lowest of s1, s2 … that no seam has.
func (p *Pattern) freshSeamID() string {
	used := map[string]bool{}
	for _, s := range p.Seams {
		used[s.ID] = true
	}
	for k := 1; ; k++ {
		if id := fmt.Sprintf("s%d", k); !used[id] {
			return id
		}
	}
}

// Facing is the run that goes along an edge as a mate of another edge does:
// two pieces that lie side by side, both outlined clockwise, meet along edges
// that run against each other, so the mate is taken reversed.
func Facing(edgeID, mateID string) (a, b Run) {
	return Run{{Edge: edgeID}}, Run{{Edge: mateID, Reversed: true}}
}

// EdgeRun returns the open path of one edge in the direction it is joined in.
func (p *Pattern) EdgeRun(r EdgeRef) (curve.Path, error) {
	q, k, err := p.FindEdge(r.Edge)
	if err != nil {
		return curve.Path{}, err
	}
	path := q.EdgePath(k)
	if r.Reversed {
		path = path.Reverse()
	}
	return path, nil
}

// BreakAt divides an edge of a piece at a position on its outline, as
// Piece.BreakAt, and keeps the seam that the edge is part of whole.
func (p *Pattern) BreakAt(pieceID string, at curve.Position) (string, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return "", err
	}
	before := edgeIDs(q)
	fresh, err := q.BreakAt(at)
	if err != nil || slices.Contains(before, fresh) {
		return fresh, err
	}
	old := q.Edges[q.edgeIndex(fresh)-1].ID
	p.eachRun(func(r Run) Run {
		for i, e := range r {
			if e.Edge != old {
				continue
			}
			add := EdgeRef{Edge: fresh, Reversed: e.Reversed}
			if e.Reversed {
				return slices.Insert(slices.Clone(r), i, add)
			}
			return slices.Insert(slices.Clone(r), i+1, add)
		}
		return r
	})
	return fresh, nil
}

// JoinEdges makes one edge of two neighbours, as Piece.JoinEdges. Edges of
// different seams, or one in a seam and one not, stay apart.
func (p *Pattern) JoinEdges(keepID, otherID string) error {
	q, _, err := p.FindEdge(keepID)
	if err != nil {
		return err
	}
	a, inA := p.SeamOf(keepID)
	b, inB := p.SeamOf(otherID)
	if inA != inB || inA && (a.ID != b.ID || !p.followEachOther(keepID, otherID)) {
		return fmt.Errorf("edges %s and %s do not run side by side in one seam: undo the seam first", keepID, otherID)
	}
	if err := q.JoinEdges(keepID, otherID); err != nil {
		return err
	}
	p.eachRun(func(r Run) Run {
		return slices.DeleteFunc(slices.Clone(r), func(e EdgeRef) bool { return e.Edge == otherID })
	})
	return nil
}

// followEachOther tells whether two edges are neighbours in a run.
func (p *Pattern) followEachOther(a, b string) bool {
	for _, s := range p.Seams {
		for _, r := range []Run{s.A, s.B} {
			for i := 1; i < len(r); i++ {
				x, y := r[i-1].Edge, r[i].Edge
				if r[i-1].Reversed == r[i].Reversed && (x == a && y == b || x == b && y == a) {
					return true
				}
			}
		}
	}
	return false
}

// eachRun replaces every side of every seam. The seams are copied first, so
// that older states keep theirs.
func (p *Pattern) eachRun(change func(Run) Run) {
	p.Seams = slices.Clone(p.Seams)
	for i := range p.Seams {
		p.Seams[i].A, p.Seams[i].B = change(p.Seams[i].A), change(p.Seams[i].B)
	}
}

func edgeIDs(q *Piece) []string {
	ids := make([]string, len(q.Edges))
	for i, e := range q.Edges {
		ids[i] = e.ID
	}
	return ids
}
