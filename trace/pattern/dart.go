package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Bounds of a notch that is taken for a dart.
const (
	// dartMostDeg is the widest angle at a dart's apex.
	dartMostDeg = 75
	// dartLegsPart is by how much its legs may differ, in parts.
	dartLegsPart = 0.1
	// dartLeastMM is the narrowest mouth; less is a slit.
	dartLeastMM = 3
	// dartApartMM keeps darts apart, and away from corners.
	dartApartMM = 5
)

// notch is a V cut into a piece between two neighbouring edges, the first of
// which runs in and the second out again.
type notch struct {
	in, out int
	// mouthMM is its width at the open end, the middle of which is at At.
	mouthMM float64
	at      mat.Point
}

// notches returns the Vs of a piece that look like darts.
func (p *Piece) notches() []notch {
	var list []notch
	n := len(p.Edges)
	for i := range p.Edges {
		k := (i + 1) % n
		if n < 3 {
			break
		}
		deg := 360 - p.cornerOf(p.Edges[k].First).AngleDeg
		a, b := p.EdgeLengthMM(i), p.EdgeLengthMM(k)
		if deg > dartMostDeg || math.Abs(a-b) > dartLegsPart*min(a, b) {
			continue
		}
		from, to := p.nodeAt(p.Edges[i].First), p.EdgePath(k).Segments[p.Edges[k].Count-1].P3
		if wide := gap(from, to); wide >= dartLeastMM {
			list = append(list, notch{i, k, wide, mat.Point{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}})
		}
	}
	return list
}

// openDarts reports Vs that no seam closes, and returns their edges.
func (c *checker) openDarts(p *Piece) map[string]bool {
	edges := map[string]bool{}
	if !on(c.limits.DartMM) {
		return edges
	}
	for _, v := range p.notches() {
		in, out := p.Edges[v.in], p.Edges[v.out]
		if in.Rim || out.Rim || c.p.anySeam([]string{in.ID, out.ID}) || edges[in.ID] {
			continue
		}
		edges[in.ID], edges[out.ID] = true, true
		c.add(Finding{
			Kind: OpenDart, Severity: Note, Piece: p.ID, Edge: in.ID, At: v.at, AmountMM: v.mouthMM,
			Text: fmt.Sprintf("Edges %s and %s of piece %s make a dart %.1f mm wide that no seam closes. Join its sides, or leave them as the form's rim.", in.ID, out.ID, p.ID, v.mouthMM),
			// The sides spring from one corner: the first is taken backwards.
			Mend:  Mend{Kind: JoinMates, Sides: [2]EdgeRef{{Edge: in.ID, Reversed: true}, {Edge: out.ID}}},
			Other: Mend{Kind: LeaveRim, Piece: p.ID, Edge: in.ID, Sides: [2]EdgeRef{{Edge: in.ID}, {Edge: out.ID}}},
		})
	}
	return edges
}

// leaveRim notes that edges stay open: those named, or else all of a piece
// that are in no seam.
func (p *Pattern) leaveRim(m Mend) error {
	q, err := p.Piece(m.Piece)
	if err != nil {
		return err
	}
	for k := range q.Edges {
		e := &q.Edges[k]
		named := m.Edge == "" || e.ID == m.Sides[0].Edge || e.ID == m.Sides[1].Edge
		if _, taken := p.SeamOf(e.ID); named && !taken {
			e.Rim = true
		}
	}
	return nil
}

// ShareDart shares a dart between two: the one is left half as wide, the other
// is cut beside it into the edge that goes on from the dart's mouth, as deep
// and as wide as was given up. The edges at the mouth, once the darts are
// closed, are as long as before, where they are straight. It returns the new
// seam, and fails, changing nothing, where there is no room.
func (p *Pattern) ShareDart(seamID string) (string, error) {
	s, ok := p.seam(seamID)
	if !ok {
		return "", fmt.Errorf("there is no seam %q", seamID)
	}
	q, v, ok := p.notchOf(s)
	if !ok {
		return "", fmt.Errorf("seam %s is no dart of two neighbouring edges", seamID)
	}
	err := fmt.Errorf("beside the dart of seam %s there is no room for another", seamID)
	for _, after := range []bool{true, false} {
		for _, share := range []float64{0.5, 0.4, 0.6, 0.3, 0.7} {
			next := p.clone()
			id, failed := next.shareDart(q.ID, v, after, share)
			if failed == nil {
				*p = next
				return id, nil
			}
		}
	}
	return "", err
}

