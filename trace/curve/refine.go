package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// run is a stretch of trail with the segments that describe it.
type run struct {
	// from..to are trustworthy samples, first..last the segments.
	from, to, first, last int
}

// refiner moves all nodes, directions and arm lengths of a path at once so
// that the sum of the samples' squared distances becomes least: Gauss-Newton
// on the normal equations, tangent continuity built into the unknowns.
type refiner struct {
	t      *trail
	closed bool
	lines  []bool
	// smooth[k] holds the direction through node k, the start of segment k.
	smooth []bool
	runs   []run

	node       []mat.Point
	start, end []float64 // directions of cubics at their ends, rad
	armA, armB []float64
	pull       []cornerPull

	size     int
	nodeAt   []int
	startRef []angleRef
	endRef   []angleRef
	armAt    []int
	home     []float64
	system   *envelope
}

// cornerPull draws a corner node towards the meeting of its sides as they
// were found locally.
type cornerPull struct {
	node int
	c    *corner
}

// angleRef says where a cubic's end direction comes from: unknown number
// param, or the direction of a line segment.
type angleRef struct{ param, line int }

func newRefiner(t *trail, segs []Segment, smooth []bool, runs []run, closed bool) *refiner {
	r := &refiner{t: t, closed: closed, smooth: smooth, runs: runs}
	for _, s := range segs {
		r.lines = append(r.lines, s.Line)
		r.node = append(r.node, s.P0)
		r.start = append(r.start, angle(s.startTangent()))
		r.end = append(r.end, angle(s.endTangent()))
		r.armA, r.armB = append(r.armA, dist(s.P0, s.P1)), append(r.armB, dist(s.P2, s.P3))
	}
	if !closed {
		r.node = append(r.node, segs[len(segs)-1].P3)
	}
	r.number()
	return r
}

func angle(d mat.Point) float64 { return math.Atan2(d.Y, d.X) }

func direction(rad float64) mat.Point {
	s, c := math.Sincos(rad)
	return mat.Point{X: c, Y: s}
}

func (r *refiner) next(i int) int {
	if i+1 == len(r.node) {
		return 0
	}
	return i + 1
}

// number gives every unknown its place, in order along the path so that the
// normal equations stay narrow.
func (r *refiner) number() {
	n := len(r.lines)
	r.nodeAt, r.armAt = make([]int, len(r.node)), make([]int, n)
	r.startRef, r.endRef = make([]angleRef, n), make([]angleRef, n)
	free := func(k int) int { r.size += k; return r.size - k }
	for i := range n {
		r.nodeAt[i] = free(2)
		if r.lines[i] {
			continue
		}
		prev := i - 1
		if i == 0 && r.closed {
			prev = n - 1
		}
		switch {
		case prev >= 0 && r.smooth[i] && r.lines[prev]:
			r.startRef[i] = angleRef{-1, prev}
		case i > 0 && r.smooth[i]:
			r.startRef[i] = r.endRef[i-1]
		default:
			r.startRef[i] = angleRef{free(1), -1}
		}
		r.armAt[i] = free(2)
		k := r.next(i)
		switch {
		case k < n && r.smooth[k] && r.lines[k]:
			r.endRef[i] = angleRef{-1, k}
		case k == 0 && r.smooth[0] && !r.lines[0]:
			r.endRef[i] = r.startRef[0]
		default:
			r.endRef[i] = angleRef{free(1), -1}
		}
	}
	if len(r.node) > n {
		r.nodeAt[n] = free(2)
	}
	r.home = make([]float64, r.size)
	r.read(r.home)
	r.system = r.newSystem()
}

// read copies the unknowns into v.
func (r *refiner) read(v []float64) {
	for k, p := range r.node {
		v[r.nodeAt[k]], v[r.nodeAt[k]+1] = p.X, p.Y
	}
	for i, line := range r.lines {
		if line {
			continue
		}
		v[r.armAt[i]], v[r.armAt[i]+1] = r.armA[i], r.armB[i]
		if p := r.startRef[i].param; p >= 0 {
			v[p] = r.start[i]
		}
		if p := r.endRef[i].param; p >= 0 && r.endRef[i] != r.startRef[r.next(i)%len(r.lines)] {
			v[p] = r.end[i]
		}
	}
}

