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
			v[p] = min(max(v[p], leastArm*chord), mostArm*chord)
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
			damping = max(10*damping, 1e-3)
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
