package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// part is one segment of a span before refinement: knots a..b.
type part struct {
	seg  Segment
	a, b int
	// free tells that seg stops short of a corner.
	free bool
}

// limits are the distances that decide about a span, in mm.
type limits struct {
	// worst and rms bound the knots of a cubic or a certain line, straight
	// those of a line without significant bend.
	worst, rms, straight float64
}

// limits allows for the knots' own noise: five standard deviations for the
// worst of some hundred, a third more than one for their mean.
func (t *trail) limits(k []knot, o FitOptions) limits {
	var v []float64
	for _, q := range k {
		if !q.end {
			v = append(v, q.sigma)
		}
	}
	s := median(v)
	return limits{
		worst:    min(0.9*o.ToleranceMM, max(0.5*o.ToleranceMM, 5*s)),
		rms:      min(0.4*o.ToleranceMM, max(0.1*o.ToleranceMM, 1.35*s)),
		straight: o.StraightMM,
	}
}

// allows tells whether a cubic is close enough to knots a..b; the mean of
// few knots may be larger by chance.
func (l limits) allows(f cubicFit, a, b int) bool {
	n := float64(max(1, b-a-1))
	return (f.seg.sane() || n < 6) && f.worst <= l.worst && f.square <= n*l.rms*l.rms*(1+4/n)
}

// parts cuts a span into lines and cubics.
func (t *trail) parts(p *span, l limits) []part {
	if len(p.knots) < 2 {
		return nil
	}
	straight := len(p.knots) == 2 || t.spanIsLine(p, l) || t.isBumpyLine(p, l)
	k := p.knots
	n := len(k)
	if straight {
		return []part{{seg: spanLine(k), a: 0, b: n - 1}}
	}
	if f := fitFree(k, 0, n-1); l.allows(f, 0, n-1) && p.lead == 0 {
		out := []part{{f.seg, 0, n - 1, f.free}}
		return out
	}
	curved, lined := greedy(k, 0, n-1, l), append([]knot{}, k...)
	asLines(k, curved, l)
	lines := straights(lined, l)
	if len(lines) == 0 {
		return curved
	}
	mixed := between(lined, lines, l)
	if freedom(mixed) >= freedom(curved) {
		return curved
	}
	p.knots = lined
	return mixed
}

// asLines replaces cubics that are straight but for their ends by lines, and
// lets the neighbours have the ends.
func asLines(k []knot, list []part, l limits) {
	limit := 0.6 * l.worst
	for i, q := range list {
		a, b := trimLine(k, q.a, q.b, limit)
		if i == 0 {
			a = q.a
		}
		if i == len(list)-1 {
			b = q.b
		}
		if 4*(b-a) < 3*(q.b-q.a) || k[b].s-k[a].s < leastStraightMM || !straightRun(k, a, b, limit) {
			continue
		}
		o, d, _ := lineThrough(inner(k, a, b))
		if !standsOut(k, a, b, o, d, limit) {
			continue
		}
		list[i] = lineBetween(k, a, b, o, d)
		if i > 0 && list[i-1].b != a {
			list[i-1] = refit(k, list[i-1].a, a, list[i-1])
		}
		if i+1 < len(list) && list[i+1].a != b {
			list[i+1] = refit(k, b, list[i+1].b, list[i+1])
		}
	}
}

// refit fits part q again over knots a..b.
func refit(k []knot, a, b int, q part) part {
	if q.seg.Line {
		o, d, _ := lineThrough(inner(k, a, b))
		return lineBetween(k, a, b, o, d)
	}
	f := fitFree(k, a, b)
	return part{seg: f.seg, a: a, b: b, free: f.free}
}

// lineBetween moves knots a and b onto the line through o along d, corners
// excepted, and returns the line between them.
func lineBetween(k []knot, a, b int, o, d mat.Point) part {
	for _, i := range []int{a, b} {
		if !k[i].end {
			k[i].p = along(o, d, dot(sub(k[i].p, o), d))
		}
		k[i].d = d
	}
	return part{seg: Line(k[a].p, k[b].p), a: a, b: b}
}

// between covers the knots around the lines given with cubics.
func between(k []knot, lines []part, l limits) []part {
	var out []part
	at := 0
	for _, s := range lines {
		out = append(out, greedy(k, at, s.a, l)...)
		out = append(out, s)
		at = s.b
	}
	return append(out, greedy(k, at, len(k)-1, l)...)
}

