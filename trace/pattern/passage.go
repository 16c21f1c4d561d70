package pattern

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// passage is where a cut runs through an opening.
type passage struct {
	opening int // its number in the piece
	// rim is the opening with a node where the cut comes in and another where it
	// leaves, travelled so that the piece lies on the same hand as of its outline.
	rim     curve.Path
	in, out int
	// from and to are where along the cut these nodes lie, mm from its start.
	from, to float64
}

// passages returns where a cut from x to y on the outline runs through openings,
// in the order of the cut. It fails where the cut goes more than once through
// one opening, because that leaves more than two parts, and where it would
// leave next to nothing between two openings, or between one and the outline.
func (p *Piece) passages(x, y mat.Point) ([]passage, error) {
	var out []passage
	for i, o := range p.Openings {
		met := slices.DeleteFunc(lineCrossings(o, x, y), func(c crossing) bool { return c.share <= 0 || c.share >= 1 })
		switch {
		case len(met) == 0:
			continue
		case len(met) != 2:
			return nil, fmt.Errorf("the line goes %d times over the rim of opening %d of piece %s: draw it through the opening once, or past it", len(met), i+1, p.ID)
		}
		q, err := passageOf(o, met[0], met[1])
		if err != nil {
			return nil, fmt.Errorf("opening %d of piece %s: %w", i+1, p.ID, err)
		}
		if o.Area()*p.Outline.Area() > 0 {
			q = q.reversed()
		}
		q.opening, q.from, q.to = i, gap(x, q.rim.Segments[q.in].P0), gap(x, q.rim.Segments[q.out].P0)
		out = append(out, q)
	}
	slices.SortFunc(out, func(a, b passage) int { return cmp.Compare(a.from, b.from) })
	at := 0.0
	for _, q := range out {
		if q.from-at < leastPartMM {
			return nil, p.tooNear(q.opening)
		}
		at = q.to
	}
	if len(out) > 0 && gap(x, y)-at < leastPartMM {
		return nil, p.tooNear(out[len(out)-1].opening)
	}
	return out, nil
}

func (p *Piece) tooNear(opening int) error {
	return fmt.Errorf("the line runs over less than %.1f mm of piece %s before opening %d or behind it: draw it elsewhere", leastPartMM, p.ID, opening+1)
}

// passageOf puts the two nodes on a closed path.
func passageOf(o curve.Path, in, out crossing) (passage, error) {
	late, early := in.at, out.at
	if late.Segment < early.Segment || late.Segment == early.Segment && late.T < early.T {
		late, early = early, late
	}
	// The later one first, so that the earlier one's place stays true.
	rim, after, added, err := withNode(o, late)
	if err != nil {
		return passage{}, err
	}
	if added && late.Segment == early.Segment {
		early.T /= late.T
	}
	rim, before, added, err := withNode(rim, early)
	if err != nil {
		return passage{}, err
	}
	if added && after > early.Segment {
		after++
	}
	if before == after {
		return passage{}, fmt.Errorf("the line only touches it: draw it through the opening, or past it")
	}
	if late == in.at {
		return passage{rim: rim, in: after, out: before}, nil
	}
	return passage{rim: rim, in: before, out: after}, nil
}

// withNode adds a node to a closed path at a position, or takes the one that
// lies there, and returns its number.
func withNode(o curve.Path, at curve.Position) (next curve.Path, node int, added bool, err error) {
	s, n := o.Segments[at.Segment], len(o.Segments)
	switch q := s.Eval(at.T); {
	case gap(q, s.P0) < sameNodeMM:
		return o, at.Segment, false, nil
	case gap(q, s.P3) < sameNodeMM:
		return o, (at.Segment + 1) % n, false, nil
	}
	next, err = o.Insert(at)
	return next, at.Segment + 1, true, err
}

// reversed is the passage with its rim travelled the other way.
func (q passage) reversed() passage {
	n := len(q.rim.Segments)
	// Node i is where segment i begins, and of the reversed path where the
	// segment before segment n−i begins.
	q.rim, q.in, q.out = q.rim.Reverse(), (n-q.in)%n, (n-q.out)%n
	return q
}

// along is the rim from one of its nodes to another as edges without names,
// divided at corners.
func (q passage) along(from, to int) []strand {
	n := len(q.rim.Segments)
	out := []strand{straightStrand()}
	for i := from; i != to; i = (i + 1) % n {
		if i != from && cornerAt(q.rim, i) {
			out = append(out, straightStrand())
		}
		last := &out[len(out)-1]
		last.segments = append(last.segments, q.rim.Segments[i])
	}
	return out
}

