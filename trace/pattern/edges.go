package pattern

import (
	"fmt"
	"math"

	"flatwright/trace/curve"
)

// cornerDeg is the change of direction from which a node is a corner. The
// fit makes nodes either smooth to rounding or at least 20° sharp.
const cornerDeg = 10

// EdgesFromCorners gives the piece one edge from corner to corner of its
// outline, named by the piece's ID and a number from 1, all cut straight.
// The first edge begins at the first corner. An outline without corners is
// one edge. It fails when the outline has no
// segments or is not closed.
func EdgesFromCorners(p *Piece) error {
	n := len(p.Outline.Segments)
	if n == 0 || !p.Outline.Closed {
		return fmt.Errorf("piece %s has no closed outline", p.ID)
	}
	var breaks []int
	for i := range n {
		if cornerAt(p.Outline, i) {
			breaks = append(breaks, i)
		}
	}
	if len(breaks) == 0 {
		breaks = []int{0}
	}
	p.Edges = nil
	for k, first := range breaks {
		next := breaks[(k+1)%len(breaks)]
		count := (next - first + n) % n
		if count == 0 {
			count = n
		}
		p.Edges = append(p.Edges, Edge{ID: edgeID(p.ID, k+1), First: first, Count: count, Cut: Cut{Kind: Straight}})
	}
	return nil
}

// cornerAt tells whether the outline changes direction where segment i
// begins.
func cornerAt(p curve.Path, i int) bool {
	n := len(p.Segments)
	a, b := p.Segments[(i+n-1)%n].Tangent(1), p.Segments[i].Tangent(0)
	turn := math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
	return math.Abs(turn) > cornerDeg*math.Pi/180
}

func edgeID(piece string, number int) string { return fmt.Sprintf("%s%d", piece, number) }

func (p *Piece) edgeIndex(id string) int {
	for i, e := range p.Edges {
		if e.ID == id {
			return i
		}
	}
	return -1
}

// freshEdgeID returns the lowest number that no edge of the piece has.
func (p *Piece) freshEdgeID() string {
	for k := 1; ; k++ {
		if id := edgeID(p.ID, k); p.edgeIndex(id) < 0 {
			return id
		}
	}
}

// EdgePath returns the edge's run of the outline as an open path.
func (p *Piece) EdgePath(edge int) curve.Path {
	e, n := p.Edges[edge], len(p.Outline.Segments)
	var out curve.Path
	for k := range e.Count {
		out.Segments = append(out.Segments, p.Outline.Segments[(e.First+k)%n])
	}
	return out
}

// EdgeOf returns the index of the edge that segment i of the outline belongs
// to, or −1.
func (p *Piece) EdgeOf(i int) int {
	n := len(p.Outline.Segments)
	for k, e := range p.Edges {
		if n > 0 && (i-e.First+n)%n < e.Count {
			return k
		}
	}
	return -1
}

// BreakAt divides an edge at a position on the outline and returns the new
// edge's ID. The part after the break gets the new ID; both keep the cut and
// the tape. In the middle of a segment a node is added. A break where one is already is
// refused, except on an outline of one edge, where it moves the break.
func (p *Piece) BreakAt(at curve.Position) (string, error) {
	n := len(p.Outline.Segments)
	if at.Segment < 0 || at.Segment >= n || !(at.T >= 0 && at.T <= 1) {
		return "", fmt.Errorf("piece %s: no segment %d at t=%g in an outline of %d segments", p.ID, at.Segment, at.T, n)
	}
	const near = 1e-6
	switch {
	case at.T < near:
		return p.breakBefore(at.Segment)
	case at.T > 1-near:
		return p.breakBefore((at.Segment + 1) % n)
	}
	outline, err := p.Outline.Insert(at)
	if err != nil {
		return "", fmt.Errorf("piece %s: %w", p.ID, err)
	}
	k := p.EdgeOf(at.Segment)
	if k < 0 {
		return "", fmt.Errorf("piece %s: segment %d belongs to no edge", p.ID, at.Segment)
	}
	p.Outline = outline
	for i := range p.Edges {
		if p.Edges[i].First > at.Segment {
			p.Edges[i].First++
		}
	}
	p.Edges[k].Count++
	return p.breakBefore(at.Segment + 1)
}

// breakBefore divides the edge at the start of segment i.
func (p *Piece) breakBefore(i int) (string, error) {
	n := len(p.Outline.Segments)
	k := p.EdgeOf(i)
	if k < 0 {
		return "", fmt.Errorf("piece %s: segment %d belongs to no edge", p.ID, i)
	}
	e := &p.Edges[k]
	done := (i - e.First + n) % n
	switch {
	case e.Count == n && len(p.Edges) == 1:
		e.First = i
		return e.ID, nil
	case done == 0:
		return "", fmt.Errorf("piece %s: edge %s already begins there", p.ID, e.ID)
	}
	fresh := *e
	fresh.ID, fresh.First, fresh.Count = p.freshEdgeID(), i, e.Count-done
	e.Cut, fresh.Cut = e.Cut.divided(p.shareBefore(k, done))
	e.Count = done
	p.Edges = append(p.Edges[:k+1], append([]Edge{fresh}, p.Edges[k+1:]...)...)
	return fresh.ID, nil
}

// shareBefore returns the part of an edge's length that its first segments
// have.
func (p *Piece) shareBefore(edge, segments int) float64 {
	path := p.EdgePath(edge)
	head := path
	head.Segments = head.Segments[:segments]
	return head.Length() / path.Length()
}

// divided returns the cuts of both parts of an edge that is broken at a share
// of its length: a cut that varies goes on varying as before.
func (c Cut) divided(share float64) (first, second Cut) {
	if !c.Varies {
		return c, c
	}
	mid := c.SignedDegAt(share)
	first, second = c, CutOf(mid)
	first.ToDeg = mid
	second.Varies, second.ToDeg = true, c.ToDeg
	return first, second
}

// JoinEdges makes one edge of two that follow each other, in either order.
// The result has the ID and the cut of the one named first. Nodes stay.
func (p *Piece) JoinEdges(keepID, otherID string) error {
	k, o := p.edgeIndex(keepID), p.edgeIndex(otherID)
	if k < 0 || o < 0 || k == o {
		return fmt.Errorf("piece %s: cannot join %q and %q: name two different edges of this piece", p.ID, keepID, otherID)
	}
	n := len(p.Outline.Segments)
	a, b := p.Edges[k], p.Edges[o]
	switch {
	case (a.First+a.Count)%n == b.First:
	case (b.First+b.Count)%n == a.First:
		a.First = b.First
	default:
		return fmt.Errorf("piece %s: edges %s and %s do not touch; join neighbours", p.ID, keepID, otherID)
	}
	a.Count += b.Count
	p.Edges[k] = a
	p.Edges = append(p.Edges[:o], p.Edges[o+1:]...)
	return nil
}
