package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/align"
	"flatwright/trace/curve"
)

// Bounds of what may be made one piece.
const (
	// mostGapMM is the farthest that two edges may lie apart, once laid together.
	mostGapMM = 5.0
)

// United tells how well two pieces that were made one fit together.
type United struct {
	// EndsMM is how far the ends of the two edges miss each other, GapMM how far
	// the edges lie apart at worst; both once the second piece has been moved.
	EndsMM, GapMM float64
	// ShiftMM and TurnDeg are how the second piece was moved.
	ShiftMM, TurnDeg float64
}

// Unite makes one piece of two along an edge of each: the second piece is laid
// against the first, ends on ends, by a rigid motion, and both edges go. What
// is left of the second piece keeps its cuts and seams under the first one's
// letter; where they meet along more edges these go too, and what they closed off
// is an opening. It fails, changing nothing, where the edges are of one piece, or
// leave a gap of more than 5 mm.
func (p *Pattern) Unite(edgeID, otherID string) (United, error) {
	next := p.clone()
	u, err := next.unite(edgeID, otherID)
	if err != nil {
		return United{}, err
	}
	*p = next
	return u, nil
}

func (p *Pattern) unite(edgeID, otherID string) (United, error) {
	q, k, err := p.FindEdge(edgeID)
	if err != nil {
		return United{}, err
	}
	r, l, err := p.FindEdge(otherID)
	switch {
	case err != nil:
		return United{}, err
	case q.ID == r.ID:
		return United{}, fmt.Errorf("edges %s and %s are both of piece %s: choose an edge on each of two pieces", edgeID, otherID, q.ID)
	case len(q.Edges) < 2 || len(r.Edges) < 2:
		return United{}, fmt.Errorf("an outline of one edge cannot be joined along all of it: divide it first where the shared edge begins and ends")
	}
	a, b := q.EdgePath(k), r.EdgePath(l).Reverse()
	u, motion, err := layAgainst(a, b)
	if err != nil {
		return u, fmt.Errorf("edges %s and %s: %w", edgeID, otherID, err)
	}
	moved := r.Moved(motion)
	id := q.ID
	if err := p.merge(q, k, moved, l); err != nil {
		return u, err
	}
	p.Pieces = slices.DeleteFunc(p.Pieces, func(x Piece) bool { return x.ID == r.ID && x.ID != q.ID })
	// Pieces that met along more than one edge, like halves of a ring, have none
	// of them left.
	if q, err = p.Piece(id); err != nil {
		return u, err
	}
	p.dropEdges(append(q.seal(), edgeID, otherID))
	return u, nil
}

// SharedEdge returns the longest edge that two pieces have in common, by its name
// in each: the two run along each other, as those do that a split has made. False
// when there is none.
func (p *Pattern) SharedEdge(pieceID, otherID string) (edge, other string, ok bool) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return "", "", false
	}
	r, err := p.Piece(otherID)
	if err != nil {
		return "", "", false
	}
	long := 0.0
	for i := range q.Edges {
		path := q.EdgePath(i)
		for k := range r.Edges {
			if l := path.Length(); l > long && sealed(path, r.EdgePath(k)) {
				edge, other, long = q.Edges[i].ID, r.Edges[k].ID, l
			}
		}
	}
	return edge, other, long > 0
}

// layAgainst returns the motion that lays a path on another, ends on ends.
func layAgainst(a, b curve.Path) (United, curve.Transform, error) {
	a0, a1 := ends(a)
	b0, b1 := ends(b)
	fit, err := align.Rigid([]mat.Point{b0, b1}, []mat.Point{a0, a1})
	if err != nil {
		return United{}, curve.Transform{}, err
	}
	u := United{EndsMM: fit.WorstMM, TurnDeg: fit.TurnDeg, ShiftMM: gap(fit.Motion.Apply(b0), b0)}
	moved := b.Transform(fit.Motion)
	for _, pair := range [2][2]curve.Path{{a, moved}, {moved, a}} {
		for _, q := range pair[0].Flatten(0.05) {
			if at, err := pair[1].Nearest(q); err == nil {
				u.GapMM = max(u.GapMM, at.DistanceMM)
			}
		}
	}
	if u.GapMM > mostGapMM {
		return u, fit.Motion, fmt.Errorf("laid together they leave a gap of %.1f mm: they are not one edge seen twice; choose other edges, or divide them where they begin to run together", u.GapMM)
	}
	return u, fit.Motion, nil
}

func ends(p curve.Path) (from, to mat.Point) {
	return p.Segments[0].P0, p.Segments[len(p.Segments)-1].P3
}

