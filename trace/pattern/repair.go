package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Bounds of what may be taken off an outline as a fault of the tracing: more
// is part of the piece.
const (
	// mostTrimmedArea is the largest change of a piece's area, in parts.
	mostTrimmedArea = 0.01
	// mostTrimmedLength is the most of the outline's length that may go, in
	// parts.
	mostTrimmedLength = 0.05
)

// trim is a run of the outline, from one place forward to the other, that is
// taken out; both ends then meet at At.
type trim struct {
	from, to curve.Position
	at       mat.Point
}

// trimmed is what taking a run out changes.
type trimmed struct {
	piece Piece
	// gone are edges of which nothing is left.
	gone []string
	// marks is how many registration marks went with the run.
	marks int
	// areaPart is the change of the area in parts, lengthMM how much shorter the
	// outline is, edgeMM the largest change of an edge that stays.
	areaPart, lengthMM, edgeMM float64
}

// small tells whether so little goes that it can be a fault of the tracing.
func (t trimmed) small() bool {
	round := t.piece.PerimeterMM() + t.lengthMM
	return math.Abs(t.areaPart) <= mostTrimmedArea && t.lengthMM <= mostTrimmedLength*round
}

// words says what changes, for the end of a sentence.
func (t trimmed) words() string {
	return fmt.Sprintf("the area changes by %.2f %%, the outline by %.1f mm and no other edge by more than %.1f mm",
		100*math.Abs(t.areaPart), math.Abs(t.lengthMM), t.edgeMM)
}

// trim returns the piece without a run of its outline. The piece itself stays
// as it is. It fails when less than two segments or no edge would be left.
func (p *Piece) trim(x trim) (trimmed, error) {
	segments, owners := p.kept(x)
	n := len(segments)
	if n < 2 {
		return trimmed{}, fmt.Errorf("piece %s would be nothing without that", p.ID)
	}
	segments[0] = withEnds(segments[0], x.at, segments[0].P3)
	segments[n-1] = withEnds(segments[n-1], segments[n-1].P0, x.at)
	t := trimmed{piece: p.Translate(mat.Point{})}
	t.piece.Outline = curve.Path{Closed: true, Segments: segments}
	t.piece.Edges = nil
	for k, e := range p.Edges {
		first, count := runOf(owners, k)
		if count == 0 {
			t.gone = append(t.gone, e.ID)
			continue
		}
		was := p.EdgeLengthMM(k)
		e.First, e.Count = first, count
		t.piece.Edges = append(t.piece.Edges, e)
		if now := t.piece.EdgeLengthMM(len(t.piece.Edges) - 1); !p.within(k, x) {
			t.edgeMM = max(t.edgeMM, math.Abs(now-was))
		}
	}
	if len(t.piece.Edges) == 0 {
		return trimmed{}, fmt.Errorf("piece %s would have no edge left", p.ID)
	}
	t.dropStrays(p)
	area := math.Abs(p.Outline.Area())
	t.areaPart = (math.Abs(t.piece.Outline.Area()) - area) / max(area, 1e-9)
	t.lengthMM = p.PerimeterMM() - t.piece.PerimeterMM()
	return t, nil
}

// kept returns the segments that stay, from where the run ends round to where
// it begins, and the number of the edge that each belongs to.
func (p *Piece) kept(x trim) (segments []curve.Segment, owners []int) {
	n := len(p.Outline.Segments)
	put := func(s curve.Segment, i int) {
		if s.P0 != s.P3 {
			segments, owners = append(segments, s), append(owners, p.EdgeOf(i))
		}
	}
	const end = 1e-9
	if x.to.T < 1-end {
		_, rest := p.Outline.Segments[x.to.Segment].Split(x.to.T)
		put(rest, x.to.Segment)
	}
	for i := (x.to.Segment + 1) % n; i != x.from.Segment; i = (i + 1) % n {
		put(p.Outline.Segments[i], i)
	}
	if x.from.T > end {
		head, _ := p.Outline.Segments[x.from.Segment].Split(x.from.T)
		put(head, x.from.Segment)
	}
	return segments, owners
}

