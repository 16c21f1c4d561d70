package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// refine turns and shifts the found outlines to the least sum of squares of
// their points' distances from the true outlines: Gauss-Newton on the
// distance itself (Chen and Medioni 1992, the flat case), until the motion
// changes nothing by more than 1e-7 mm.
func refine(pairs []pairing, m motion) motion {
	middle := middleOf(pairs, m)
	for range 60 {
		step := refineStep(pairs, m, middle)
		m = m.then(step)
		moved := step.apply(middle)
		if dist(moved, middle)+600*math.Abs(step.sin) < 1e-7 {
			break
		}
	}
	return m
}

func middleOf(pairs []pairing, m motion) mat.Point {
	box := emptyBounds()
	for _, p := range pairs {
		for _, q := range p.found.Polygon {
			box.add(m.apply(q))
		}
	}
	return mat.Point{X: (box.minX + box.maxX) / 2, Y: (box.minY + box.maxY) / 2}
}

// normal3 is a set of three normal equations.
type normal3 struct {
	a [3][3]float64
	b [3]float64
}

func (n *normal3) add(row [3]float64, residual float64) {
	for i := range 3 {
		for j := range 3 {
			n.a[i][j] += row[i] * row[j]
		}
		n.b[i] -= row[i] * residual
	}
}

// refineStep is one step, a small turn about the middle and a shift.
func refineStep(pairs []pairing, m motion, middle mat.Point) motion {
	var n normal3
	for _, p := range pairs {
		for _, r := range p.rings {
			for _, q := range r.foundDense {
				q = m.apply(q)
				near, normal := nearestOn(r.truthSeg, q)
				arm := sub(q, middle)
				n.add([3]float64{normal.X, normal.Y, cross(arm, normal)}, dot(normal, sub(q, near)))
			}
		}
	}
	x, ok := n.solve()
	if !ok {
		return turn(0)
	}
	s, c := math.Sincos(x[2])
	about := motion{cos: c, sin: s}
	turned := about.apply(middle)
	about.dx = middle.X - turned.X + x[0]
	about.dy = middle.Y - turned.Y + x[1]
	return about
}

// nearestOn is the closest point of an outline and the direction in which
// distance from it grows.
func nearestOn(edges []edge, p mat.Point) (near, normal mat.Point) {
	best, at := math.Inf(1), 0
	for i := range edges {
		if d := edges[i].dist2(p.X, p.Y); d < best {
			best, at = d, i
		}
	}
	e := &edges[at]
	a, b := mat.Point{X: e.ax, Y: e.ay}, mat.Point{X: e.bx, Y: e.by}
	near = nearestOnSegment(a, b, p)
	if d := dist(p, near); d > 1e-9 {
		return near, scale(sub(p, near), 1/d)
	}
	l := math.Hypot(e.dx, e.dy)
	if l == 0 {
		return near, mat.Point{X: 1}
	}
	return near, mat.Point{X: e.dy / l, Y: -e.dx / l}
}

// solve is Gaussian elimination with pivoting; false for a singular set (a
// circle can turn freely).
func (n *normal3) solve() ([3]float64, bool) {
	a, b := n.a, n.b
	// A trace of damping keeps what the data leave free (the turn of a disc)
	// where it is.
	for i := range 3 {
		a[i][i] += 1e-9 * (a[0][0] + a[1][1] + a[2][2])
	}
	for k := range 3 {
		p := k
		for i := k + 1; i < 3; i++ {
			if math.Abs(a[i][k]) > math.Abs(a[p][k]) {
				p = i
			}
		}
		a[k], a[p], b[k], b[p] = a[p], a[k], b[p], b[k]
		if a[k][k] == 0 {
			return b, false
		}
		for i := k + 1; i < 3; i++ {
			f := a[i][k] / a[k][k]
			for j := k; j < 3; j++ {
				a[i][j] -= f * a[k][j]
			}
			b[i] -= f * b[k]
		}
	}
	for k := 2; k >= 0; k-- {
		for j := k + 1; j < 3; j++ {
			b[k] -= a[k][j] * b[j]
		}
		b[k] /= a[k][k]
	}
	return b, true
}
