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
	return c, p.completeOver(q, k, 1)
}

// completeOver puts the mirror image of a piece in the place of a number of
// edges along the centre line, from one on; these go.
func (p *Pattern) completeOver(q *Piece, edge, count int) error {
	var gone []string
	for k := range count {
		gone = append(gone, q.Edges[(edge+k)%len(q.Edges)].ID)
	}
	a, b := q.sideEnds(edge, count)
	if err := q.double(edge, count); err != nil {
		return err
	}
	p.dropEdges(gone)
	p.joinOver(q, a, b)
	return nil
}

// sideEnds is where a number of edges from one on begin and end.
func (p *Piece) sideEnds(edge, count int) (a, b mat.Point) {
	a, _ = ends(p.EdgePath(edge))
	_, b = ends(p.EdgePath((edge + count - 1) % len(p.Edges)))
	return a, b
}

func offLine(q, a, b mat.Point) float64 {
	l := math.Max(gap(a, b), 1e-9)
	return math.Abs((q.X-a.X)*(b.Y-a.Y)-(q.Y-a.Y)*(b.X-a.X)) / l
}

// double puts the mirror image of the piece in the place of a number of edges
// from one on. Of these the ones that leave the straight line between their ends
// are rims of openings that the line runs through: with their image they are
// whole openings.
func (p *Piece) double(edge, count int) error {
	a, b := p.sideEnds(edge, count)
	about := curve.Mirroring(a, mat.Point{X: b.X - a.X, Y: b.Y - a.Y})
	rims := p.rims(edge, count, about)
	e, n := p.Edges[edge], len(p.Outline.Segments)
	end := p.Edges[(edge+count-1)%len(p.Edges)]
	was := math.Abs(p.Outline.Area())
	mine, path := p.stretchOf((end.First+end.Count)%n, e.First)
	if len(path.Segments) == 0 {
		return fmt.Errorf("piece %s has nothing beside edge %s", p.ID, e.ID)
	}
	// The image runs on from where the half ends back to where it begins.
	half := Piece{ID: p.ID, Outline: path, Edges: mine, Openings: p.Openings, Lines: p.Lines}
	half.Marks = p.marksBeside(edge, count)
	other := half.Moved(about)
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
	p.Openings = append(append(slices.Clone(p.Openings), other.Openings...), rims...)
	p.Lines = append(slices.Clone(p.Lines), other.Lines...)
	return nil
}

// marksBeside is the marks that stand on none of a number of edges.
func (p *Piece) marksBeside(edge, count int) []Mark {
	var out []Mark
	for _, m := range p.Marks {
		on := false
		for k := range count {
			on = on || p.markOn(m, (edge+k)%len(p.Edges))
		}
		if !on {
			out = append(out, m)
		}
	}
	return out
}

// rims is the openings that a number of edges along a centre line run around,
// each made whole by its mirror image.
func (p *Piece) rims(edge, count int, about curve.Transform) []curve.Path {
	var out []curve.Path
	var half curve.Path
	for k := 1; k < count; k++ {
		path := p.EdgePath((edge + k) % len(p.Edges))
		if !liesOnAxis(path, about) {
			half.Segments = append(half.Segments, path.Segments...)
			continue
		}
		if len(half.Segments) > 0 {
			image := half.Transform(about).Reverse()
			closeUp(&half, &image)
			out = append(out, curve.Path{Closed: true, Segments: append(half.Segments, image.Segments...)})
			half = curve.Path{}
		}
	}
	return out
}

// liesOnAxis reports whether a path is a stretch of the centre line. Half of an
// opening begins and ends there too, and may be a single curve.
func liesOnAxis(path curve.Path, about curve.Transform) bool {
	s := path.Segments[0]
	return len(path.Segments) == 1 && onAxis(s.P0, about) && onAxis(s.Eval(0.5), about) && onAxis(s.P3, about)
}

// onAxis reports whether a reflection leaves a point where it is, but for what
// taking an existing node for a new one may move it.
func onAxis(q mat.Point, about curve.Transform) bool { return gap(q, about.Apply(q)) < 4*sameNodeMM }

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
	cut, err := next.split(pieceID, a, b)
	if err != nil {
		return Completed{}, err
	}
	kept, err := next.Piece(pieceID)
	if err != nil {
		return Completed{}, err
	}
	off, err := next.Piece(cut.apart)
	if err != nil {
		return Completed{}, err
	}
	side := cut.keptSide
	if math.Abs(off.Outline.Area()) > math.Abs(kept.Outline.Area()) {
		// The larger part keeps the letter.
		kept.ID, off.ID = off.ID, kept.ID
		kept, off, side = off, kept, cut.apartSide
		next.swapNames(kept, off)
	}
	id, c := kept.ID, Completed{}
	next.leaveOut(off.ID)
	if kept, err = next.Piece(id); err != nil {
		return c, err
	}
	first := len(kept.Edges) - side
	from, to := kept.sideEnds(first, side)
	c.AlongMM = gap(from, to)
	if err := next.completeOver(kept, first, side); err != nil {
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