// runOf returns where an edge's segments begin, going round, and how many
// they are.
func runOf(owners []int, edge int) (first, count int) {
	n := len(owners)
	for i, k := range owners {
		if k != edge {
			continue
		}
		count++
		if owners[(i+n-1)%n] != edge {
			first = i
		}
	}
	return first, count
}

// within tells whether a run begins or ends inside an edge, which then is
// shorter by what is taken out.
func (p *Piece) within(edge int, x trim) bool {
	inside := func(at curve.Position, end float64) bool { return p.EdgeOf(at.Segment) == edge && at.T != end }
	return inside(x.from, 1) && inside(x.to, 0)
}

// dropStrays takes off registration marks that met the outline before and do
// not meet it any more.
func (t *trimmed) dropStrays(was *Piece) {
	t.piece.Marks = slices.DeleteFunc(t.piece.Marks, func(m Mark) bool {
		before, err1 := was.MarkEdge(m)
		now, err2 := t.piece.MarkEdge(m)
		gone := err1 == nil && err2 == nil && before.OffMM <= markToleranceMM && now.OffMM > markToleranceMM
		if gone {
			t.marks++
		}
		return gone
	})
}

// take puts a trimmed piece in the place of the old one; edges that are gone
// leave their seams, and a seam with an empty side goes.
func (p *Pattern) take(t trimmed) error {
	q, err := p.Piece(t.piece.ID)
	if err != nil {
		return err
	}
	*q = t.piece
	p.dropEdges(t.gone)
	return nil
}

func (p *Pattern) dropEdges(gone []string) {
	if len(gone) == 0 {
		return
	}
	p.eachRun(func(r Run) Run {
		return slices.DeleteFunc(slices.Clone(r), func(e EdgeRef) bool { return slices.Contains(gone, e.Edge) })
	})
	p.Seams = slices.DeleteFunc(p.Seams, func(s Seam) bool { return len(s.A) == 0 || len(s.B) == 0 })
}

// loop returns the smaller of the two parts into which the outline divides
// itself where it first crosses itself; false when it does not.
func (p *Piece) loop() (trim, bool) {
	x, found := p.Outline.SelfCrossing(otherFaceToleranceMM)
	if !found {
		return trim{}, false
	}
	if x.A.Segment != x.B.Segment {
		// The crossing is found on chords: the nearest places of the curve itself
		// keep its shape.
		x.A.T, _ = p.Outline.Segments[x.A.Segment].Nearest(x.At)
		x.B.T, _ = p.Outline.Segments[x.B.Segment].Nearest(x.At)
	}
	one, other := trim{x.A, x.B, x.At}, trim{x.B, x.A, x.At}
	a, err1 := p.trim(one)
	b, err2 := p.trim(other)
	switch {
	case err1 != nil:
		return other, err2 == nil
	case err2 != nil || math.Abs(a.piece.Outline.Area()) >= math.Abs(b.piece.Outline.Area()):
		return one, true
	}
	return other, true
}

// Bounds of a spike: what is wider or longer is part of the form.
const (
	spikeDeg      = 150
	spikeWideMM   = 1
	spikeMostMM   = 15
	spikeStepMM   = 0.25
	spikeRootMM   = 1.5
	spikeOpensMM  = 2
	spikeOpenedMM = 2.5
)

// spike is a place where the outline runs out and back again.
type spike struct {
	trim
	tip    mat.Point
	longMM float64
}

// spikes returns the places where the outline runs out and back by at least
// leastMM without opening to 1 mm, and then opens at once. A tip that opens
// evenly is none, nor is a slit longer than 15 mm.
func (p *Piece) spikes(leastMM float64) []spike {
	var out []spike
	starts := p.segmentStartsMM()
	long := p.PerimeterMM()
	for i := range p.Outline.Segments {
		if p.turnedBack(i) < spikeDeg {
			continue
		}
		if s, ok := p.spikeAt(i, starts[i], long); ok && s.longMM >= leastMM {
			out = append(out, s)
		}
	}
	return out
}

