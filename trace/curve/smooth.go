package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// knot is a smoothed point of a span.
type knot struct {
	s float64
	p mat.Point
	// d is the unit direction of travel.
	d mat.Point
	// sigma is p's standard error across the outline in mm.
	sigma float64
	// end marks a corner: its place is known, its direction less well.
	end bool
}

// span is a stretch of trail between two corners, samples from..to, or all
// of a smooth loop.
type span struct {
	from, to   int
	start, end *corner
	// lead is how many samples outside from..to smoothing may use: those of
	// the other end of a smooth loop.
	lead  int
	knots []knot
}

// knotStepMM is the distance between smoothed points.
const knotStepMM = 0.75

// smoothSpan fills in the span's knots.
func (t *trail) smoothSpan(p *span) {
	p.knots = p.knots[:0]
	if p.start != nil {
		p.knots = append(p.knots, knot{p: p.start.at, d: p.start.out, end: true, s: t.arcAt(p.from) - dist(p.start.at, t.at[t.wrap(p.from)])})
	}
	if p.to-p.from >= 3 {
		t.addKnots(p)
	}
	if n := len(p.knots); p.lead > 0 && n > 1 {
		last := &p.knots[n-1]
		last.p, last.d = p.knots[0].p, p.knots[0].d
	}
	if p.end != nil {
		p.knots = append(p.knots, knot{p: p.end.at, d: p.end.in, end: true, s: t.arcAt(p.to) + dist(p.end.at, t.at[t.wrap(p.to)])})
	}
}

func (t *trail) addKnots(p *span) {
	a, b := t.arcAt(p.from), t.arcAt(p.to)
	n := max(2, int((b-a)/knotStepMM+0.5))
	first, last := p.from-p.lead, p.to+p.lead
	lo, hi := first, first
	h := 2.0
	var before mat.Point
	for k := 0; k <= n; k++ {
		s := a + (b-a)*float64(k)/float64(n)
		for lo > first && t.arcAt(lo) > s-h {
			lo--
		}
		for lo < last && t.arcAt(lo) < s-h {
			lo++
		}
		for hi < last && t.arcAt(hi+1) <= s+h {
			hi++
		}
		for hi > lo && t.arcAt(hi) > s+h {
			hi--
		}
		q, bend, ok := t.smoothAt(s, h, lo, hi, p)
		if !ok {
			continue
		}
		// A parabola over ±h follows an arc of radius R to about h⁴/(60R³)
		// once tapered; half a radius keeps that below a hundredth of R/20.
		h = math.Min(2, math.Max(0.8, 0.6/math.Max(bend, 1e-3)))
		if dot(before, q.d) < 0 {
			q.d = scale(q.d, -1)
		}
		before = q.d
		p.knots = append(p.knots, q)
	}
}

// smoothAt fits parabolas x(s), y(s) to the samples around arc length s with
// tapered, robust weights.
func (t *trail) smoothAt(s, h float64, lo, hi int, p *span) (q knot, bend float64, ok bool) {
	for hi-lo < 7 && (lo > p.from-p.lead || hi < p.to+p.lead) {
		lo, hi = max(p.from-p.lead, lo-1), min(p.to+p.lead, hi+1)
	}
	reach := 1e-9 + math.Max(h, math.Max(s-t.arcAt(lo), t.arcAt(hi)-s))
	var f parabola
	for pass := range 2 {
		var m parabolaSums
		for i := lo; i <= hi; i++ {
			j := t.wrap(i)
			w := t.w[j]
			if w == 0 {
				continue
			}
			u := (t.arcAt(i) - s) / reach
			w *= taper(u)
			if pass > 0 {
				e := f.across(u, t.at[j]) / (2.5 * t.noise)
				w /= 1 + e*e
			}
			m.add(u, t.at[j], w)
		}
		if m.s0 < 1.5 || !f.solve(m) {
			return q, 0, false
		}
	}
	d := scale(f.b, 1/reach)
	dd := scale(f.c, 2/(reach*reach))
	speed := norm(d)
	if speed < 0.2 {
		return q, 0, false
	}
	bend = math.Abs(cross(d, dd)) / (speed * speed * speed)
	return knot{s: s, p: f.a, d: scale(d, 1/speed), sigma: t.noise * math.Sqrt(t.spread*f.lever)}, bend, true
}

func taper(u float64) float64 {
	k := 1 - u*u
	if k <= 0 {
		return 0
	}
	return k * k
}

// parabolaSums are the normal equations' sums of x(u), y(u) of degree two.
type parabolaSums struct {
	s0, s1, s2, s3, s4 float64
	r0, r1, r2         mat.Point
}

func (m *parabolaSums) add(u float64, p mat.Point, w float64) {
	wu, wuu := w*u, w*u*u
	m.s0, m.s1, m.s2, m.s3, m.s4 = m.s0+w, m.s1+wu, m.s2+wuu, m.s3+wuu*u, m.s4+wuu*u*u
	m.r0, m.r1, m.r2 = along(m.r0, p, w), along(m.r1, p, wu), along(m.r2, p, wuu)
}

// parabola is a + b·u + c·u².
type parabola struct {
	a, b, c mat.Point
	// lever is the variance of a for unit variance data of unit weight.
	lever float64
}

func (f *parabola) solve(m parabolaSums) bool {
	c00, c01, c02 := m.s2*m.s4-m.s3*m.s3, m.s2*m.s3-m.s1*m.s4, m.s1*m.s3-m.s2*m.s2
	c11, c12, c22 := m.s0*m.s4-m.s2*m.s2, m.s1*m.s2-m.s0*m.s3, m.s0*m.s2-m.s1*m.s1
	det := m.s0*c00 + m.s1*c01 + m.s2*c02
	if det <= 1e-12*m.s0*m.s0*m.s0 {
		return false
	}
	mix := func(x, y, z float64) mat.Point {
		return scale(along(along(scale(m.r0, x), m.r1, y), m.r2, z), 1/det)
	}
	f.a, f.b, f.c = mix(c00, c01, c02), mix(c01, c11, c12), mix(c02, c12, c22)
	f.lever = c00 / det
	return true
}

// across returns the distance of p from the parabola, across it at u.
func (f *parabola) across(u float64, p mat.Point) float64 {
	at := along(along(f.a, f.b, u), f.c, u*u)
	d := along(f.b, f.c, 2*u)
	n := norm(d)
	if n == 0 {
		return dist(at, p)
	}
	return cross(d, sub(p, at)) / n
}