// notchOf returns the V that a seam closes.
func (p *Pattern) notchOf(s *Seam) (*Piece, notch, bool) {
	if len(s.A) != 1 || len(s.B) != 1 {
		return nil, notch{}, false
	}
	q, _, err := p.FindEdge(s.A[0].Edge)
	if err != nil {
		return nil, notch{}, false
	}
	for _, v := range q.notches() {
		in, out := q.Edges[v.in].ID, q.Edges[v.out].ID
		if in == s.A[0].Edge && out == s.B[0].Edge || out == s.A[0].Edge && in == s.B[0].Edge {
			return q, v, true
		}
	}
	return nil, notch{}, false
}

// strand is a run of segments that belongs to an edge.
type strand struct {
	edge     Edge
	segments []curve.Segment
}

// shareDart makes the second dart at a share of the edge after the notch, or
// of the one before it.
func (p *Pattern) shareDart(pieceID string, v notch, after bool, share float64) (string, error) {
	q, err := p.Piece(pieceID)
	if err != nil {
		return "", err
	}
	n := len(q.Edges)
	list := make([]strand, n)
	for k := range q.Edges {
		list[k] = strand{q.Edges[k], q.EdgePath(k).Segments}
	}
	rim := (v.out + 1) % n
	if !after {
		rim = (v.in + n - 1) % n
	}
	if n < 3 || rim == v.in || rim == v.out {
		return "", fmt.Errorf("piece %s has no edge beside the dart", pieceID)
	}
	fill, wide := q.narrowNotch(list, v, after)
	apex := list[v.out].segments[0].P0
	fresh, err := q.secondDart(list[rim], share, wide, gap(apex, v.at))
	if err != nil {
		return "", err
	}
	// What fills the given-up half belongs to the edge that it prolongs.
	if after {
		fresh[0].segments = append([]curve.Segment{fill}, fresh[0].segments...)
	} else {
		fresh[3].segments = append(fresh[3].segments, fill)
	}
	list = slices.Concat(list[:rim], fresh, list[rim+1:])
	was := *q
	*q = q.woven(list)
	keepMarks(&was, q)
	if _, crosses := q.Outline.SelfCrossing(otherFaceToleranceMM); crosses || q.touchesInside() {
		return "", fmt.Errorf("the second dart of piece %s runs into something", pieceID)
	}
	p.followBreak(fresh[0].edge.ID, fresh[3].edge.ID)
	return p.Pair(Run{{Edge: fresh[1].edge.ID, Reversed: true}}, Run{{Edge: fresh[2].edge.ID}})
}

// narrowNotch turns the leg beside the rim towards the other by half the angle,
// and returns the line that then prolongs the rim, and its length.
func (p *Piece) narrowNotch(list []strand, v notch, after bool) (fill curve.Segment, wideMM float64) {
	in, out := list[v.in].segments, list[v.out].segments
	apex := out[0].P0
	from, to := in[0].P0, out[len(out)-1].P3
	angle := math.Atan2((to.X-apex.X)*(from.Y-apex.Y)-(to.Y-apex.Y)*(from.X-apex.X),
		(to.X-apex.X)*(from.X-apex.X)+(to.Y-apex.Y)*(from.Y-apex.Y))
	leg, old, rad := v.out, to, angle/2
	if !after {
		leg, old, rad = v.in, from, -angle/2
	}
	turned := curve.Path{Segments: list[leg].segments}.Rotate(apex, rad)
	list[leg].segments = turned.Segments
	if after {
		end := turned.Segments[len(turned.Segments)-1].P3
		return curve.Line(end, old), gap(end, old)
	}
	end := turned.Segments[0].P0
	return curve.Line(old, end), gap(end, old)
}

