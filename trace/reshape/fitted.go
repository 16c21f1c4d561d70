package reshape

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Fitted returns the cubic from the first point to the last, leaving and
// arriving in the unit directions given, that lies nearest to the points: least
// squares for the lengths of both handles, with the points' parameters improved
// in between (Schneider, An algorithm for automatically fitting digitized
// curves, Graphics Gems 1990; from memory).
func Fitted(pts []mat.Point, leave, arrive mat.Point) curve.Segment {
	n := len(pts)
	a, b := pts[0], pts[n-1]
	chord := gap(a, b)
	u := shares(pts)
	best := handles(a, b, leave, arrive, chord/3, chord/3)
	least := math.Inf(1)
	for range 12 {
		s, ok := solve(pts, u, leave, arrive)
		if !ok {
			break
		}
		if off := squares(s, pts, u); off < least {
			best, least = s, off
		}
		for i := range u {
			u[i], _ = s.Nearest(pts[i])
		}
	}
	return best
}

func handles(a, b, leave, arrive mat.Point, before, after float64) curve.Segment {
	return curve.Cubic(a, along(a, leave, before), along(b, arrive, -after), b)
}

// shares is the share of the length at each point.
func shares(pts []mat.Point) []float64 {
	u := make([]float64, len(pts))
	for i := 1; i < len(pts); i++ {
		u[i] = u[i-1] + gap(pts[i-1], pts[i])
	}
	if total := u[len(u)-1]; total > 0 {
		for i := range u {
			u[i] /= total
		}
	}
	return u
}

// solve returns the cubic with the handles of least squares; false when there
// are none that run forwards.
func solve(pts []mat.Point, u []float64, leave, arrive mat.Point) (curve.Segment, bool) {
	a, b := pts[0], pts[len(pts)-1]
	var c00, c01, c11, x0, x1 float64
	for i, p := range pts {
		t := u[i]
		b1, b2 := 3*t*(1-t)*(1-t), 3*t*t*(1-t)
		flat := curve.Cubic(a, a, b, b).Eval(t)
		dx, dy := p.X-flat.X, p.Y-flat.Y
		ax, ay := b1*leave.X, b1*leave.Y
		bx, by := -b2*arrive.X, -b2*arrive.Y
		c00, c01, c11 = c00+ax*ax+ay*ay, c01+ax*bx+ay*by, c11+bx*bx+by*by
		x0, x1 = x0+ax*dx+ay*dy, x1+bx*dx+by*dy
	}
	det := c00*c11 - c01*c01
	if math.Abs(det) < 1e-12 {
		return curve.Segment{}, false
	}
	before, after := (x0*c11-x1*c01)/det, (c00*x1-c01*x0)/det
	if least := 1e-3 * gap(a, b); before < least || after < least {
		return curve.Segment{}, false
	}
	return handles(a, b, leave, arrive, before, after), true
}

func squares(s curve.Segment, pts []mat.Point, u []float64) float64 {
	sum := 0.0
	for i, p := range pts {
		d := gap(s.Eval(u[i]), p)
		sum += d * d
	}
	return sum
}
