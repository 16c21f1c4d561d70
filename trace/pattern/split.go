package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Split cuts a piece in two along the line from a to b, mm on the mat, and
// returns the ID of the part on its left as one looks from a to b; the other
// part keeps the ID. Edges, marks, openings and lines go with their part, and
// edges that the line meets are divided, in their seams too. Where the line runs
// through an opening, the opening's rim becomes edges of both parts. The new
// edges are cut straight. It fails, changing nothing, where the line does not go
// across the piece once, or across an opening more than once.
func (p *Pattern) Split(pieceID string, a, b mat.Point) (string, error) {
	next := p.clone()
	c, err := next.split(pieceID, a, b)
	if err != nil {
		return "", err
	}
	*p = next
	return c.apart, nil
}

// parting is a piece cut in two: the ID of the part on the line's left, and how
// many of the last edges of that part and of the other are new.
type parting struct {
	apart               string
	keptSide, apartSide int
}

func (p *Pattern) split(pieceID string, a, b mat.Point) (parting, error) {
	q, x, y, err := p.cutNodes(pieceID, a, b)
	if err != nil {
		return parting{}, err
	}
	from, to := q.nodeNear(x), q.nodeNear(y)
	if from == to {
		return parting{}, fmt.Errorf("the line cuts less than %.1f mm off piece %s: draw it farther in", leastPartMM, pieceID)
	}
	through, err := q.passages(x, y)
	if err != nil {
		return parting{}, err
	}
	// Of a clockwise outline the part from where the line goes in forward to
	// where it comes out lies on its left.
	right, left := cutSide(x, y, through), cutSide(y, x, backwards(through))
	kept, err := q.part(to, from, right)
	if err != nil {
		return parting{}, err
	}
	apart, err := q.part(from, to, left)
	if err != nil {
		return parting{}, err
	}
	q.share(&kept, &apart, x, y, through)
	return parting{p.takeParts(q, kept, apart), len(right), len(left)}, nil
}

// cutNodes puts nodes where a line goes into a piece and comes out, or takes those
// that lie there, and returns the piece and their places.
func (p *Pattern) cutNodes(pieceID string, a, b mat.Point) (q *Piece, x, y mat.Point, err error) {
	if q, err = p.Piece(pieceID); err != nil {
		return nil, x, y, err
	}
	in, out, err := q.across(a, b)
	if err != nil {
		return nil, x, y, err
	}
	x, y = q.Outline.Eval(in), q.Outline.Eval(out)
	if x, err = p.nodeAtPoint(pieceID, x); err != nil {
		return nil, x, y, err
	}
	y, err = p.nodeAtPoint(pieceID, y)
	return q, x, y, err
}

// takeParts puts two parts in the place of a piece: one keeps its letter and the
// names of its edges, the other one is given a letter, which is returned.
func (p *Pattern) takeParts(q *Piece, kept, apart Piece) string {
	ids := q.freshEdgeIDs(len(kept.Edges))
	for k := range kept.Edges {
		if kept.Edges[k].ID == "" {
			kept.Edges[k].ID, ids = ids[0], ids[1:]
		}
	}
	kept.ID, apart.ID = q.ID, p.freshPieceID()
	names := map[string]string{}
	for k := range apart.Edges {
		id := edgeID(apart.ID, k+1)
		if old := apart.Edges[k].ID; old != "" {
			names[old] = id
		}
		apart.Edges[k].ID = id
	}
	*q = kept
	p.rename(names)
	p.Pieces = append(p.Pieces, apart)
	return apart.ID
}

// nodeNear is the node nearest to a point.
func (p *Piece) nodeNear(at mat.Point) int {
	best, near := 0, math.Inf(1)
	for i, s := range p.Outline.Segments {
		if d := gap(s.P0, at); d < near {
			best, near = i, d
		}
	}
	return best
}

// part is the part of a piece along its outline from one node forward to
// another, closed by the side of a cut; marks, openings and lines are left out.
func (p *Piece) part(from, to int, side []strand) (Piece, error) {
	edges, path := p.stretchOf(from, to)
	for _, s := range side {
		s.edge.First, s.edge.Count = len(path.Segments), len(s.segments)
		edges, path.Segments = append(edges, s.edge), append(path.Segments, s.segments...)
	}
	out := *p
	out.Outline, out.Edges = curve.Path{Closed: true, Segments: path.Segments}, edges
	out.Marks, out.Openings, out.Lines = nil, nil, nil
	if area := out.Outline.Area(); area*p.Outline.Area() < 0 || math.Abs(area) < leastOutlineMM2 {
		return Piece{}, fmt.Errorf("next to nothing of piece %s would be left on one side: draw the line farther in", p.ID)
	}
	return out, nil
}

// share gives marks, openings and lines to the part that they belong to. A line
// that goes over the cut from x to y is divided; an opening that it runs through
// is none any more.
func (p *Piece) share(a, b *Piece, x, y mat.Point, through []passage) {
	nearer := func(q mat.Point) *Piece {
		x, errA := a.Outline.Nearest(q)
		y, errB := b.Outline.Nearest(q)
		if errA == nil && (errB != nil || x.DistanceMM <= y.DistanceMM) {
			return a
		}
		return b
	}
	for _, m := range p.Marks {
		part := nearer(m.At)
		part.Marks = append(part.Marks, m)
	}
	within := func(q mat.Point) *Piece {
		if a.Outline.Contains(q, 0.01) {
			return a
		}
		if b.Outline.Contains(q, 0.01) {
			return b
		}
		return nearer(q)
	}
	for i, o := range p.Openings {
		if slices.ContainsFunc(through, func(q passage) bool { return q.opening == i }) {
			continue
		}
		part := within(o.Segments[0].P0)
		part.Openings = append(part.Openings, o)
	}
	for _, l := range p.Lines {
		for _, run := range divided(l.Path, x, y) {
			part := within(run.Segments[len(run.Segments)/2].Eval(0.5))
			part.Lines = append(part.Lines, InsideLine{Path: run, Work: l.Work, Run: l.Run})
		}
	}
}

// divided is an open path in parts between its crossings with a line.
func divided(p curve.Path, a, b mat.Point) []curve.Path {
	at := lineCrossings(p, a, b)
	if p.Closed || len(at) == 0 {
		return []curve.Path{p}
	}
	slices.SortFunc(at, func(x, y crossing) int {
		if x.at.Segment != y.at.Segment {
			return y.at.Segment - x.at.Segment
		}
		if x.at.T > y.at.T {
			return -1
		}
		return 1
	})
	var out []curve.Path
	for _, c := range at { // from the end backwards, so that positions stay true
		head, tail, err := p.Split(c.at)
		if err != nil || len(head.Segments) == 0 || len(tail.Segments) == 0 {
			continue
		}
		out, p = append(out, tail), head
	}
	return append(out, p)
}