// turnedBack is the change of direction where segment i begins, degrees from
// 0 to 180.
func (p *Piece) turnedBack(i int) float64 {
	n := len(p.Outline.Segments)
	a, b := p.Outline.Segments[(i+n-1)%n].Tangent(1), p.Outline.Segments[i].Tangent(0)
	return math.Abs(math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)) / radPerDeg
}

func (p *Piece) spikeAt(node int, startMM, longMM float64) (spike, bool) {
	at := func(s float64) (curve.Position, error) {
		return p.Outline.PositionAt(math.Mod(s+2*longMM, longMM))
	}
	wide := func(h float64) float64 {
		a, err1 := at(startMM - h)
		b, err2 := at(startMM + h)
		if err1 != nil || err2 != nil {
			return math.Inf(1)
		}
		return gap(p.Outline.Eval(a), p.Outline.Eval(b))
	}
	h := 0.0
	for h < spikeMostMM && wide(h+spikeStepMM) <= spikeWideMM {
		h += spikeStepMM
	}
	if h == 0 || h >= spikeMostMM || 4*h > longMM || wide(h+spikeOpensMM) < spikeOpenedMM {
		return spike{}, false
	}
	a, err1 := at(p.root(startMM-h, startMM, longMM))
	b, err2 := at(p.root(startMM+h, startMM, longMM))
	if err1 != nil || err2 != nil {
		return spike{}, false
	}
	n := len(p.Outline.Segments)
	if a.T == 0 {
		a = curve.Position{Segment: (a.Segment + n - 1) % n, T: 1}
	}
	if b.T == 1 {
		b = curve.Position{Segment: (b.Segment + 1) % n}
	}
	root, tip := p.joinAt(a, b), p.nodeAt(node)
	return spike{trim{a, b, root}, tip, gap(tip, root)}, true
}

// root returns the arc length of the corner at the root of a spike where there
// is one close to an end of it, else that of the end. Arc lengths may run past
// the outline's ends.
func (p *Piece) root(endMM, tipMM, longMM float64) float64 {
	best := math.Inf(1)
	for i, node := range p.segmentStartsMM() {
		off := math.Remainder(node-endMM, longMM)
		atTip := math.Abs(math.Remainder(node-tipMM, longMM)) < spikeStepMM
		if cornerAt(p.Outline, i) && !atTip && math.Abs(off) < math.Abs(best) {
			best = off
		}
	}
	if math.Abs(best) > spikeRootMM {
		return endMM
	}
	return endMM + best
}

// joinAt returns where the outline before one place and after another meet
// when they are prolonged straight on; where that lies far off, the middle
// between both places.
func (p *Piece) joinAt(from, to curve.Position) mat.Point {
	a, b := p.Outline.Eval(from), p.Outline.Eval(to)
	before := p.Outline.Segments[from.Segment].Tangent(from.T)
	after := p.Outline.Segments[to.Segment].Tangent(to.T)
	if q, ok := meetOf(a, before, b, after); ok && max(gap(q, a), gap(q, b)) <= 2*gap(a, b) {
		return q
	}
	return mat.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
}

// sliver returns what taking an edge out means: its neighbours then meet.
func (p *Piece) sliver(edge int) trim {
	e, n := p.Edges[edge], len(p.Outline.Segments)
	from := curve.Position{Segment: (e.First + n - 1) % n, T: 1}
	to := curve.Position{Segment: (e.First + e.Count) % n}
	return trim{from, to, p.joinAt(from, to)}
}

// meetOf returns where two straight lines meet; false for nearly parallel
// ones.
func meetOf(a, da, b, db mat.Point) (mat.Point, bool) {
	det := da.X*db.Y - da.Y*db.X
	if math.Abs(det) < 0.05 {
		return mat.Point{}, false
	}
	u := ((b.X-a.X)*db.Y - (b.Y-a.Y)*db.X) / det
	return mat.Point{X: a.X + u*da.X, Y: a.Y + u*da.Y}, true
}
