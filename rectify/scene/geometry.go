package scene

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// bounds is an upright box in mm.
type bounds struct{ minX, minY, maxX, maxY float64 }

func emptyBounds() bounds {
	return bounds{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
}

func (b *bounds) add(p mat.Point) {
	b.minX, b.maxX = min(b.minX, p.X), max(b.maxX, p.X)
	b.minY, b.maxY = min(b.minY, p.Y), max(b.maxY, p.Y)
}

func (b bounds) grow(mm float64) bounds {
	return bounds{b.minX - mm, b.minY - mm, b.maxX + mm, b.maxY + mm}
}

func boundsOf(ps []mat.Point) bounds {
	b := emptyBounds()
	for _, p := range ps {
		b.add(p)
	}
	return b
}

func minOf(v []float64) float64 { return slices.Min(v) }
func maxOf(v []float64) float64 { return slices.Max(v) }

func add(a, b mat.Point) mat.Point             { return mat.Point{X: a.X + b.X, Y: a.Y + b.Y} }
func sub(a, b mat.Point) mat.Point             { return mat.Point{X: a.X - b.X, Y: a.Y - b.Y} }
func scale(a mat.Point, k float64) mat.Point   { return mat.Point{X: a.X * k, Y: a.Y * k} }
func dot(a, b mat.Point) float64               { return a.X*b.X + a.Y*b.Y }
func cross(a, b mat.Point) float64             { return a.X*b.Y - a.Y*b.X }
func dist(a, b mat.Point) float64              { return math.Hypot(a.X-b.X, a.Y-b.Y) }
func lerp(a, b mat.Point, t float64) mat.Point { return add(a, scale(sub(b, a), t)) }

// signedArea is the shoelace area in mm²: above 0 clockwise to the eye.
func signedArea(ring []mat.Point) float64 {
	var s float64
	for i, p := range ring {
		s += cross(p, ring[(i+1)%len(ring)])
	}
	return s / 2
}

// contains is the even-odd rule.
func contains(ring []mat.Point, p mat.Point) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// length is the length of an outline all the way round.
func length(ring []mat.Point) float64 {
	var s float64
	for i, p := range ring {
		s += dist(p, ring[(i+1)%len(ring)])
	}
	return s
}

// along returns the point s mm along a closed ring and the unit direction
// there; s may lie outside one turn.
func along(ring []mat.Point, s float64) (at, dir mat.Point) {
	total := length(ring)
	s = math.Mod(math.Mod(s, total)+total, total)
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		d := dist(p, q)
		if s <= d && d > 0 {
			u := scale(sub(q, p), 1/d)
			return add(p, scale(u, s)), u
		}
		s -= d
	}
	return ring[0], scale(sub(ring[1], ring[0]), 1/dist(ring[0], ring[1]))
}

// nearestOnRing returns the closest point of a closed ring.
func nearestOnRing(ring []mat.Point, p mat.Point) mat.Point {
	best, at := math.Inf(1), p
	for i, a := range ring {
		q := nearestOnSegment(a, ring[(i+1)%len(ring)], p)
		if d := dist(p, q); d < best {
			best, at = d, q
		}
	}
	return at
}

func nearestOnSegment(a, b, p mat.Point) mat.Point {
	d := sub(b, a)
	l := dot(d, d)
	if l == 0 {
		return a
	}
	return add(a, scale(d, min(max(dot(sub(p, a), d)/l, 0), 1)))
}

// motion is a rigid motion: a turn about the origin, then a shift.
type motion struct{ cos, sin, dx, dy float64 }

func (m motion) apply(p mat.Point) mat.Point {
	return mat.Point{X: m.cos*p.X - m.sin*p.Y + m.dx, Y: m.sin*p.X + m.cos*p.Y + m.dy}
}

// then is the motion m followed by n.
func (m motion) then(n motion) motion {
	shift := n.apply(mat.Point{X: m.dx, Y: m.dy})
	return motion{n.cos*m.cos - n.sin*m.sin, n.sin*m.cos + n.cos*m.sin, shift.X, shift.Y}
}

func (m motion) applyAll(ps []mat.Point) []mat.Point {
	out := make([]mat.Point, len(ps))
	for i, p := range ps {
		out[i] = m.apply(p)
	}
	return out
}

func turn(deg float64) motion {
	s, c := math.Sincos(radians(deg))
	return motion{cos: c, sin: s}
}
