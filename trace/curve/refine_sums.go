package curve

import (
	"math"

	"flatwright/rectify/mat"
)

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
	g := scale(leftOf(d), 1/max(dot(d, d), 1e-12))
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
		weight, loss := robust(res*math.Sqrt(t.w[j]), t.noise, gentle)
		weight *= t.w[j]
		cost += loss
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
		c := max(2.5*noise, 0.1)
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
