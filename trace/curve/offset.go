package curve

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// OffsetError says why and where a path has no offset.
type OffsetError struct {
	At  mat.Point
	Why string
	// Segment is the segment of the path that was offset.
	Segment int
}

func (e *OffsetError) Error() string {
	return fmt.Sprintf("offset at (%.2f, %.2f) mm: %s", e.At.X, e.At.Y, e.Why)
}

// smoothTurnRad is the change of direction below which two segments count as
// running on smoothly.
const smoothTurnRad = 1 * math.Pi / 180

// Offset returns the path at a distance to the left of travel in the storage
// frame, which is into the material for outlines (clockwise to the eye) and
// openings (the other way round) alike; negative distances lie outside. The
// distance in mm may vary along the segments. Corners are mitred: the
// tangents of the offset sides are prolonged to where they meet; on the
// inner side of a corner the sides are cut off where they cross. Where the
// distance jumps on a smooth stretch there is a step.
//
// The result is a chain of straight lines within toleranceMM of the true
// offset; wiggles of the path, and curls at its corners, that bend more tightly
// than the distance are cut across, see wiggleMM. An *OffsetError tells where a side vanishes or the result crosses
// itself.
func Offset(p Path, distanceMM func(segment int, t float64) float64, toleranceMM float64) (Path, error) {
	if len(p.Segments) == 0 || !(toleranceMM > 0) {
		return Path{}, fmt.Errorf("offset: the path has %d segments and the tolerance is %g mm", len(p.Segments), toleranceMM)
	}
	sides := make([]offsetSide, len(p.Segments))
	for i, s := range p.Segments {
		d := func(t float64) float64 { return distanceMM(i, t) }
		sides[i] = newOffsetSide(s, d, toleranceMM)
		sides[i].segment = i
		if len(sides[i].q) < 2 {
			return Path{}, &OffsetError{s.P0, "the outline has a segment without length; remove the doubled node", i}
		}
	}
	sides = runOn(sides)
	for i := range sides {
		sides[i].unloop()
		sides[i].bridge()
		sides[i].trimEnds()
	}
	for i := range sides {
		j := i + 1
		if j == len(sides) {
			if !p.Closed {
				break
			}
			j = 0
		}
		if err := join(sides, i, j, toleranceMM); err != nil {
			return Path{}, err
		}
	}
	return assemble(p, sides, toleranceMM)
}

// assemble chains the sides and refuses a result that crosses itself.
func assemble(p Path, sides []offsetSide, toleranceMM float64) (Path, error) {
	var pts []mat.Point
	var owner []int
	for _, s := range sides {
		s.tidy(2 * toleranceMM)
		if s.fault() {
			return Path{}, &OffsetError{p.Segments[s.segment].Eval(0.5), "this side is too short, or bends too tightly, for its distance and vanishes", s.segment}
		}
		for _, q := range append(s.q, s.mitre...) {
			if n := len(pts); n == 0 || dist(pts[n-1], q) > 1e-9 {
				pts, owner = append(pts, q), append(owner, s.segment)
			}
		}
	}
	if n := len(pts); p.Closed && n > 1 && dist(pts[0], pts[n-1]) <= 1e-9 {
		pts = pts[:n-1]
	}
	if len(pts) < 2 || p.Closed && len(pts) < 3 {
		return Path{}, &OffsetError{p.Segments[0].P0, "nothing is left", 0}
	}
	out := Polyline(pts...)
	if p.Closed {
		out = Polygon(pts...)
	}
	if c, found := out.SelfCrossing(toleranceMM); found {
		return Path{}, &OffsetError{c.At, "the offset outline crosses itself", owner[c.A.Segment]}
	}
	if p.Closed && math.Signbit(out.Area()) != math.Signbit(p.Area()) {
		return Path{}, &OffsetError{p.Segments[0].P0, "the outline is too narrow for its distance and turns inside out", 0}
	}
	return out, nil
}

// offsetSide is the offset of a run of segments that go on into each other.
type offsetSide struct {
	// segment is the first of them.
	segment int
	q       []mat.Point
	// base are the points of the path itself that q belongs to.
	base []mat.Point
	// travel is the segment's own direction at each point of q.
	travel []mat.Point
	// in and out are the directions at its ends.
	in, out mat.Point
	// first and last are the segment's own directions of travel at its ends.
	first, last mat.Point
	// mitre are points between this side and the next.
	mitre []mat.Point
}

