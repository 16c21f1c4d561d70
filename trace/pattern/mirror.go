package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// MirrorCopy adds the mirror image of a piece, beside all others, and returns
// its ID. Cuts, marks, openings and lines come along; seams do not.
func (p *Pattern) MirrorCopy(pieceID string) (string, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return "", err
	}
	b := q.Outline.Bounds()
	m := q.Moved(curve.Mirroring(b.Min, mat.Point{Y: 1}))
	d := p.freeToTheRight(m.Outline.Bounds())
	m = m.Moved(curve.Translation(d))
	m.ID = p.freshPieceID()
	for i := range m.Lines {
		m.Lines[i].Run = ""
	}
	for i := range m.Edges {
		m.Edges[i].ID = edgeID(m.ID, i+1)
	}
	p.Pieces = append(slices.Clip(p.Pieces), m)
	return m.ID, nil
}

// Completed tells how well a half fitted its centre line.
type Completed struct {
	// OffMM is how far the half's own middle edge strayed from the centre line.
	OffMM float64
	// Along is the length of the centre line within the piece, mm.
	AlongMM float64
}

// mostBowMM is how far an edge may stray from a straight line and still be a
// centre line.
const mostBowMM = 2.5

// Complete makes a whole piece of a half about one of its edges, which runs
// along the centre line and goes. The other half's edges are new ones with the
// same cuts; an edge that runs smoothly over the centre line stays one. It
// fails, changing nothing, where the edge is bent, or the halves would lie on
// each other.
func (p *Pattern) Complete(edgeID string) (Completed, error) {
	next := p.clone()
	c, err := next.complete(edgeID)
	if err != nil {
		return c, err
	}
	*p = next
	return c, nil
}

func (p *Pattern) complete(id string) (Completed, error) {
	q, k, err := p.FindEdge(id)
	if err != nil {
		return Completed{}, err
	}
	if len(q.Edges) < 2 {
		return Completed{}, fmt.Errorf("piece %s has one edge only: divide it first where the centre line begins and ends", q.ID)
	}
	path := q.EdgePath(k)
	a, b := ends(path)
	c := Completed{AlongMM: gap(a, b)}
	for _, x := range path.Flatten(0.02) {
		c.OffMM = max(c.OffMM, offLine(x, a, b))
	}
	if c.OffMM > mostBowMM {
		return c, fmt.Errorf("edge %s strays %.1f mm from a straight line: a centre line is straight; draw one across the piece by two points instead", id, c.OffMM)
	}
	if err := q.double(k, a, b); err != nil {
		return c, err
	}
	p.dropEdges([]string{id})
	p.joinOver(q, a, b)
	return c, nil
}

func offLine(q, a, b mat.Point) float64 {
	l := math.Max(gap(a, b), 1e-9)
	return math.Abs((q.X-a.X)*(b.Y-a.Y)-(q.Y-a.Y)*(b.X-a.X)) / l
}

// double puts the mirror image of the piece in the place of an edge.
func (p *Piece) double(edge int, a, b mat.Point) error {
	e, n := p.Edges[edge], len(p.Outline.Segments)
	was := math.Abs(p.Outline.Area())
	mine, path := p.stretchOf((e.First+e.Count)%n, e.First)
	if len(path.Segments) == 0 {
		return fmt.Errorf("piece %s has nothing beside edge %s", p.ID, e.ID)
	}
	// The image runs on from where the half ends back to where it begins.
	half := Piece{ID: p.ID, Outline: path, Edges: mine, Openings: p.Openings, Lines: p.Lines}
	for _, m := range p.Marks {
		if !p.markOn(m, edge) {
			half.Marks = append(half.Marks, m)
		}
	}
	other := half.Moved(curve.Mirroring(a, mat.Point{X: b.X - a.X, Y: b.Y - a.Y}))
	whole := append(slices.Clone(path.Segments), other.Outline.Segments...)
	whole[len(path.Segments)-1] = withEnds(whole[len(path.Segments)-1], whole[len(path.Segments)-1].P0, whole[len(path.Segments)].P0)
	last := len(whole) - 1
	whole[last] = withEnds(whole[last], whole[last].P0, whole[0].P0)
	next := curve.Path{Closed: true, Segments: whole}
	if area := math.Abs(next.Area()); area < 1.5*was {
		return fmt.Errorf("mirrored about this line piece %s would lie on itself: choose the edge on its other side", p.ID)
	}
	p.Outline = next
	p.Edges = mine
	for _, x := range other.Edges {
		x.ID, x.First = p.freshEdgeID(), x.First+len(path.Segments)
		p.Edges = append(p.Edges, x)
	}
	p.Marks = append(half.Marks, other.Marks...)
	p.Openings = append(slices.Clone(p.Openings), other.Openings...)
	p.Lines = append(slices.Clone(p.Lines), other.Lines...)
	return nil
}

// joinOver makes one edge of two that run smoothly into each other where the
// centre line ends, while neither is in a seam.
func (p *Pattern) joinOver(q *Piece, a, b mat.Point) {
	for _, at := range []mat.Point{a, b} {
		node := q.nodeNear(at)
		if cornerAt(q.Outline, node) || len(q.Edges) < 3 {
			continue
		}
		n := len(q.Edges)
		k := slices.IndexFunc(q.Edges, func(e Edge) bool { return e.First == node })
		if k < 0 {
			continue
		}
		before, after := q.Edges[(k+n-1)%n], q.Edges[k]
		_, one := p.SeamOf(before.ID)
		_, two := p.SeamOf(after.ID)
		if !one && !two && before.Cut == after.Cut {
			_ = q.JoinEdges(before.ID, after.ID)
		}
	}
}

// CompleteAbout makes a whole piece of a half about the line from a to b, drawn
// across it: what lies on the smaller side of the line is cut off first.
func (p *Pattern) CompleteAbout(pieceID string, a, b mat.Point) (Completed, error) {
	next := p.clone()
	apart, err := next.split(pieceID, a, b)
	if err != nil {
		return Completed{}, err
	}
	kept, err := next.Piece(pieceID)
	if err != nil {
		return Completed{}, err
	}
	off, err := next.Piece(apart)
	if err != nil {
		return Completed{}, err
	}
	if math.Abs(off.Outline.Area()) > math.Abs(kept.Outline.Area()) {
		// The larger part keeps the letter.
		kept.ID, off.ID = off.ID, kept.ID
		kept, off = off, kept
		next.swapNames(kept, off)
	}
	cut := kept.Edges[len(kept.Edges)-1].ID
	next.leaveOut(off.ID)
	c, err := next.complete(cut)
	if err != nil {
		return c, err
	}
	*p = next
	return c, nil
}

// swapNames gives the edges of two pieces that have changed letters names of
// their own letter.
func (p *Pattern) swapNames(kept, off *Piece) {
	names := map[string]string{}
	for i := range off.Edges {
		names[off.Edges[i].ID] = "-" + off.Edges[i].ID
		off.Edges[i].ID = "-" + off.Edges[i].ID
	}
	for i := range kept.Edges {
		id := edgeID(kept.ID, i+1)
		names[kept.Edges[i].ID], kept.Edges[i].ID = id, id
	}
	p.rename(names)
}
