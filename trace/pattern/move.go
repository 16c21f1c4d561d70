package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Moved returns the piece moved by a transform; nothing of the old one is
// shared. A reflection turns the outline's direction and with it the order of
// the edges, whose IDs stay, and the ends of cuts that vary.
func (p Piece) Moved(m curve.Transform) Piece {
	turned := m.A*m.E-m.B*m.D < 0
	way := func(q curve.Path) curve.Path {
		if q = q.Transform(m); turned {
			q = q.Reverse()
		}
		return q
	}
	out := p.Translate(mat.Point{})
	out.Outline = way(p.Outline)
	for i := range out.Openings {
		out.Openings[i] = way(p.Openings[i])
	}
	for i := range out.Lines {
		out.Lines[i].Path = p.Lines[i].Path.Transform(m)
	}
	for i, k := range p.Marks {
		out.Marks[i].At, out.Marks[i].In = m.Apply(k.At), m.Apply(k.In)
	}
	if turned {
		n := len(p.Outline.Segments)
		for i := range out.Edges {
			e := &out.Edges[i]
			e.First = ((n-e.First-e.Count)%n + n) % n
			e.Cut = e.Cut.turnedRound()
		}
		slices.Reverse(out.Edges)
	}
	return out
}

// turnedRound is the cut of an edge that is run along the other way.
func (c Cut) turnedRound() Cut {
	if !c.Varies {
		return c
	}
	out := CutOf(c.ToDeg)
	out.Varies, out.ToDeg = true, c.SignedDeg()
	return out
}

// lineCrossings returns the places where a path crosses the line through a and
// b, by their share of the way from a to b. A touch without crossing is none.
func lineCrossings(p curve.Path, a, b mat.Point) []crossing {
	d := mat.Point{X: b.X - a.X, Y: b.Y - a.Y}
	long := d.X*d.X + d.Y*d.Y
	if long == 0 {
		return nil
	}
	side := func(q mat.Point) float64 { return (q.X-a.X)*d.Y - (q.Y-a.Y)*d.X }
	var out []crossing
	for i, s := range p.Segments {
		steps := 48
		if s.Line {
			steps = 1
		}
		for k := range steps {
			lo, hi := float64(k)/float64(steps), float64(k+1)/float64(steps)
			if (side(s.Eval(lo)) >= 0) == (side(s.Eval(hi)) >= 0) {
				continue
			}
			up := side(s.Eval(hi)) >= 0
			for range 60 {
				if mid := (lo + hi) / 2; (side(s.Eval(mid)) >= 0) == up {
					hi = mid
				} else {
					lo = mid
				}
			}
			q := s.Eval(hi)
			out = append(out, crossing{curve.Position{Segment: i, T: hi}, ((q.X-a.X)*d.X + (q.Y-a.Y)*d.Y) / long})
		}
	}
	slices.SortFunc(out, func(x, y crossing) int {
		switch {
		case x.share < y.share:
			return -1
		case x.share > y.share:
			return 1
		}
		return 0
	})
	return out
}

type crossing struct {
	at    curve.Position
	share float64
}

// across returns where a line from a to b goes into the piece and out again:
// the passage that the line was drawn over.
func (p *Piece) across(a, b mat.Point) (in, out curve.Position, err error) {
	all := lineCrossings(p.Outline, a, b)
	var best []crossing
	drawn := 0
	for i := 0; i+1 < len(all); i += 2 {
		from, to := all[i].share, all[i+1].share
		if over := min(to, 1) - max(from, 0); over > 0.5*(to-from) {
			best, drawn = all[i:i+2], drawn+1
		}
	}
	switch {
	case drawn == 0:
		return in, out, fmt.Errorf("the line does not go across piece %s: draw it from outside of it to outside of it", p.ID)
	case drawn > 1:
		return in, out, fmt.Errorf("the line goes across piece %s %d times: draw it across one part only", p.ID, drawn)
	}
	return best[0].at, best[1].at, nil
}

