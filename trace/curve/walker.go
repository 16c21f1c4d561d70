package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// walker finds the feet of successive samples on a chain of segments without
// searching: each foot is near the one before.
type walker struct {
	segs []Segment
	k    int
	t, s float64
}

func newWalker(segs []Segment, arc float64) *walker { return &walker{segs: segs, s: arc} }

// advance returns the segment and parameter of the foot of p, whose arc
// length along the samples is arc. Feet on lines may lie outside 0..1.
func (w *walker) advance(p mat.Point, arc float64) (int, float64) {
	ds := arc - w.s
	w.s = arc
	t := w.foot(w.k, p, w.t+ds/max(norm(w.segs[w.k].Derivative(w.t)), 1e-6))
	if t <= 1e-9 && w.k > 0 {
		t = w.back(p, t)
	}
	for t >= 1-1e-9 && w.k+1 < len(w.segs) {
		next := w.foot(w.k+1, p, 0.02)
		if next <= 0 {
			break
		}
		w.k, t = w.k+1, next
	}
	if dist(w.segs[w.k].Eval(t), p) > lostMM {
		t = w.search(p)
	}
	w.t = t
	return w.k, t
}

// back goes to the segment before when the foot there is nearer than the start
// of the present one: a step may have been taken too early.
func (w *walker) back(p mat.Point, t float64) float64 {
	u := w.foot(w.k-1, p, 0.98)
	if u >= 1 || dist(w.segs[w.k-1].Eval(max(u, 0)), p) >= dist(w.segs[w.k].P0, p) {
		return t
	}
	w.k--
	return u
}

// lostMM is how far a foot may lie off before it is searched for.
const lostMM = 0.3

// search looks for the foot on the present segment and the next.
func (w *walker) search(p mat.Point) float64 {
	best, at, k := math.Inf(1), w.t, w.k
	for j := w.k; j <= w.k+1 && j < len(w.segs); j++ {
		t, d := w.segs[j].Nearest(p)
		if d < best-1e-9 {
			best, at, k = d, t, j
		}
	}
	w.k = k
	return at
}

func (w *walker) foot(k int, p mat.Point, t float64) float64 {
	s := w.segs[k]
	if s.Line {
		d := sub(s.P3, s.P0)
		return dot(sub(p, s.P0), d) / max(dot(d, d), 1e-12)
	}
	return s.footNear(p, min(1, max(0, t)), 0, 1, 2)
}

// residual returns the signed distance of the path from p across it and the
// unit normal it is measured along.
func (w *walker) residual(p mat.Point, t float64) (float64, mat.Point) {
	s := w.segs[w.k]
	n := leftOf(s.Tangent(t))
	return dot(n, sub(s.Eval(t), p)), n
}
