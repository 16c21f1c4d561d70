package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// fitPoints is the most knots that one cubic is fitted to; more add nothing.
const fitPoints = 28

// cubicFit is a cubic through the ends of a run of knots.
type cubicFit struct {
	seg    Segment
	worst  float64
	at     int
	square float64
	// free tells that the ends were not held.
	free bool
}

// fitCubic fits one cubic to knots a..b with the end points and directions
// of its end knots held (Schneider, "An algorithm for automatically fitting
// digitized curves", Graphics Gems 1990; from memory).
func fitCubic(k []knot, a, b int) cubicFit {
	var buf [fitPoints]mat.Point
	var us [fitPoints]float64
	var ws [fitPoints]float64
	q, w := pickPoints(k, a, b, buf[:0], ws[:0])
	u := chordParameters(k[a].p, q, k[b].p, us[:len(q)])
	seg := solveArms(k[a], k[b], q, w, u)
	for range 5 {
		for i := range q {
			u[i] = seg.footNear(q[i], u[i], 0, 1, 1)
		}
		seg = solveArms(k[a], k[b], q, w, u)
	}
	return measureFit(seg, k, a, b)
}

// pickPoints appends up to fitPoints of the knots between a and b, and their
// weights.
func pickPoints(k []knot, a, b int, out []mat.Point, w []float64) ([]mat.Point, []float64) {
	n := b - a - 1
	step := 1.0
	if n > fitPoints {
		step = float64(n) / fitPoints
	}
	for i := 0; float64(i)*step < float64(n)-1e-9 && i < fitPoints; i++ {
		q := &k[a+1+int(float64(i)*step+step/2)]
		out, w = append(out, q.p), append(w, q.trust*q.trust)
	}
	return out, w
}

func chordParameters(p0 mat.Point, q []mat.Point, p3 mat.Point, u []float64) []float64 {
	sum, before := 0.0, p0
	for i, p := range q {
		sum += dist(before, p)
		u[i], before = sum, p
	}
	sum += dist(before, p3)
	for i := range u {
		u[i] /= max(sum, 1e-12)
	}
	return u
}

// solveArms finds the two arm lengths by least squares.
func solveArms(a, b knot, q []mat.Point, w, u []float64) Segment {
	var c00, c01, c11, x0, x1 float64
	for i, t := range u {
		v := 1 - t
		b0, b1, b2, b3 := v*v*v, 3*v*v*t, 3*v*t*t, t*t*t
		e, f := scale(a.d, b1), scale(b.d, -b2)
		r := sub(q[i], add(scale(a.p, b0+b1), scale(b.p, b2+b3)))
		c00, c01, c11 = c00+w[i]*dot(e, e), c01+w[i]*dot(e, f), c11+w[i]*dot(f, f)
		x0, x1 = x0+w[i]*dot(e, r), x1+w[i]*dot(f, r)
	}
	chord := dist(a.p, b.p)
	// A slight pull towards thirds keeps the arms defined when the samples
	// do not define them.
	const pull = 1e-4
	c00, c11 = c00+pull, c11+pull
	x0, x1 = x0+pull*chord/3, x1+pull*chord/3
	det := c00*c11 - c01*c01
	m, n := chord/3, chord/3
	if det > 1e-12*c00*c11 {
		m, n = (x0*c11-x1*c01)/det, (x1*c00-x0*c01)/det
	}
	m, n = oneArm(m, chord), oneArm(n, chord)
	return Cubic(a.p, along(a.p, a.d, m), along(b.p, b.d, -n), b.p)
}

// leastArm and mostArm bound an arm's share of the chord. A half circle has
// two thirds.
const leastArm, mostArm = 0.05, 0.8

// oneArm holds an arm that came out useless to a usable length.
func oneArm(m, chord float64) float64 { return min(max(m, leastArm*chord), mostArm*chord) }

// sane tells whether a cubic's control points come in order along its chord
// and its arms are not longer than those of a half circle: others swing out
// or cross themselves where no sample holds them.
func (s Segment) sane() bool {
	c := sub(s.P3, s.P0)
	long := mostArm * norm(c)
	return s.Line || dot(sub(s.P2, s.P1), c) >= 0 && dist(s.P0, s.P1) <= long && dist(s.P2, s.P3) <= long
}