func newOffsetSide(s Segment, d func(t float64) float64, toleranceMM float64) offsetSide {
	at := func(t float64) mat.Point { return along(s.Eval(t), leftOf(s.Tangent(t)), d(t)) }
	o := offsetSide{first: s.Tangent(0), last: s.Tangent(1)}
	steps := 1
	if !s.Line {
		steps = 4
	}
	ts := []float64{0}
	for i := range steps {
		t0, t1 := float64(i)/float64(steps), float64(i+1)/float64(steps)
		ts = appendOffset(ts, at, t0, t1, at(t0), at(t1), toleranceMM, 12)
	}
	for _, t := range ts {
		if q := at(t); len(o.q) == 0 || dist(q, o.q[len(o.q)-1]) > 1e-9 {
			o.q, o.travel = append(o.q, q), append(o.travel, s.Tangent(t))
			o.base = append(o.base, s.Eval(t))
		}
	}
	if n := len(o.q); n > 1 {
		o.in, o.out = endDirection(at, 0, o.first), endDirection(at, 1, o.last)
	}
	return o
}

// endDirection returns the direction of the offset at an end, by differences
// where the distance varies; where the offset stands still it is the
// segment's own.
func endDirection(at func(float64) mat.Point, t float64, own mat.Point) mat.Point {
	const h = 1e-5
	a, b := at(max(0, t-h)), at(min(1, t+h))
	if d := sub(b, a); norm(d) > 1e-12 {
		return unit(d)
	}
	return own
}

// appendOffset adds parameters after t0 up to t1, with points a and b there,
// so that chords keep within the tolerance at a quarter, half and three
// quarters of each.
func appendOffset(q []float64, at func(float64) mat.Point, t0, t1 float64, a, b mat.Point, toleranceMM float64, depth int) []float64 {
	tm := (t0 + t1) / 2
	m := at(tm)
	if depth > 0 {
		off := pointToChord(m, a, b)
		off = max(off, pointToChord(at((t0+tm)/2), a, b))
		off = max(off, pointToChord(at((tm+t1)/2), a, b))
		if off > 0.8*toleranceMM {
			q = appendOffset(q, at, t0, tm, a, m, toleranceMM, depth-1)
			return appendOffset(q, at, tm, t1, m, b, toleranceMM, depth-1)
		}
	}
	return append(q, t1)
}

// fault tells whether the side runs backwards somewhere, which it does where
// trimming has left less than nothing and where the segment bends more
// tightly than its distance.
func (s offsetSide) fault() bool {
	if len(s.q) < 2 {
		return true
	}
	for i := 1; i < len(s.q); i++ {
		if s.backwards(i) {
			return true
		}
	}
	return false
}

// join makes side i meet side j.
func join(sides []offsetSide, i, j int, toleranceMM float64) error {
	a, b := &sides[i], &sides[j]
	pa, pb := a.q[len(a.q)-1], b.q[0]
	if dist(pa, pb) < 1e-9 {
		return nil
	}
	bend := turn(a.last, b.first)
	if math.Abs(bend) < smoothTurnRad {
		return nil
	}
	u, v, ok := meet(pa, a.out, pb, b.in)
	if ok && u >= -1e-12 && v <= 1e-12 {
		a.mitre = append(a.mitre, along(pa, a.out, u))
		return nil
	}
	if len(a.q) == 2 && len(b.q) == 2 && ok {
		// Straight sides are cut, or prolonged, on their lines; what is
		// turned round by that has vanished.
		x := along(pa, a.out, u)
		a.q[1], b.q[0] = x, x
		return nil
	}
	if !ok {
		u, v = 0, 0 // they run side by side
	}
	if cut := nearestCut(a, b, u, v, 2*toleranceMM); cut != nil {
		cut()
		return nil
	}
	return &OffsetError{pa, "the sides of this corner do not meet any more; one of them vanishes", a.segment}
}

// Constant returns a distance that is the same all along, for Offset.
func Constant(distanceMM float64) func(int, float64) float64 {
	return func(int, float64) float64 { return distanceMM }
}