// write takes the unknowns from v, holding arms to useful lengths.
func (r *refiner) write(v []float64) {
	for k := range r.node {
		r.node[k] = mat.Point{X: v[r.nodeAt[k]], Y: v[r.nodeAt[k]+1]}
	}
	for i, line := range r.lines {
		if line {
			continue
		}
		chord := dist(r.node[i], r.node[r.next(i)])
		for _, p := range []int{r.armAt[i], r.armAt[i] + 1} {
			v[p] = math.Min(math.Max(v[p], 0.05*chord), 2*chord)
		}
		r.armA[i], r.armB[i] = v[r.armAt[i]], v[r.armAt[i]+1]
		r.start[i], r.end[i] = r.angleOf(r.startRef[i], v), r.angleOf(r.endRef[i], v)
	}
}

func (r *refiner) angleOf(a angleRef, v []float64) float64 {
	if a.param >= 0 {
		return v[a.param]
	}
	return angle(sub(r.node[r.next(a.line)], r.node[a.line]))
}

func (r *refiner) segment(i int) Segment {
	a, b := r.node[i], r.node[r.next(i)]
	if r.lines[i] {
		return Line(a, b)
	}
	return Cubic(a, along(a, direction(r.start[i]), r.armA[i]), along(b, direction(r.end[i]), -r.armB[i]), b)
}

func (r *refiner) segments() []Segment {
	out := make([]Segment, len(r.lines))
	for i := range out {
		out[i] = r.segment(i)
	}
	return out
}

// part8 is the share of one unknown in one of a segment's eight local
// quantities: start x y, end x y, arms, end directions.
type part8 struct {
	at   int
	gain float64
}

// gains lists the unknowns behind each local quantity of segment i.
func (r *refiner) gains(i int, out *[8][]part8) {
	a, b := r.nodeAt[i], r.nodeAt[r.next(i)]
	for k, at := range []int{a, a + 1, b, b + 1} {
		out[k] = append(out[k][:0], part8{at, 1})
	}
	for k := 4; k < 8; k++ {
		out[k] = out[k][:0]
	}
	if r.lines[i] {
		return
	}
	out[4], out[5] = append(out[4], part8{r.armAt[i], 1}), append(out[5], part8{r.armAt[i] + 1, 1})
	out[6], out[7] = r.angleGains(r.startRef[i], out[6]), r.angleGains(r.endRef[i], out[7])
}

func (r *refiner) angleGains(a angleRef, out []part8) []part8 {
	if a.param >= 0 {
		return append(out, part8{a.param, 1})
	}
	p, q := r.nodeAt[a.line], r.nodeAt[r.next(a.line)]
	d := sub(r.node[r.next(a.line)], r.node[a.line])
	g := scale(leftOf(d), 1/math.Max(dot(d, d), 1e-12))
	return append(out, part8{p, -g.X}, part8{p + 1, -g.Y}, part8{q, g.X}, part8{q + 1, g.Y})
}

// newSystem finds which unknowns meet in a segment.
func (r *refiner) newSystem() *envelope {
	low := make([]int, r.size)
	for i := range low {
		low[i] = i
	}
	var g [8][]part8
	for i := range r.lines {
		r.gains(i, &g)
		least := r.size
		for _, list := range g {
			for _, p := range list {
				least = min(least, p.at)
			}
		}
		for _, list := range g {
			for _, p := range list {
				low[p.at] = min(low[p.at], least)
			}
		}
	}
	return newEnvelope(low)
}

// local are the normal equations of one segment.
type local struct {
	h [8][8]float64
	g [8]float64
}

func (l *local) add(j *[8]float64, n int, res, w float64) {
	for a := range n {
		wa := w * j[a]
		l.g[a] += wa * res
		for b := 0; b <= a; b++ {
			l.h[a][b] += wa * j[b]
		}
	}
}