// freedom counts the numbers it takes to say where smoothly joined parts
// run: two for a line, four for a cubic.
func freedom(list []part) int {
	sum := 0
	for _, q := range list {
		sum += 4
		if q.seg.Line {
			sum -= 2
		}
	}
	return sum
}

// spanLine returns the line of a straight span, as its knots have it.
func spanLine(k []knot) Segment {
	a, b := k[0], k[len(k)-1]
	q := inner(k, 0, len(k)-1)
	if len(q) < 4 {
		return Line(a.p, b.p)
	}
	o, d, _ := lineThrough(q)
	return Line(along(o, d, dot(sub(a.p, o), d)), along(o, d, dot(sub(b.p, o), d)))
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
	if worst <= 0.6*l.worst {
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
		f.push(dot(r, d), cross(d, r), q.trust*q.trust)
	}
	f.solve(3)
	variance := t.noise * t.noise * t.spread / 3
	last := f.basis(f.u[len(f.u)-1])
	for degree := 2; degree <= 3; degree++ {
		if f.share(degree) > 16*variance && math.Abs(f.coef[degree]*last[degree]) > leastBendMM {
			return true
		}
	}
	return false
}

// leastBendMM is the least deviation from a line, at the ends, that makes a
// straight edge a curved one however significant it is.
const leastBendMM = 0.05

// lineThrough returns the total-least-squares line of the knots, a point and
// a direction of travel, and the largest distance of a knot from it.
func lineThrough(k []knot) (o, d mat.Point, worst float64) {
	var m moments
	for _, q := range k {
		p, w := sub(q.p, k[0].p), q.trust*q.trust
		m = moments{m.w + w, m.x + w*p.X, m.y + w*p.Y, m.xx + w*p.X*p.X, m.xy + w*p.X*p.Y, m.yy + w*p.Y*p.Y}
	}
	o = add(k[0].p, mat.Point{X: m.x / m.w, Y: m.y / m.w})
	d = m.axis()
	if dot(d, sub(k[len(k)-1].p, k[0].p)) < 0 {
		d = scale(d, -1)
	}
	for _, q := range k {
		worst = max(worst, q.trust*math.Abs(cross(d, sub(q.p, o))))
	}
	return o, d, worst
}

// greedy covers knots a..b with as few cubics as it can: each the longest
// that keeps within the limits, found by doubling and halving.
func greedy(k []knot, a, b int, l limits) []part {
	var out []part
	for a < b {
		end, f := longest(k, a, b, l)
		out = append(out, part{f.seg, a, end, f.free})
		a = end
	}
	return even(k, out, l)
}

// even spreads the slack of a short last cubic over all of them, where that
// keeps every one within the limits.
func even(k []knot, list []part, l limits) []part {
	n := len(list)
	if n < 2 {
		return list
	}
	a, b := list[0].a, list[n-1].b
	mean := float64(list[n-1].a-a) / float64(n-1)
	last := float64(b - list[n-1].a)
	slack := l
	slack.rms *= 1.1
	for _, share := range []float64{1, 0.75, 0.5, 0.25} {
		gain := share * max(0, mean-last)
		shrink := float64(b-a) / (float64(b-a) + gain)
		out := make([]part, n)
		fine := true
		from := a
		for i := range out {
			to := a + int(math.Round(float64(list[i].b-a)*shrink))
			if i == n-1 {
				to = b
			}
			if to <= from {
				fine = false
				break
			}
			f := fitFree(k, from, to)
			fine = fine && slack.allows(f, from, to)
			out[i] = part{f.seg, from, to, f.free}
			from = to
		}
		if fine {
			return out
		}
	}
	return list
}

func longest(k []knot, a, b int, l limits) (int, cubicFit) {
	if f := fitFree(k, a, b); l.allows(f, a, b) {
		return b, f
	}
	good, step := min(a+2, b), 8
	best := fitFree(k, a, good)
	for step > 0 {
		if good+step < b {
			if f := fitFree(k, a, good+step); l.allows(f, a, good+step) {
				good, best = good+step, f
				step *= 2
				continue
			}
		}
		step /= 2
	}
	return good, best
}
