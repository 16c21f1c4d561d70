package curve

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// lengthToleranceMM bounds the error of every arc length per segment.
const lengthToleranceMM = 1e-7

// Position is a place on a path: segment number and parameter 0 to 1.
type Position struct {
	Segment int
	T       float64
}

// Place is the point of a path nearest to some point.
type Place struct {
	Position
	At         mat.Point
	DistanceMM float64
}

// Length returns the path's length in mm, within 1e-7 mm a segment.
func (p Path) Length() float64 {
	sum := 0.0
	for _, s := range p.Segments {
		sum += s.Length(lengthToleranceMM)
	}
	return sum
}

// Area returns the signed area of a closed path in mm²: positive when it
// runs clockwise to the eye on a page with y down. It is exact but for
// rounding. Of an open path it is the area closed by the chord.
func (p Path) Area() float64 {
	if len(p.Segments) == 0 {
		return 0
	}
	o := p.Segments[0].P0
	sum := 0.0
	for _, s := range p.Segments {
		sum += s.area(o)
	}
	return sum
}

// Bounds returns the smallest upright box that holds the path, in mm, exact.
func (p Path) Bounds() Box {
	b := emptyBox()
	for _, s := range p.Segments {
		b = b.Union(s.Bounds())
	}
	return b
}

// Eval returns the point at a position, in mm.
func (p Path) Eval(at Position) mat.Point { return p.Segments[at.Segment].Eval(at.T) }

// Nearest returns the place of the path nearest to q. Segments whose box
// lies farther off than the best place so far are skipped. The distance is
// exact to rounding for lines, and for cubics to 1e-6 mm unless two parts of
// one compete within a thirtieth of its length.
func (p Path) Nearest(q mat.Point) (Place, error) {
	if len(p.Segments) == 0 {
		return Place{}, fmt.Errorf("nearest point to (%.2f, %.2f) mm: the path is empty", q.X, q.Y)
	}
	best := Place{DistanceMM: math.Inf(1)}
	for i, s := range p.Segments {
		if controlBox(s).DistanceMM(q) >= best.DistanceMM {
			continue
		}
		t, d := s.Nearest(q)
		if d < best.DistanceMM {
			best = Place{Position: Position{i, t}, At: s.Eval(t), DistanceMM: d}
		}
	}
	return best, nil
}

// controlBox holds the segment, not tightly: the hull of its control points.
func controlBox(s Segment) Box {
	return emptyBox().with(s.P0).with(s.P1).with(s.P2).with(s.P3)
}

// Nearest returns the parameter of the point nearest to q and its distance
// in mm: every local minimum of 33 equal steps is narrowed down by thirds and
// sharpened by Newton steps.
func (s Segment) Nearest(q mat.Point) (t, distanceMM float64) {
	if s.Line {
		return s.nearestOnLine(q)
	}
	const steps = 32
	var d [steps + 1]float64
	for i := range d {
		d[i] = dist(s.Eval(float64(i)/steps), q)
	}
	bestT, bestD := 0.0, math.Inf(1)
	for i := range d {
		before, after := max(0, i-1), min(steps, i+1)
		if d[before] < d[i] || d[after] < d[i] {
			continue
		}
		u, off := s.narrow(q, float64(before)/steps, float64(after)/steps)
		if off < bestD {
			bestT, bestD = u, off
		}
	}
	for i := range steps {
		// No point of a step of length at most l is nearer than this.
		if l := s.fastest() / steps; (d[i]+d[i+1]-l)/2 < bestD-1e-7 {
			s.searchStep(q, float64(i)/steps, 1.0/steps, &bestT, &bestD)
		}
	}
	return bestT, bestD
}

// fastest bounds the speed |dP/dt|.
func (s Segment) fastest() float64 {
	return 3 * max(dist(s.P0, s.P1), dist(s.P1, s.P2), dist(s.P2, s.P3))
}

// searchStep looks at eighths of the step from a on for a nearer point, which
// hides there when the segment doubles back within one step.
func (s Segment) searchStep(q mat.Point, a, step float64, bestT, bestD *float64) {
	const parts = 8
	h := step / parts
	before := dist(s.Eval(a), q)
	for k := range parts {
		lo := a + float64(k)*h
		after := dist(s.Eval(lo+h), q)
		if (before+after-s.fastest()*h)/2 < *bestD-1e-7 {
			if u, off := s.narrow(q, lo, lo+h); off < *bestD {
				*bestT, *bestD = u, off
			}
		}
		before = after
	}
}