func (r *refiner) scatter(i int, l *local, g *[8][]part8) {
	r.gains(i, g)
	for a := range 8 {
		for _, p := range g[a] {
			r.system.g[p.at] += p.gain * l.g[a]
			for b := range 8 {
				h := l.h[max(a, b)][min(a, b)]
				if h == 0 {
					continue
				}
				for _, q := range g[b] {
					if q.at <= p.at {
						r.system.addAt(p.at, q.at, h*p.gain*q.gain)
					}
				}
			}
		}
	}
}

// minimise runs Levenberg-Marquardt steps (Marquardt 1963; from memory):
// first with outliers held down gently, then with them dropped.
func (r *refiner) minimise(gentle, strict int) {
	for _, phase := range []struct {
		gentle bool
		steps  int
	}{{true, gentle}, {false, strict}} {
		r.descend(phase.gentle, phase.steps)
	}
}

// descend takes at most the steps given and stops when they gain nothing.
func (r *refiner) descend(gentle bool, steps int) {
	cost := r.sum(gentle)
	damping := 1e-3
	v, best := make([]float64, r.size), make([]float64, r.size)
	r.read(best)
	h, g := append([]float64{}, r.system.h...), append([]float64{}, r.system.g...)
	for range steps {
		if !r.move(v, best, damping) {
			r.write(best)
			return
		}
		next := r.sum(gentle)
		if !(next < cost) {
			damping = math.Max(10*damping, 1e-3)
			copy(r.system.h, h)
			copy(r.system.g, g)
			r.write(best)
			continue
		}
		gain := cost - next
		cost, damping = next, damping/10
		r.read(best)
		if gain < 1e-3*cost {
			return
		}
		copy(h, r.system.h)
		copy(g, r.system.g)
	}
	r.write(best)
}

// move solves the damped system and takes the step from best; false when
// there is no sensible step.
func (r *refiner) move(v, best []float64, damping float64) bool {
	r.system.damp(damping)
	if !r.system.solve() {
		return false
	}
	for i := range v {
		if !(math.Abs(r.system.g[i]) < 1e3) {
			return false
		}
		v[i] = best[i] - r.system.g[i]
	}
	r.write(v)
	return true
}

// sum builds the normal equations at the present place and returns the cost.
func (r *refiner) sum(gentle bool) float64 {
	r.system.clear()
	sums := make([]local, len(r.lines))
	cost := 0.0
	for _, u := range r.runs {
		cost += r.sumRun(u, gentle, sums)
	}
	var g [8][]part8
	for i := range sums {
		r.scatter(i, &sums[i], &g)
	}
	v := make([]float64, r.size)
	r.read(v)
	return cost + r.hold(v)
}

// hold keeps every unknown loosely where it began, and corners where their
// sides were found to meet.
func (r *refiner) hold(v []float64) (cost float64) {
	variance := r.t.noise * r.t.noise * r.t.spread
	loose := func(at int, sigma float64) {
		k := variance / (sigma * sigma)
		r.system.addAt(at, at, k)
		e := v[at] - r.home[at]
		r.system.g[at] += k * e
		cost += k * e * e / 2
	}
	for k := range r.node {
		loose(r.nodeAt[k], 2)
		loose(r.nodeAt[k]+1, 2)
	}
	for i, line := range r.lines {
		if line {
			continue
		}
		chord := dist(r.node[i], r.node[r.next(i)])
		loose(r.armAt[i], 0.3*chord)
		loose(r.armAt[i]+1, 0.3*chord)
		if p := r.startRef[i].param; p >= 0 {
			loose(p, 0.3)
		}
		if p := r.endRef[i].param; p >= 0 {
			loose(p, 0.3)
		}
	}
	for _, c := range r.pull {
		k := variance * r.pullShare(c.node)
		x, y := r.nodeAt[c.node], r.nodeAt[c.node]+1
		dx, dy := v[x]-c.c.at.X, v[y]-c.c.at.Y
		r.system.addAt(x, x, k*c.c.pxx)
		r.system.addAt(y, x, k*c.c.pxy)
		r.system.addAt(y, y, k*c.c.pyy)
		r.system.g[x] += k * (c.c.pxx*dx + c.c.pxy*dy)
		r.system.g[y] += k * (c.c.pxy*dx + c.c.pyy*dy)
		cost += k * (c.c.pxx*dx*dx + 2*c.c.pxy*dx*dy + c.c.pyy*dy*dy) / 2
	}
	for i, line := range r.lines {
		if prev := (i + len(r.lines) - 1) % len(r.lines); r.smooth[i] && !line && !r.lines[prev] {
			cost += r.holdSlide(i, v, variance)
		}
	}
	return cost
}

