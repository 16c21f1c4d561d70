package find

import (
	"math"

	"flatwright/rectify/photo"
)

// filled is how much of the triangle from a by the corner x to b has the
// piece's light, near border points i and j: 1 of a corner that sticks out, two
// thirds where it is rounded by a parabola, a third and nothing where it goes
// in. Blur moves light about but does not change its sum, so that small
// corners are told, too. What is printed beside it is allowed for, and a shade
// on the ground. False where piece and ground are too much alike.
func (l *sight) filled(i, j int, a, x, b photo.Point) (float64, bool) {
	area := math.Abs((x.X-a.X)*(b.Y-a.Y)-(x.Y-a.Y)*(b.X-a.X)) / 2
	const leastPx2, leastStep = 4, 30
	if area < leastPx2 {
		return 0, false
	}
	var in [3]float32
	for k := range in {
		in[k] = (l.b.in[i][k] + l.b.in[j][k]) / 2
	}
	in = l.f.light(in)
	t := corner{a: a, x: x, b: b}
	coded := l.f.groundAt(x)
	t.bare, t.line = l.f.light(coded), l.f.light(coded)
	if l.f.print != nil {
		t.line = l.f.inkLight(coded)
	}
	if apart2(in, t.bare) < leastStep*leastStep {
		return 0, false
	}
	shade, ok := t.shade(l.f)
	if !ok {
		return 0, false
	}
	const step, beside = 0.5, 2.0
	sum := 0.0
	t.each(step, beside, func(p photo.Point, away float64) {
		ground := t.ground(l.f, p, shade)
		d := in
		seen := l.f.lightAt(p.X, p.Y)
		for k := range d {
			d[k] -= ground[k]
			seen[k] -= ground[k]
		}
		if d2 := dot(d, d); d2 > leastStep*leastStep {
			sum += step * step * float64(min(max(dot(seen, d)/d2, -0.3), 1.3))
		} else if away <= 0 {
			sum += step * step // cannot be told, as likely as not
		}
	})
	return sum / area, true
}

// corner is the triangle of a corner and the colours outside it.
type corner struct {
	a, x, b    photo.Point
	bare, line [3]float32
}

// each calls do with the places of a lattice in the triangle, or up to beside
// px from it on the far side of a to b, and how far outside they lie.
func (t *corner) each(step, beside float64, do func(p photo.Point, away float64)) {
	x0, x1 := min(t.a.X, t.x.X, t.b.X)-beside, max(t.a.X, t.x.X, t.b.X)+beside
	y0, y1 := min(t.a.Y, t.x.Y, t.b.Y)-beside, max(t.a.Y, t.x.Y, t.b.Y)+beside
	way := side(t.a, t.b, t.x)
	for y := y0; y <= y1; y += step {
		for x := x0; x <= x1; x += step {
			p := photo.Point{X: x, Y: y}
			if side(t.a, t.b, p)*way <= 0 {
				continue
			}
			away := -1.0
			if side(t.a, t.x, p)*side(t.a, t.x, t.b) < 0 || side(t.x, t.b, p)*side(t.x, t.b, t.a) < 0 {
				away = min(fromStretch(p, t.a, t.x), fromStretch(p, t.x, t.b))
			}
			if away <= beside {
				do(p, away)
			}
		}
	}
}

// side tells on which side of the way from a to b a point lies, twice the
// area of the three.
func side(a, b, p photo.Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }

// fromStretch is the distance of a point from the stretch a to b.
func fromStretch(p, a, b photo.Point) float64 {
	x, y := b.X-a.X, b.Y-a.Y
	s := 0.0
	if d := x*x + y*y; d > 0 {
		s = min(max(((p.X-a.X)*x+(p.Y-a.Y)*y)/d, 0), 1)
	}
	return math.Hypot(p.X-a.X-s*x, p.Y-a.Y-s*y)
}

// ground is the light of the ground at a place, its print and shade included.
func (t *corner) ground(f *finder, p photo.Point, shade float32) [3]float32 {
	c := t.bare
	if f.print != nil {
		if m, ok := f.in.View.ToMat(p); ok {
			part := f.print.cover(m, overBlurPx*f.scale())
			for k := range c {
				c[k] += part * (t.line[k] - t.bare[k])
			}
		}
	}
	for k := range c {
		c[k] *= shade
	}
	return c
}

// shade is how bright the ground is round the corner, as a part of what it is
// about there.
func (t *corner) shade(f *finder) (float32, bool) {
	const step, from, to = 1.0, 2.5, 4.5
	var v []float64
	t.each(step, to, func(p photo.Point, away float64) {
		if away < from {
			return
		}
		seen, ground := f.lightAt(p.X, p.Y), t.ground(f, p, 1)
		if g := dot(ground, ground); g > 1 {
			v = append(v, float64(dot(seen, ground)/g))
		}
	})
	if len(v) < 5 {
		return 0, false
	}
	return float32(min(max(median(v), 0.4), 1.3)), true
}