// nodeAtPoint divides the edge at a position and returns where the node lies at
// which two edges meet then: its number changes with the next node. Where edges
// meet closer than leastPartMM, that node serves: no edge so short can be
// cut.
func (p *Pattern) nodeAtPoint(pieceID string, at mat.Point) (mat.Point, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return at, err
	}
	place, err := q.Outline.Nearest(at)
	if err != nil {
		return at, err
	}
	node, near := -1, leastPartMM
	for i, s := range q.Outline.Segments {
		if d := gap(s.P0, place.At); d < near && (d < sameNodeMM || q.beginsEdge(i)) {
			node, near = i, d
		}
	}
	if node < 0 {
		if node, err = q.AddNode(Outer, place.Position); err != nil {
			return at, err
		}
	}
	at = q.Outline.Segments[node].P0
	if q.beginsEdge(node) {
		return at, nil
	}
	if len(q.Edges) == 1 {
		// A break of an outline of one edge only moves: divide it where it began.
		q.divideAt(node)
		return at, nil
	}
	_, err = p.BreakAt(pieceID, curve.Position{Segment: node})
	return at, err
}

// beginsEdge reports whether an edge begins at a node.
func (p *Piece) beginsEdge(node int) bool {
	return slices.ContainsFunc(p.Edges, func(e Edge) bool { return e.First == node })
}

// divideAt makes two edges of an only one.
func (p *Piece) divideAt(node int) {
	e, n := &p.Edges[0], len(p.Outline.Segments)
	done := (node - e.First + n) % n
	fresh := *e
	fresh.ID, fresh.First, fresh.Count = p.freshEdgeID(), node, e.Count-done
	e.Cut, fresh.Cut = e.Cut.divided(p.shareBefore(0, done))
	e.Count = done
	p.Edges = append(p.Edges, fresh)
}

// leastPartMM is the shortest part of an edge that a division may leave,
// sameNodeMM how close to a node another is not added.
const leastPartMM, sameNodeMM = 0.5, 1e-4

// stretchOf is the edges of a piece from one node forward to another, and the
// segments under them, counted from the first node.
func (p *Piece) stretchOf(from, to int) ([]Edge, curve.Path) {
	n := len(p.Outline.Segments)
	run := (to - from + n) % n
	var path curve.Path
	for k := range run {
		path.Segments = append(path.Segments, p.Outline.Segments[(from+k)%n])
	}
	var edges []Edge
	for _, e := range p.Edges {
		if off := (e.First - from + n) % n; off < run {
			e.First = off
			edges = append(edges, e)
		}
	}
	slices.SortFunc(edges, func(a, b Edge) int { return a.First - b.First })
	return edges, path
}

// rename gives edges other names in every seam.
func (p *Pattern) rename(to map[string]string) {
	p.eachRun(func(r Run) Run {
		out := slices.Clone(r)
		for i := range out {
			if id, ok := to[out[i].Edge]; ok {
				out[i].Edge = id
			}
		}
		return out
	})
}

// freeToTheRight is the shift that takes a box beside all pieces, a little
// apart from them.
func (p *Pattern) freeToTheRight(b curve.Box) mat.Point {
	const apartMM = 15
	right := math.Inf(-1)
	for _, q := range p.Pieces {
		right = max(right, q.Outline.Bounds().Max.X)
	}
	if math.IsInf(right, -1) {
		return mat.Point{}
	}
	return mat.Point{X: right + apartMM - b.Min.X}
}

// LayApart moves a piece beside all others when it lies on one of them, so that
// both can be printed as they lie; it reports whether it did.
func (p *Pattern) LayApart(pieceID string) (bool, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return false, err
	}
	if !slices.ContainsFunc(p.Pieces, func(r Piece) bool { return r.ID != q.ID && q.liesOn(r) }) {
		return false, nil
	}
	others := *p
	others.Pieces = slices.DeleteFunc(slices.Clone(p.Pieces), func(r Piece) bool { return r.ID == q.ID })
	*q = q.Moved(curve.Translation(others.freeToTheRight(q.Outline.Bounds())))
	return true, nil
}

// liesOn reports whether two pieces share ground.
func (p *Piece) liesOn(q Piece) bool {
	a, b := p.Outline.Bounds(), q.Outline.Bounds()
	if a.Min.X >= b.Max.X || b.Min.X >= a.Max.X || a.Min.Y >= b.Max.Y || b.Min.Y >= a.Max.Y {
		return false
	}
	if _, meet := p.Outline.Meets(q.Outline, otherFaceToleranceMM); meet {
		return true
	}
	return p.Outline.Contains(q.Outline.Segments[0].P0, otherFaceToleranceMM) ||
		q.Outline.Contains(p.Outline.Segments[0].P0, otherFaceToleranceMM)
}
