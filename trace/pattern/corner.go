package pattern

// edgeEnd is one end of an edge: a corner of its piece.
type edgeEnd struct {
	edge string
	// start tells the end at which the outline comes into the edge.
	start bool
}

// firstEnd and lastEnd are the ends of an edge as a side runs along it.
func (r EdgeRef) firstEnd() edgeEnd { return edgeEnd{r.Edge, !r.Reversed} }

func (r EdgeRef) lastEnd() edgeEnd { return edgeEnd{r.Edge, r.Reversed} }

// away is the edge of an end as a side that begins there runs along it.
func (e edgeEnd) away() EdgeRef { return EdgeRef{Edge: e.edge, Reversed: !e.start} }

// towards is the same for a side that ends there.
func (e edgeEnd) towards() EdgeRef { return EdgeRef{Edge: e.edge, Reversed: e.start} }

// acrossCorner returns the end of the neighbouring edge at the same corner of
// the piece; false for an outline of one edge.
func (p *Pattern) acrossCorner(e edgeEnd) (edgeEnd, bool) {
	q, k, err := p.FindEdge(e.edge)
	if err != nil || len(q.Edges) < 2 {
		return edgeEnd{}, false
	}
	n := len(q.Edges)
	if e.start {
		return edgeEnd{q.Edges[(k+n-1)%n].ID, false}, true
	}
	return edgeEnd{q.Edges[(k+1)%n].ID, true}, true
}

// acrossSeam returns the end that a seam brings an edge's end to lie on; false
// when the edge is in no seam, or the end is not one of its seam's. A dart's
// two sides that spring from one corner meet themselves there.
func (p *Pattern) acrossSeam(e edgeEnd) (seam *Seam, mate edgeEnd, ok bool) {
	s, found := p.SeamOf(e.edge)
	if !found || len(s.A) == 0 || len(s.B) == 0 {
		return nil, edgeEnd{}, false
	}
	firstA, firstB := s.A[0].firstEnd(), s.B[0].firstEnd()
	lastA, lastB := s.A[len(s.A)-1].lastEnd(), s.B[len(s.B)-1].lastEnd()
	switch e {
	case firstA:
		return s, firstB, true
	case firstB:
		return s, firstA, true
	case lastA:
		return s, lastB, true
	case lastB:
		return s, lastA, true
	}
	return nil, edgeEnd{}, false
}

// mostAround bounds how many pieces are gone round at one point.
const mostAround = 12

// openAfter returns the end of the free edge at which a side goes on beyond an
// end of an edge: the neighbour, or the one that lies there once the seams
// between are closed.
func (p *Pattern) openAfter(e edgeEnd) (edgeEnd, bool) {
	for range mostAround {
		next, ok := p.acrossCorner(e)
		if !ok {
			return edgeEnd{}, false
		}
		if _, taken := p.SeamOf(next.edge); !taken {
			return next, true
		}
		if _, e, ok = p.acrossSeam(next); !ok {
			return edgeEnd{}, false
		}
	}
	return edgeEnd{}, false
}