// pullShare is how much of the local evidence for a corner counts beside the
// samples: half where a curve has to be extended to it, next to nothing
// between two lines, which are determined all along.
func (r *refiner) pullShare(k int) float64 {
	n := len(r.lines)
	if k < n && r.lines[k] && r.lines[(k+n-1)%n] {
		return 0.02
	}
	return 0.5
}

// holdSlide keeps a smooth node between two cubics from wandering along the
// outline, which the samples hardly notice: half a millimetre.
func (r *refiner) holdSlide(i int, v []float64, variance float64) float64 {
	const slideMM = 0.5
	k := variance / (slideMM * slideMM)
	x, y := r.nodeAt[i], r.nodeAt[i]+1
	d := direction(r.start[i])
	e := (v[x]-r.home[x])*d.X + (v[y]-r.home[y])*d.Y
	r.system.addAt(x, x, k*d.X*d.X)
	r.system.addAt(y, x, k*d.X*d.Y)
	r.system.addAt(y, y, k*d.Y*d.Y)
	r.system.g[x] += k * e * d.X
	r.system.g[y] += k * e * d.Y
	return k * e * e / 2
}

// sumRun walks along a run and its samples together and adds each sample's
// share to its segment's normal equations.
func (r *refiner) sumRun(u run, gentle bool, sums []local) (cost float64) {
	t := r.t
	if u.last < u.first {
		return 0
	}
	w := newWalker(r.segmentsOf(u), t.arcAt(u.from))
	for i := u.from; i <= u.to; i++ {
		j := t.wrap(i)
		if t.w[j] == 0 {
			continue
		}
		k, at := w.advance(t.at[j], t.arcAt(i))
		res, n := w.residual(t.at[j], at)
		weight, loss := robust(res, t.noise, gentle)
		weight *= t.w[j]
		cost += t.w[j] * loss
		if weight == 0 {
			continue
		}
		var jac [8]float64
		m := r.jacobian(u.first+k, at, n, &jac)
		sums[u.first+k].add(&jac, m, res, weight)
	}
	return cost
}

// robust returns the weight and the loss of a residual: Cauchy's function
// when gentle, Tukey's biweight otherwise.
func robust(res, noise float64, gentle bool) (weight, loss float64) {
	if gentle {
		c := math.Max(2.5*noise, 0.1)
		e := res / c
		return 1 / (1 + e*e), c * c / 2 * math.Log1p(e*e)
	}
	c := 5 * noise
	k := 1 - res*res/(c*c)
	if k <= 0 {
		return 0, c * c / 6
	}
	return k * k, c * c / 6 * (1 - k*k*k)
}

func (r *refiner) segmentsOf(u run) []Segment {
	out := make([]Segment, 0, u.last-u.first+1)
	for i := u.first; i <= u.last; i++ {
		out = append(out, r.segment(i))
	}
	return out
}

// jacobian fills in the derivatives of the distance across segment i at
// parameter t by its local quantities and returns how many there are.
func (r *refiner) jacobian(i int, t float64, n mat.Point, j *[8]float64) int {
	if r.lines[i] {
		j[0], j[1], j[2], j[3] = (1-t)*n.X, (1-t)*n.Y, t*n.X, t*n.Y
		return 4
	}
	v := 1 - t
	b0, b1, b2, b3 := v*v*v, 3*v*v*t, 3*v*t*t, t*t*t
	da, db := direction(r.start[i]), direction(r.end[i])
	j[0], j[1] = (b0+b1)*n.X, (b0+b1)*n.Y
	j[2], j[3] = (b2+b3)*n.X, (b2+b3)*n.Y
	j[4], j[5] = b1*dot(n, da), -b2*dot(n, db)
	j[6], j[7] = b1*r.armA[i]*dot(n, leftOf(da)), -b2*r.armB[i]*dot(n, leftOf(db))
	return 8
}