// straightStrand is an edge without a name, cut straight.
func straightStrand(s ...curve.Segment) strand {
	return strand{Edge{Cut: Cut{Kind: Straight}}, s}
}

// cutSide is the boundary that a cut from x to y gives the part on its right:
// straight over the piece, along the rim through openings.
func cutSide(x, y mat.Point, through []passage) []strand {
	var out []strand
	at := x
	for _, q := range through {
		out = append(out, straightStrand(curve.Line(at, q.rim.Segments[q.in].P0)))
		out = append(out, q.along(q.in, q.out)...)
		_, at = ends(curve.Path{Segments: out[len(out)-1].segments})
	}
	return append(out, straightStrand(curve.Line(at, y)))
}

// backwards is the same passages met by a cut that runs the other way.
func backwards(through []passage) []passage {
	out := slices.Clone(through)
	slices.Reverse(out)
	for i := range out {
		out[i].in, out[i].out = out[i].out, out[i].in
	}
	return out
}

// sealedMM is how closely two edges of one piece lie on each other when there
// is no cut between them any more.
const sealedMM = 0.01

// seal makes an outline whole that lies on itself along an edge and another
// one, as the halves of a ring do that were joined at one end: both edges go
// with their marks, and what they closed off is an opening. It returns the names
// of the edges that went.
func (p *Piece) seal() []string {
	// The smallest loop first: it has no such edges itself.
	best, least := ring{}, math.Inf(1)
	for i := range p.Edges {
		for k := i + 1; k < len(p.Edges); k++ {
			if !sealed(p.EdgePath(i), p.EdgePath(k)) {
				continue
			}
			if s, ok := p.ringAt(i, k); ok && math.Abs(s.rim.Area()) < least {
				best, least = s, math.Abs(s.rim.Area())
			}
		}
	}
	if best.gone == nil {
		return nil
	}
	p.Marks = slices.DeleteFunc(p.Marks, func(m Mark) bool { return !off(m, p.Outline) && off(m, best.outline) })
	p.Outline, p.Edges, p.Openings = best.outline, best.edges, append(slices.Clone(p.Openings), best.rim)
	return append(best.gone, p.seal()...)
}

// off reports whether a registration mark does not stand on an outline.
func off(m Mark, outline curve.Path) bool {
	at, err := outline.Nearest(m.At)
	return err != nil || at.DistanceMM > markToleranceMM
}

// sealed reports whether two paths lie on each other, one travelled against the
// other.
func sealed(a, b curve.Path) bool {
	b = b.Reverse()
	a0, a1 := ends(a)
	b0, b1 := ends(b)
	if gap(a0, b0) > sealedMM || gap(a1, b1) > sealedMM || gap(a0, a1) < sealedMM {
		return false
	}
	return liesAlong(a, b, 2*sealedMM) && liesAlong(b, a, 2*sealedMM)
}

// liesAlong reports whether all of a path lies within a distance of another.
func liesAlong(a, b curve.Path, withinMM float64) bool {
	for _, q := range a.Flatten(withinMM / 2) {
		if at, err := b.Nearest(q); err != nil || at.DistanceMM > withinMM {
			return false
		}
	}
	return true
}

// ring is an outline taken apart into an outline with its edges and an
// opening, and the names of the edges that this leaves out.
type ring struct {
	outline, rim curve.Path
	edges        []Edge
	gone         []string
}

// ringAt takes the outline apart at two edges that lie on each other. False
// where that does not give an outline and an opening.
func (p *Piece) ringAt(i, k int) (ring, bool) {
	n := len(p.Outline.Segments)
	e, f := p.Edges[i], p.Edges[k]
	edges, path := p.stretchOf((f.First+f.Count)%n, e.First)
	inner, rim := p.stretchOf((e.First+e.Count)%n, f.First)
	if len(path.Segments) == 0 || len(rim.Segments) == 0 {
		return ring{}, false
	}
	closed(&path)
	closed(&rim)
	if math.Abs(rim.Area()) > math.Abs(path.Area()) {
		edges, inner, path, rim = inner, edges, rim, path
	}
	out := ring{outline: path, rim: rim, edges: edges, gone: []string{e.ID, f.ID}}
	for _, x := range inner {
		out.gone = append(out.gone, x.ID)
	}
	return out, rim.Area()*path.Area() < 0
}

// closed lets a path end where it begins.
func closed(p *curve.Path) {
	last := len(p.Segments) - 1
	at := middle(p.Segments[last].P3, p.Segments[0].P0)
	p.Segments[0] = withEnds(p.Segments[0], at, p.Segments[0].P3)
	p.Segments[last] = withEnds(p.Segments[last], p.Segments[last].P0, at)
	p.Closed = true
}