// secondDart divides an edge for a dart: its part before, the leg in, the leg
// out, and its part after, which is a new edge.
func (p *Piece) secondDart(rim strand, share, wideMM, deepMM float64) ([]strand, error) {
	path := curve.Path{Segments: rim.segments}
	long := path.Length()
	mid := share * long
	if min(mid, long-mid) < wideMM/2+dartApartMM {
		return nil, fmt.Errorf("edge %s is too short for a dart", rim.edge.ID)
	}
	a, err1 := path.PositionAt(mid - wideMM/2)
	b, err2 := path.PositionAt(mid + wideMM/2)
	if err1 != nil || err2 != nil {
		return nil, fmt.Errorf("edge %s has no place for a dart", rim.edge.ID)
	}
	head, _, err1 := path.Split(a)
	_, tail, err2 := path.Split(b)
	if err1 != nil || err2 != nil {
		return nil, fmt.Errorf("edge %s cannot be divided", rim.edge.ID)
	}
	from, to := path.Eval(a), path.Eval(b)
	apex := p.inwards(from, to, deepMM)
	ids := p.freshEdgeIDs(3)
	leg := func(id string, s curve.Segment) strand {
		return strand{Edge{ID: id, Cut: Cut{Kind: Straight}}, []curve.Segment{s}}
	}
	rest := rim.edge
	rest.ID = ids[2]
	first := rim.edge
	first.Cut, rest.Cut = rim.edge.Cut.divided(share)
	return []strand{{first, head.Segments}, leg(ids[0], curve.Line(from, apex)), leg(ids[1], curve.Line(apex, to)), {rest, tail.Segments}}, nil
}

// inwards is the point off the middle between two places of the outline, so
// far into the piece.
func (p *Piece) inwards(from, to mat.Point, deepMM float64) mat.Point {
	l := gap(from, to)
	dx, dy := (to.X-from.X)/l, (to.Y-from.Y)/l
	if p.Outline.Area() < 0 {
		dx, dy = -dx, -dy
	}
	return mat.Point{X: (from.X+to.X)/2 - dy*deepMM, Y: (from.Y+to.Y)/2 + dx*deepMM}
}

// freshEdgeIDs returns the lowest names that no edge of the piece has.
func (p *Piece) freshEdgeIDs(n int) []string {
	var out []string
	for k := 1; len(out) < n; k++ {
		if id := edgeID(p.ID, k); p.edgeIndex(id) < 0 {
			out = append(out, id)
		}
	}
	return out
}

// woven is the piece with the edges of a list in the place of its own.
func (p *Piece) woven(list []strand) Piece {
	out := p.Translate(mat.Point{})
	out.Outline, out.Edges = curve.Path{Closed: true}, nil
	for _, s := range list {
		e := s.edge
		e.First, e.Count = len(out.Outline.Segments), len(s.segments)
		out.Edges = append(out.Edges, e)
		out.Outline.Segments = append(out.Outline.Segments, s.segments...)
	}
	return out
}

// keepMarks drops the marks of a changed piece that lay in what was cut away,
// and moves those of edges that were turned to their share of them.
func keepMarks(was, now *Piece) {
	var kept []Mark
	for _, m := range was.Marks {
		before, err := was.MarkEdge(m)
		if err != nil {
			continue
		}
		at, err := now.MarkEdge(m)
		if err == nil && at.OffMM <= before.OffMM+1e-6 {
			kept = append(kept, m)
			continue
		}
		if before.Edge < 0 || before.OffMM > markToleranceMM {
			continue
		}
		k := now.edgeIndex(was.Edges[before.Edge].ID)
		if k < 0 || math.Abs(now.EdgeLengthMM(k)-was.EdgeLengthMM(before.Edge)) > 1e-6 {
			continue
		}
		if moved, err := now.MarkAt(k, before.AlongMM, gap(m.At, m.In)); err == nil {
			moved.Ticks = m.Ticks
			kept = append(kept, moved)
		}
	}
	now.Marks = kept
}

// touchesInside tells whether the outline runs into an opening or a line drawn
// inside the piece.
func (p *Piece) touchesInside() bool {
	for _, o := range p.Openings {
		if _, bad := p.openingFault(p.Outline, o, 0); bad {
			return true
		}
	}
	return slices.ContainsFunc(p.Lines, func(l InsideLine) bool {
		_, meets := l.Path.Meets(p.Outline, otherFaceToleranceMM)
		return meets
	})
}

// followBreak keeps a side whole of which an edge was divided.
func (p *Pattern) followBreak(old, fresh string) {
	p.eachRun(func(r Run) Run {
		i := slices.IndexFunc(r, func(e EdgeRef) bool { return e.Edge == old })
		if i < 0 {
			return r
		}
		at := i + 1
		if r[i].Reversed {
			at = i
		}
		return slices.Insert(slices.Clone(r), at, EdgeRef{Edge: fresh, Reversed: r[i].Reversed})
	})
}