// merge puts what is left of a second piece in the place of an edge of the
// first.
func (p *Pattern) merge(q *Piece, edge int, r Piece, other int) error {
	n, m := len(q.Outline.Segments), len(r.Outline.Segments)
	e, f := q.Edges[edge], r.Edges[other]
	mine, path := q.stretchOf((e.First+e.Count)%n, e.First)
	theirs, rest := r.stretchOf((f.First+f.Count)%m, f.First)
	if len(path.Segments) == 0 || len(rest.Segments) == 0 {
		return fmt.Errorf("pieces %s and %s have nothing left beside these edges", q.ID, r.ID)
	}
	closeUp(&path, &rest)
	offset := len(path.Segments)
	out := q.Translate(mat.Point{})
	out.Outline = curve.Path{Closed: true, Segments: append(path.Segments, rest.Segments...)}
	out.Edges = mine
	names := map[string]string{}
	for _, x := range theirs {
		id := out.freshEdgeID()
		names[x.ID] = id
		x.ID, x.First = id, x.First+offset
		out.Edges = append(out.Edges, x)
	}
	out.Openings = append(out.Openings, r.Openings...)
	out.Lines = append(out.Lines, r.Lines...)
	for _, x := range []Piece{*q, r} {
		k := edge
		if x.ID == r.ID {
			k = other
		}
		out.Marks = slices.DeleteFunc(out.Marks, func(y Mark) bool { return x.markOn(y, k) })
	}
	for _, y := range r.Marks {
		if !r.markOn(y, other) {
			out.Marks = append(out.Marks, y)
		}
	}
	if area := out.Outline.Area(); math.Abs(area) < math.Abs(q.Outline.Area()) {
		return fmt.Errorf("pieces %s and %s would lie on each other: choose edges that face each other", q.ID, r.ID)
	}
	*q = out
	p.rename(names)
	return nil
}

// markOn reports whether a registration mark stands on an edge, and not at one
// of its ends.
func (p *Piece) markOn(m Mark, edge int) bool {
	place, err := p.MarkEdge(m)
	return err == nil && place.Edge == edge && place.OffMM <= markToleranceMM &&
		place.AlongMM > leastPartMM && place.AlongMM < p.EdgeLengthMM(edge)-leastPartMM
}

// closeUp lets two paths meet in the middle between their ends.
func closeUp(a, b *curve.Path) {
	last, end := len(a.Segments)-1, len(b.Segments)-1
	x := middle(a.Segments[last].P3, b.Segments[0].P0)
	y := middle(b.Segments[end].P3, a.Segments[0].P0)
	a.Segments[last] = withEnds(a.Segments[last], a.Segments[last].P0, x)
	b.Segments[0] = withEnds(b.Segments[0], x, b.Segments[0].P3)
	b.Segments[end] = withEnds(b.Segments[end], b.Segments[end].P0, y)
	a.Segments[0] = withEnds(a.Segments[0], y, a.Segments[0].P3)
}

func middle(a, b mat.Point) mat.Point { return mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2} }

// UniteAt makes one piece of two by two points of each: between them each gives
// up the shorter stretch of its outline, as along a shared edge. The first
// point of one meets the first of the other.
func (p *Pattern) UniteAt(pieceID string, a [2]mat.Point, otherID string, b [2]mat.Point) (United, error) {
	next := p.clone()
	first, err := next.edgeBetween(pieceID, a[0], a[1])
	if err != nil {
		return United{}, err
	}
	second, err := next.edgeBetween(otherID, b[0], b[1])
	if err != nil {
		return United{}, err
	}
	u, err := next.unite(first, second)
	if err != nil {
		return u, err
	}
	*p = next
	return u, nil
}

// edgeBetween makes the shorter stretch of an outline between two points one
// edge and returns its ID.
func (p *Pattern) edgeBetween(pieceID string, a, b mat.Point) (string, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return "", err
	}
	if a, err = p.nodeAtPoint(pieceID, a); err != nil {
		return "", err
	}
	if b, err = p.nodeAtPoint(pieceID, b); err != nil {
		return "", err
	}
	from, to := q.nodeNear(a), q.nodeNear(b)
	if from == to {
		return "", fmt.Errorf("the two points on piece %s are one place: choose two that lie apart", pieceID)
	}
	_, there := q.stretchOf(from, to)
	_, back := q.stretchOf(to, from)
	if back.Length() < there.Length() {
		from, to = to, from
	}
	edges, _ := q.stretchOf(from, to)
	for _, e := range edges[1:] {
		p.dropEdges([]string{e.ID})
		if err := q.JoinEdges(edges[0].ID, e.ID); err != nil {
			return "", err
		}
	}
	return edges[0].ID, nil
}