// narrow finds the least distance of q between lo and hi.
func (s Segment) narrow(q mat.Point, lo, hi float64) (t, distanceMM float64) {
	a, b := lo, hi
	for range 24 {
		u, v := a+(b-a)/3, b-(b-a)/3
		if dist(s.Eval(u), q) < dist(s.Eval(v), q) {
			b = v
		} else {
			a = u
		}
	}
	t = (a + b) / 2
	distanceMM = dist(s.Eval(t), q)
	for _, u := range [...]float64{s.footNear(q, t, lo, hi, 8), lo, hi} {
		if d := dist(s.Eval(u), q); d < distanceMM {
			t, distanceMM = u, d
		}
	}
	return t, distanceMM
}

func (s Segment) nearestOnLine(q mat.Point) (t, distanceMM float64) {
	d := sub(s.P3, s.P0)
	if n := dot(d, d); n > 0 {
		t = min(1, max(0, dot(sub(q, s.P0), d)/n))
	}
	return t, dist(s.Eval(t), q)
}

// footNear sharpens t so that the curve's tangent there is square to the ray
// to q: Newton kept inside lo..hi (Schneider 1990, root finding; from memory).
func (s Segment) footNear(q mat.Point, t, lo, hi float64, steps int) float64 {
	for range steps {
		r, d := sub(s.Eval(t), q), s.Derivative(t)
		den := dot(d, d) + dot(r, s.Second(t))
		if den <= 0 {
			den = dot(d, d)
		}
		if den == 0 {
			return t
		}
		next := min(hi, max(lo, t-dot(r, d)/den))
		if math.Abs(next-t) < 1e-13 {
			return next
		}
		t = next
	}
	return t
}

// PositionAt returns the position at an arc length from the path's start, in
// mm, within 1e-6 mm. Lengths outside the path are held to its ends; on a
// closed path they go round.
func (p Path) PositionAt(lengthMM float64) (Position, error) {
	if len(p.Segments) == 0 {
		return Position{}, fmt.Errorf("point at %.2f mm: the path is empty", lengthMM)
	}
	if total := p.Length(); p.Closed && total > 0 {
		lengthMM = math.Mod(lengthMM, total)
		if lengthMM < 0 {
			lengthMM += total
		}
	}
	for i, s := range p.Segments {
		l := s.Length(lengthToleranceMM)
		if lengthMM <= l || i == len(p.Segments)-1 {
			return Position{i, s.parameterAt(lengthMM, l)}, nil
		}
		lengthMM -= l
	}
	return Position{}, nil
}

// PointAtLength returns the point at an arc length from the start, in mm; as
// PositionAt.
func (p Path) PointAtLength(lengthMM float64) (mat.Point, error) {
	at, err := p.PositionAt(lengthMM)
	if err != nil {
		return mat.Point{}, err
	}
	return p.Eval(at), nil
}

// LengthTo returns the arc length from the start to a position, in mm.
func (p Path) LengthTo(at Position) float64 {
	sum := 0.0
	for _, s := range p.Segments[:at.Segment] {
		sum += s.Length(lengthToleranceMM)
	}
	return sum + p.Segments[at.Segment].lengthBetween(0, at.T, lengthToleranceMM)
}

// parameterAt returns the t at which the arc length from the start is
// lengthMM: bisection sharpened by Newton.
func (s Segment) parameterAt(lengthMM, totalMM float64) float64 {
	if lengthMM <= 0 || totalMM == 0 {
		return 0
	}
	if lengthMM >= totalMM {
		return 1
	}
	lo, hi, t := 0.0, 1.0, lengthMM/totalMM
	if s.Line {
		return t
	}
	for range 50 {
		e := s.lengthBetween(0, t, lengthToleranceMM) - lengthMM
		if math.Abs(e) < 2*lengthToleranceMM {
			return t
		}
		if e > 0 {
			hi = t
		} else {
			lo = t
		}
		if v := norm(s.Derivative(t)); v > 0 {
			t -= e / v
		}
		if t <= lo || t >= hi {
			t = (lo + hi) / 2
		}
	}
	return t
}
