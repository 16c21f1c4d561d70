package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// part is one segment of a span before refinement: knots a..b.
type part struct {
	seg  Segment
	a, b int
}

// limits are the distances that decide about a span, in mm.
type limits struct {
	// fit bounds the knots of a cubic, line those of a certain line, and
	// straight those of a line without significant bend.
	fit, line, straight float64
}

func (t *trail) limits(k []knot, o FitOptions) limits {
	var v []float64
	for _, q := range k {
		if !q.end {
			v = append(v, q.sigma)
		}
	}
	s := 3.2 * median(v)
	return limits{
		fit:      math.Min(0.8*o.ToleranceMM, math.Max(0.4*o.ToleranceMM, s)),
		line:     math.Min(0.9*o.ToleranceMM, math.Max(0.4*o.ToleranceMM, s)),
		straight: o.StraightMM,
	}
}

// parts cuts a span into lines and cubics.
func (t *trail) parts(p *span, l limits) []part {
	k := p.knots
	n := len(k)
	if n < 2 {
		return nil
	}
	if n == 2 || t.spanIsLine(p, l) {
		return []part{{Line(k[0].p, k[n-1].p), 0, n - 1}}
	}
	if f := fitCubic(k, 0, n-1); f.worst <= l.fit && p.start != nil {
		return []part{{f.seg, 0, n - 1}}
	}
	var out []part
	at := 0
	for _, s := range straights(k, l) {
		out = append(out, greedy(k, at, s.a, l.fit)...)
		out = append(out, s)
		at = s.b
	}
	return append(out, greedy(k, at, n-1, l.fit)...)
}

// spanIsLine tells whether a span between two corners is straight.
func (t *trail) spanIsLine(p *span, l limits) bool {
	if p.start == nil || p.end == nil {
		return false
	}
	k := p.knots[1 : len(p.knots)-1]
	if len(k) < 3 {
		return true
	}
	_, _, worst := lineThrough(k)
	if worst <= l.line {
		return true
	}
	return worst <= l.straight && !t.bends(k)
}

// bends tells whether a parabola or cubic describes the knots significantly
// better than a line.
func (t *trail) bends(k []knot) bool {
	o, d, _ := lineThrough(k)
	var f polyFit
	for _, q := range k {
		r := sub(q.p, o)
		f.push(dot(r, d), cross(d, r), 1)
	}
	f.solve(3)
	variance := t.noise * t.noise * t.spread / 3
	return f.share(2) > 12*variance || f.share(3) > 12*variance
}

// lineThrough returns the total-least-squares line of the knots, a point and
// a direction of travel, and the largest distance of a knot from it.
func lineThrough(k []knot) (o, d mat.Point, worst float64) {
	var m moments
	for _, q := range k {
		p := sub(q.p, k[0].p)
		m = moments{m.w + 1, m.x + p.X, m.y + p.Y, m.xx + p.X*p.X, m.xy + p.X*p.Y, m.yy + p.Y*p.Y}
	}
	o = add(k[0].p, mat.Point{X: m.x / m.w, Y: m.y / m.w})
	d = m.axis()
	if dot(d, sub(k[len(k)-1].p, k[0].p)) < 0 {
		d = scale(d, -1)
	}
	for _, q := range k {
		worst = math.Max(worst, math.Abs(cross(d, sub(q.p, o))))
	}
	return o, d, worst
}

// leastStraightMM is the shortest line kept within a curved span.
const leastStraightMM = 8

// straights finds the straight stretches of a span and moves the knots at
// their ends onto the line.
func straights(k []knot, l limits) []part {
	var out []part
	limit := 0.75 * l.line
	n := len(k)
	for a := 0; a < n-1; {
		b := growLine(k, a, limit)
		if b < 0 {
			a++
			continue
		}
		lo, hi := a, b
		o, d, _ := lineThrough(inner(k, lo, hi))
		for _, i := range []int{lo, hi} {
			if !k[i].end {
				k[i].p = along(o, d, dot(sub(k[i].p, o), d))
			}
			k[i].d = d
		}
		out = append(out, part{Line(k[lo].p, k[hi].p), lo, hi})
		a = b
	}
	return out
}

// inner leaves out corners, whose places are extrapolated.
func inner(k []knot, a, b int) []knot {
	if k[a].end {
		a++
	}
	if k[b].end {
		b--
	}
	return k[a : b+1]
}

// growLine returns the last knot of the longest straight stretch from knot
// a, or −1 when there is none of the least length.
func growLine(k []knot, a int, limit float64) int {
	b := a
	for b < len(k)-1 && k[b].s-k[a].s < leastStraightMM {
		b++
	}
	if k[b].s-k[a].s < leastStraightMM || !straightRun(k, a, b, limit) {
		return -1
	}
	step := 4
	for step > 0 {
		if b+step < len(k) && straightRun(k, a, b+step, limit) {
			b += step
			step *= 2
			continue
		}
		step /= 2
	}
	return b
}

// straightRun tells whether knots a..b are straight and keep their direction.
func straightRun(k []knot, a, b int, limit float64) bool {
	q := inner(k, a, b)
	if len(q) < 4 {
		return false
	}
	// Cheap refusal first: the middle against the chord.
	c := sub(q[len(q)-1].p, q[0].p)
	if math.Abs(cross(unit(c), sub(q[len(q)/2].p, q[0].p))) > 2*limit {
		return false
	}
	_, _, worst := lineThrough(q)
	return worst <= limit
}

// greedy covers knots a..b with as few cubics as it can: each the longest
// that keeps within the limit, found by doubling and halving.
func greedy(k []knot, a, b int, limit float64) []part {
	var out []part
	for a < b {
		end, f := longest(k, a, b, limit)
		out = append(out, part{f.seg, a, end})
		a = end
	}
	return out
}

func longest(k []knot, a, b int, limit float64) (int, cubicFit) {
	if f := fitCubic(k, a, b); f.worst <= limit {
		return b, f
	}
	good, step := min(a+2, b), 8
	best := fitCubic(k, a, good)
	for step > 0 {
		if good+step < b {
			if f := fitCubic(k, a, good+step); f.worst <= limit {
				good, best = good+step, f
				step *= 2
				continue
			}
		}
		step /= 2
	}
	return good, best
}
