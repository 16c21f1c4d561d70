package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// side is one side of a corner: a polynomial v(u) in a frame whose u axis
// points away from the corner.
type side struct {
	origin, axis mat.Point
	fit          *polyFit
	degree       int
	count        int
	// sigma is the expected error across the side at the corner, in mm.
	sigma float64
	// turnSigma is the expected error of the direction there, in rad.
	turnSigma float64
}

func (s side) point(u float64) mat.Point {
	return add(along(s.origin, s.axis, u), scale(leftOf(s.axis), s.fit.eval(u, s.degree)))
}

// away returns the unit tangent at u, pointing away from the corner.
func (s side) away(u float64) mat.Point {
	return unit(add(s.axis, scale(leftOf(s.axis), s.fit.slope(u, s.degree))))
}

// bend returns the side's second derivative in 1/mm.
func (s side) bend() float64 {
	if s.degree < 2 || s.fit.degree < 2 {
		return 0
	}
	return 2 * s.fit.coef[2]
}

// reach is a run of samples away from a corner: first sample, step (+1
// after the corner, −1 before it) and how many.
type reach struct{ first, step, count int }

// sideOf fits the side that begins with r. Of all arms and degrees whose
// neglected higher degrees are not significant it takes the one with the
// least expected error at the corner, guessed at uCorner (Lepski's method of
// growing windows until the bias shows; Goldenshluger and Nemirovski 1997,
// from memory).
func (t *trail) sideOf(r reach, uCorner float64, o FitOptions) (side, bool) {
	s := side{fit: &polyFit{}}
	if r.count < 4 {
		return s, false
	}
	s.fit.grow(min(r.count, 512))
	s.origin = t.at[t.wrap(r.first)]
	s.axis = t.armAxis(r, o.CornerArmMM)
	if s.axis == (mat.Point{}) {
		return s, false
	}
	ends := t.pushArm(&s, r, o)
	best := math.Inf(1)
	for k, n := range ends {
		found := t.tryArm(&s, n, uCorner, &best)
		if !found && k > 0 {
			break
		}
	}
	if math.IsInf(best, 1) {
		s.degree, s.count, best = 1, ends[0], 1
		if ends[0] > 12 {
			s.degree = 2
		}
	}
	s.fit.solveFirst(s.count, min(s.degree+1, maxDegree))
	t.reweigh(&s)
	s.sigma = math.Sqrt(best)
	s.turnSigma = s.fit.slopeSigma(uCorner, s.degree, t.noise*t.noise*t.spread)
	return s, s.fit.degree >= 1
}

// armAxis returns the direction of the first armMM of the run.
func (t *trail) armAxis(r reach, armMM float64) mat.Point {
	var m moments
	o := t.at[t.wrap(r.first)]
	last := o
	start := t.arcAt(r.first)
	for k := range r.count {
		i := r.first + k*r.step
		if math.Abs(t.arcAt(i)-start) > armMM && m.w >= 4 {
			break
		}
		p, w := sub(t.at[t.wrap(i)], o), t.w[t.wrap(i)]
		m = moments{m.w + w, m.x + w*p.X, m.y + w*p.Y, m.xx + w*p.X*p.X, m.xy + w*p.X*p.Y, m.yy + w*p.Y*p.Y}
		last = t.at[t.wrap(i)]
	}
	if m.w < 1e-3 {
		return mat.Point{}
	}
	d := m.axis()
	if dot(d, sub(last, o)) < 0 {
		return scale(d, -1)
	}
	return d
}

// longestArmMM bounds the arms that look for a corner; longer ones gain
// little before the whole side is fitted.
const longestArmMM = 40

// pushArm loads the samples of the run while it goes on in much the same
// direction, and returns the sample counts at which arms may end.
func (t *trail) pushArm(s *side, r reach, o FitOptions) (ends []int) {
	start := t.arcAt(r.first)
	next := max(o.CornerArmMM, 4)
	across := leftOf(s.axis)
	for k := range r.count {
		i := r.first + k*r.step
		arc := math.Abs(t.arcAt(i) - start)
		p := sub(t.at[t.wrap(i)], s.origin)
		u := dot(p, s.axis)
		if arc > next && len(s.fit.u) >= 6 {
			if u < 0.88*arc {
				break
			}
			ends = append(ends, len(s.fit.u))
			if arc > longestArmMM {
				break
			}
			next *= 1.5
		}
		if w := t.w[t.wrap(i)]; w > 0 {
			s.fit.push(u, dot(p, across), w)
		}
	}
	if n := len(s.fit.u); len(ends) == 0 || n > ends[len(ends)-1]+2 {
		ends = append(ends, n)
	}
	return ends
}

// tryArm looks at degrees 1 and 2 over the first n samples and keeps the
// best; found is false when neither describes the samples.
func (t *trail) tryArm(s *side, n int, uCorner float64, best *float64) (found bool) {
	degree := 4
	if n < 12 {
		degree = 2
	}
	s.fit.solveFirst(n, degree)
	variance := t.noise * t.noise * t.spread
	// Four standard deviations squared: bumps are part of life.
	limit := 16 * variance
	for d := 1; d <= 2; d++ {
		if s.fit.share(d+1) > limit || d+2 <= degree && s.fit.share(d+2) > limit {
			continue
		}
		found = true
		if r := s.fit.risk(uCorner, d, variance); r < *best {
			*best, s.degree, s.count = r, d, n
		}
	}
	return found
}

// reweigh fits once more with outliers held down (Cauchy weights).
func (t *trail) reweigh(s *side) {
	f := s.fit
	k := 2.5 * t.noise
	for range 2 {
		for i := range s.count {
			e := (f.v[i] - f.eval(f.u[i], s.degree)) / k * math.Sqrt(f.w[i])
			f.w[i] *= 1 / (1 + e*e)
		}
		f.solveFirst(s.count, s.degree)
	}
}

// meetSides returns where two sides meet and the parameters there: Newton
// from the crossing of the tangents.
func meetSides(a, b side) (p mat.Point, ua, ub float64, ok bool) {
	for range 12 {
		pa, pb := a.point(ua), b.point(ub)
		da, db := a.away(ua), b.away(ub)
		x, y, fine := meet(pa, da, pb, db)
		if !fine || math.Abs(x) > 60 || math.Abs(y) > 60 {
			return p, ua, ub, false
		}
		ua, ub = ua+x*dot(da, a.axis), ub+y*dot(db, b.axis)
		if math.Abs(x)+math.Abs(y) < 1e-7 {
			return scale(add(a.point(ua), b.point(ub)), 0.5), ua, ub, true
		}
	}
	return p, ua, ub, dist(a.point(ua), b.point(ub)) < 1e-3
}
