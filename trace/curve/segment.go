package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Line returns the straight segment from a to b.
func Line(a, b mat.Point) Segment {
	return Segment{Line: true, P0: a, P1: lerp(a, b, 1.0/3), P2: lerp(a, b, 2.0/3), P3: b}
}

// Cubic returns the cubic Bézier segment with the given control points.
func Cubic(p0, p1, p2, p3 mat.Point) Segment { return Segment{P0: p0, P1: p1, P2: p2, P3: p3} }

// Eval returns the point at parameter t, 0 to 1, in mm.
func (s Segment) Eval(t float64) mat.Point {
	if s.Line {
		return lerp(s.P0, s.P3, t)
	}
	u := 1 - t
	a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
	return mat.Point{
		X: a*s.P0.X + b*s.P1.X + c*s.P2.X + d*s.P3.X,
		Y: a*s.P0.Y + b*s.P1.Y + c*s.P2.Y + d*s.P3.Y,
	}
}

// Derivative returns the first derivative by t at t, in mm.
func (s Segment) Derivative(t float64) mat.Point {
	if s.Line {
		return sub(s.P3, s.P0)
	}
	u := 1 - t
	a, b, c := 3*u*u, 6*u*t, 3*t*t
	return mat.Point{
		X: a*(s.P1.X-s.P0.X) + b*(s.P2.X-s.P1.X) + c*(s.P3.X-s.P2.X),
		Y: a*(s.P1.Y-s.P0.Y) + b*(s.P2.Y-s.P1.Y) + c*(s.P3.Y-s.P2.Y),
	}
}

// Second returns the second derivative by t at t, in mm.
func (s Segment) Second(t float64) mat.Point {
	if s.Line {
		return mat.Point{}
	}
	a := add(sub(s.P0, scale(s.P1, 2)), s.P2)
	b := add(sub(s.P1, scale(s.P2, 2)), s.P3)
	return scale(lerp(a, b, t), 6)
}

// Tangent returns the unit direction of travel at t. Where the derivative
// vanishes (control points on top of each other) it is the direction towards
// the next distinct control point; of a segment without extent it is zero.
func (s Segment) Tangent(t float64) mat.Point {
	d := s.Derivative(t)
	if n := norm(d); n > 1e-9*(dist(s.P0, s.P1)+dist(s.P1, s.P2)+dist(s.P2, s.P3)) {
		return scale(d, 1/n)
	}
	if t > 0.5 {
		return s.endTangent()
	}
	return s.startTangent()
}

func (s Segment) startTangent() mat.Point {
	for _, q := range []mat.Point{s.P1, s.P2, s.P3} {
		if q != s.P0 {
			return unit(sub(q, s.P0))
		}
	}
	return mat.Point{}
}

func (s Segment) endTangent() mat.Point {
	for _, q := range []mat.Point{s.P2, s.P1, s.P0} {
		if q != s.P3 {
			return unit(sub(s.P3, q))
		}
	}
	return mat.Point{}
}

// Curvature returns the signed curvature at t in 1/mm; positive bends from x
// towards y, which is clockwise to the eye.
func (s Segment) Curvature(t float64) float64 {
	d := s.Derivative(t)
	n := norm(d)
	if n == 0 {
		return 0
	}
	return cross(d, s.Second(t)) / (n * n * n)
}

// Reverse returns the segment travelled the other way.
func (s Segment) Reverse() Segment {
	return Segment{Line: s.Line, P0: s.P3, P1: s.P2, P2: s.P1, P3: s.P0}
}

// Split cuts the segment at t into the part before and the part after
// (de Casteljau), exact but for rounding.
func (s Segment) Split(t float64) (Segment, Segment) {
	if s.Line {
		m := s.Eval(t)
		return Line(s.P0, m), Line(m, s.P3)
	}
	a, b, c := lerp(s.P0, s.P1, t), lerp(s.P1, s.P2, t), lerp(s.P2, s.P3, t)
	d, e := lerp(a, b, t), lerp(b, c, t)
	m := lerp(d, e, t)
	return Cubic(s.P0, a, d, m), Cubic(m, e, c, s.P3)
}

// Length returns the arc length in mm within toleranceMM, by Gauss-Legendre
// quadrature of the speed, halved until two levels agree.
func (s Segment) Length(toleranceMM float64) float64 {
	if s.Line {
		return dist(s.P0, s.P3)
	}
	return s.lengthBetween(0, 1, toleranceMM)
}