// fitFree fits one cubic to knots a..b without holding its ends: the knots'
// own noise must not decide how far a cubic reaches. Corners, whose places
// were extrapolated, are left out; the cubic is extended to them.
func fitFree(k []knot, a, b int) cubicFit {
	lo, hi := a, b
	if k[lo].end {
		lo++
	}
	if k[hi].end {
		hi--
	}
	if hi-lo < 5 {
		return fitCubic(k, a, b)
	}
	var buf [fitPoints + 2]mat.Point
	var us [fitPoints + 2]float64
	var ws [fitPoints + 2]float64
	q, w := pickPoints(k, lo, hi, append(buf[:0], k[lo].p), append(ws[:0], k[lo].trust*k[lo].trust))
	q, w = append(q, k[hi].p), append(w, k[hi].trust*k[hi].trust)
	n := len(q)
	u := us[:n]
	chordParameters(q[0], q[1:n-1], q[n-1], u[1:n-1])
	u[n-1] = 1
	seg := Cubic(k[lo].p, k[lo].p, k[hi].p, k[hi].p)
	for pass := range 5 {
		if pass > 0 {
			for i := range q {
				u[i] = seg.footNear(q[i], u[i], -0.05, 1.05, 1)
			}
			rescale(u)
		}
		next, ok := solveFree(q, w, u)
		if !ok {
			return fitCubic(k, a, b)
		}
		seg = next
	}
	f := measureFit(seg, k, lo-1, hi+1)
	f.free = true
	return f
}

// rescale stretches parameters back onto 0..1.
func rescale(u []float64) {
	lo, hi := u[0], u[len(u)-1]
	if hi-lo < 0.5 {
		return
	}
	for i := range u {
		u[i] = (u[i] - lo) / (hi - lo)
	}
}

// solveFree finds all four control points by least squares (4×4 Cholesky).
func solveFree(q []mat.Point, w, u []float64) (Segment, bool) {
	var h [4][4]float64
	var r [4]mat.Point
	for i, t := range u {
		v := 1 - t
		b := [4]float64{v * v * v, 3 * v * v * t, 3 * v * t * t, t * t * t}
		for x := range 4 {
			r[x] = along(r[x], q[i], w[i]*b[x])
			for y := 0; y <= x; y++ {
				h[x][y] += w[i] * b[x] * b[y]
			}
		}
	}
	for i := range 4 {
		for j := 0; j <= i; j++ {
			sum := h[i][j]
			for k := range j {
				sum -= h[i][k] * h[j][k]
			}
			if i == j {
				if sum <= 1e-12 {
					return Segment{}, false
				}
				h[i][i] = math.Sqrt(sum)
			} else {
				h[i][j] = sum / h[j][j]
			}
		}
	}
	for i := range 4 {
		for k := range i {
			r[i] = along(r[i], r[k], -h[i][k])
		}
		r[i] = scale(r[i], 1/h[i][i])
	}
	for i := 3; i >= 0; i-- {
		for k := i + 1; k < 4; k++ {
			r[i] = along(r[i], r[k], -h[k][i])
		}
		r[i] = scale(r[i], 1/h[i][i])
	}
	return Cubic(r[0], r[1], r[2], r[3]), true
}

// measureFit finds the largest distance of a knot from the cubic and the sum
// of squares, walking along both.
func measureFit(seg Segment, k []knot, a, b int) cubicFit {
	f := cubicFit{seg: seg, at: (a + b) / 2}
	t := 0.0
	first, last := max(a, 0), min(b, len(k)-1)
	total := max(k[last].s-k[first].s, 1e-9)
	before := k[min(a+1, last)].s
	for i := a + 1; i < b; i++ {
		t = min(1, t+(k[i].s-before)/total)
		before = k[i].s
		t = seg.footNear(k[i].p, t, 0, 1, 3)
		d := k[i].trust * dist(seg.Eval(t), k[i].p)
		f.square += d * d
		if d > f.worst {
			f.worst, f.at = d, i
		}
	}
	return f
}
