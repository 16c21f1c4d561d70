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
	// trust is 1 for a knot as sure as most, less for one on a bridge: its
	// distances count for that much.
	trust float64
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
		p.knots = append(p.knots, knot{p: p.start.at, d: p.start.out, trust: 1, end: true, s: t.arcAt(p.from) - dist(p.start.at, t.at[t.wrap(p.from)])})
	}
	if p.to-p.from >= 3 {
		t.addKnots(p)
	}
	p.dropVague()
	if p.start == nil && p.end == nil && len(p.knots) < 6 || len(p.knots) < 2 {
		t.rawKnots(p)
	}
	if n := len(p.knots); p.lead > 0 && n > 1 {
		last := &p.knots[n-1]
		last.p, last.d = p.knots[0].p, p.knots[0].d
	}
	if p.end != nil {
		p.knots = append(p.knots, knot{p: p.end.at, d: p.end.in, trust: 1, end: true, s: t.arcAt(p.to) + dist(p.end.at, t.at[t.wrap(p.to)])})
	}
}

// rawKnots takes the samples as they are for knots, where too few were
// measured to smooth.
func (t *trail) rawKnots(p *span) {
	keep := p.knots[:0]
	for _, k := range p.knots {
		if k.end && p.start != nil {
			keep = append(keep, k)
		}
	}
	p.knots = keep
	for i := p.from; i <= p.to; i++ {
		d := sub(t.at[t.wrap(min(i+1, p.to))], t.at[t.wrap(max(i-1, p.from))])
		if p.lead > 0 {
			d = sub(t.at[t.wrap(i%len(t.at)+1)], t.at[t.wrap(i%len(t.at)-1)])
		}
		p.knots = append(p.knots, knot{s: t.arcAt(i), p: t.at[t.wrap(i)], d: unit(d), sigma: t.noise, trust: 1})
	}
}

// vagueMM is the least standard error of a knot that says next to nothing.
const vagueMM = 0.2

// dropVague removes knots that say next to nothing.
func (p *span) dropVague() {
	var v []float64
	for _, q := range p.knots {
		if !q.end {
			v = append(v, q.sigma)
		}
	}
	typical := median(v)
	kept := p.knots[:0]
	for i, q := range p.knots {
		if q.end || q.sigma <= max(vagueMM, 2.5*typical) || p.lead > 0 && (i == 0 || i == len(p.knots)-1) {
			kept = append(kept, q)
		}
	}
	p.knots = kept
}

func (t *trail) addKnots(p *span) {
	a, b := t.arcAt(p.from), t.arcAt(p.to)
	n := max(2, int((b-a)/knotStepMM+0.5))
	lo, hi := p.from-p.lead, p.from-p.lead
	var before mat.Point
	for k := 0; k <= n; k++ {
		s := a + (b-a)*float64(k)/float64(n)
		q, ok := t.smoothKnot(s, p, &lo, &hi)
		if !ok {
			continue
		}
		if dot(before, q.d) < 0 {
			q.d = scale(q.d, -1)
		}
		before = q.d
		p.knots = append(p.knots, q)
	}
}

// smoothWindows are half widths in mm of the smoothing window and the least
// radius in mm each may be used at: a parabola over ±h strays from an arc of
// radius R by about h⁴/(60R³), tapered, which stays below 0.01 mm.
var smoothWindows = [...]struct{ half, radius float64 }{{4, 8}, {2.2, 4}, {1.4, 2}, {0.9, 0}}

// smoothKnot smooths at arc length s with the widest window that the bend
// there allows; lo and hi remember the widest window's samples.
func (t *trail) smoothKnot(s float64, p *span, lo, hi *int) (q knot, ok bool) {
	first, last := p.from-p.lead, p.to+p.lead
	h := smoothWindows[0].half
	for *lo < last && t.arcAt(*lo) < s-h {
		*lo++
	}
	for *hi < last && t.arcAt(*hi+1) <= s+h {
		*hi++
	}
	a, b := *lo, max(*hi, *lo)
	for _, w := range smoothWindows {
		for a < b && t.arcAt(a) < s-w.half {
			a++
		}
		for b > a && t.arcAt(b) > s+w.half {
			b--
		}
		a, b = max(first, min(a, b-7)), min(last, max(b, a+7))
		next, bend, fine := t.smoothAt(s, w.half, a, b)
		if !fine {
			return q, ok
		}
		q, ok = next, true
		if bend*w.radius <= 1 {
			break
		}
	}
	return q, ok
}

// smoothAt fits parabolas x(s), y(s) to the samples around arc length s with
// tapered, robust weights.
func (t *trail) smoothAt(s, h float64, lo, hi int) (q knot, bend float64, ok bool) {
	reach := 1e-9 + max(h, max(s-t.arcAt(lo), t.arcAt(hi)-s))
	var f parabola
	var sure, all, first float64
	for pass := range 3 {
		var m parabolaSums
		for i := lo; i <= hi; i++ {
			j := t.wrap(i)
			w := t.w[j]
			if w == 0 {
				continue
			}
			u := (t.arcAt(i) - s) / reach
			w *= taper(u)
			if pass == 0 {
				sure, all = sure+min(w, taper(u)), all+taper(u)
			}
			switch e := f.across(u, t.at[j]) / t.noise * math.Sqrt(t.w[j]); pass {
			case 1:
				w /= 1 + e*e/4
			case 2:
				w *= taper(e / 5)
			}
			m.add(u, t.at[j], w)
		}
		if pass == 0 {
			first = m.s0
		}
		if pass > 0 && m.s0 < 0.4*first {
			// Too few agree; the fit before is the better one.
			break
		}
		if all < 1.5 || !f.solve(m) {
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
	return knot{s: s, p: f.a, d: scale(d, 1/speed), sigma: t.noise * math.Sqrt(t.spread*f.lever), trust: math.Sqrt(sure / all)}, bend, true
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