// lengthBetween returns the arc length from parameter a to b.
func (s Segment) lengthBetween(a, b, toleranceMM float64) float64 {
	if s.Line {
		return dist(s.P0, s.P3) * (b - a)
	}
	// Cut where the segment turns round: the speed has its kinks there.
	cuts := append(extrema(s.P0.X, s.P1.X, s.P2.X, s.P3.X), extrema(s.P0.Y, s.P1.Y, s.P2.Y, s.P3.Y)...)
	slices.Sort(cuts)
	sum, tolerance := 0.0, max(toleranceMM, 1e-12)/float64(len(cuts)+1)
	for _, t := range append(cuts, b) {
		if t = min(t, b); t > a {
			sum += s.adaptiveLength(a, t, s.gaussLength(a, t), tolerance, lengthDepth)
			a = t
		}
	}
	return sum
}

// lengthDepth is how often a stretch may be halved to find its length.
const lengthDepth = 24

func (s Segment) adaptiveLength(a, b, whole, toleranceMM float64, depth int) float64 {
	m := (a + b) / 2
	left, right := s.gaussLength(a, m), s.gaussLength(m, b)
	// Near a cusp two levels can agree by chance: look at three at least.
	if depth == 0 || depth <= lengthDepth-3 && math.Abs(left+right-whole) <= toleranceMM {
		return left + right
	}
	return s.adaptiveLength(a, m, left, toleranceMM/2, depth-1) +
		s.adaptiveLength(m, b, right, toleranceMM/2, depth-1)
}

// Nodes and weights of the five-point Gauss-Legendre rule on -1..1
// (Abramowitz and Stegun 1964, table 25.4; from memory, checked by a test
// that integrates a ninth-degree polynomial exactly).
var (
	gaussNode   = [5]float64{-0.906179845938664, -0.5384693101056831, 0, 0.5384693101056831, 0.906179845938664}
	gaussWeight = [5]float64{0.23692688505618908, 0.47862867049936647, 0.5688888888888889, 0.47862867049936647, 0.23692688505618908}
)

func (s Segment) gaussLength(a, b float64) float64 {
	m, h := (a+b)/2, (b-a)/2
	sum := 0.0
	for i, x := range gaussNode {
		sum += gaussWeight[i] * norm(s.Derivative(m+h*x))
	}
	return sum * h
}

// area returns the segment's share of the shoelace integral ½∮(x dy − y dx)
// about the point o. The integrand is a polynomial of degree five, so that
// the five-point rule is exact.
func (s Segment) area(o mat.Point) float64 {
	if s.Line {
		return cross(sub(s.P0, o), sub(s.P3, o)) / 2
	}
	sum := 0.0
	for i, x := range gaussNode {
		t := (1 + x) / 2
		sum += gaussWeight[i] * cross(sub(s.Eval(t), o), s.Derivative(t))
	}
	return sum / 4
}

// flattenCount returns how many equal steps of t keep the chord error within
// toleranceMM: the error of a chord over a step h is at most h²·max|B”|/8.
func (s Segment) flattenCount(toleranceMM float64) int {
	if s.Line {
		return 1
	}
	a := norm(add(sub(s.P0, scale(s.P1, 2)), s.P2))
	b := norm(add(sub(s.P1, scale(s.P2, 2)), s.P3))
	n := math.Ceil(math.Sqrt(6 * max(a, b) / (8 * toleranceMM)))
	return int(min(max(n, 1), 1e5))
}

// Bounds returns the smallest box that holds the segment, exact: ends and
// the roots of the derivative.
func (s Segment) Bounds() Box {
	b := emptyBox().with(s.P0).with(s.P3)
	if s.Line {
		return b
	}
	for _, t := range extrema(s.P0.X, s.P1.X, s.P2.X, s.P3.X) {
		b = b.with(s.Eval(t))
	}
	for _, t := range extrema(s.P0.Y, s.P1.Y, s.P2.Y, s.P3.Y) {
		b = b.with(s.Eval(t))
	}
	return b
}

// extrema returns the parameters inside 0..1 where one coordinate of a cubic
// turns round.
func extrema(p0, p1, p2, p3 float64) []float64 {
	a, b, c := p3-3*p2+3*p1-p0, 2*(p2-2*p1+p0), p1-p0
	var out []float64
	for _, t := range quadraticRoots(a, b, c) {
		if t > 0 && t < 1 {
			out = append(out, t)
		}
	}
	return out
}

// quadraticRoots returns the real roots of a·t²+b·t+c without cancellation.
func quadraticRoots(a, b, c float64) []float64 {
	if math.Abs(a) < 1e-14*(math.Abs(b)+math.Abs(c)) {
		if b == 0 {
			return nil
		}
		return []float64{-c / b}
	}
	d := b*b - 4*a*c
	if d < 0 {
		return nil
	}
	q := -(b + math.Copysign(math.Sqrt(d), b)) / 2
	if q == 0 {
		return []float64{0}
	}
	return []float64{q / a, c / q}
}
