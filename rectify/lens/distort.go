package lens

import "math"

// Newton steps of undistort: convergence is quadratic, so a step this small
// leaves an error near the square of it.
const (
	undistortSteps = 20
	undistortStep  = 1e-9
)

// leastSlope is the determinant of the distortion's derivative at which it
// counts as folded.
const leastSlope = 1e-9

// distortWithSlope bends an ideal normalised position (Brown 1966) and returns
// the derivative too. It is symmetric, so that three numbers hold it:
// d xd/dx, d xd/dy = d yd/dx, d yd/dy.
func (m *Model) distortWithSlope(x, y float64) (xd, yd, xx, xy, yy float64) {
	r2 := x*x + y*y
	radial := 1 + r2*(m.K1+r2*(m.K2+r2*m.K3))
	slope := 2 * (m.K1 + r2*(2*m.K2+3*r2*m.K3)) // d radial / d(r²), doubled
	xd = x*radial + 2*m.P1*x*y + m.P2*(r2+2*x*x)
	yd = y*radial + m.P1*(r2+2*y*y) + 2*m.P2*x*y
	xx = radial + slope*x*x + 2*m.P1*y + 6*m.P2*x
	xy = slope*x*y + 2*m.P1*x + 2*m.P2*y
	yy = radial + slope*y*y + 6*m.P1*y + 2*m.P2*x
	return xd, yd, xx, xy, yy
}

// undistort inverts distort by Newton's method from the bent position itself.
// For barrel and for pincushion terms alike the radius then approaches from
// one side without overshooting. It is false where no ideal position on the
// inner, unfolded branch is seen there.
func (m *Model) undistort(xd, yd float64) (x, y float64, ok bool) {
	x, y = xd, yd
	for range undistortSteps {
		fx, fy, xx, xy, yy := m.distortWithSlope(x, y)
		det := xx*yy - xy*xy
		if !(det > leastSlope) {
			return 0, 0, false
		}
		ex, ey := xd-fx, yd-fy
		dx := (yy*ex - xy*ey) / det
		dy := (xx*ey - xy*ex) / det
		x += dx
		y += dy
		if math.Abs(dx)+math.Abs(dy) < undistortStep {
			return x, y, !m.folded(x*x + y*y)
		}
	}
	return 0, 0, false
}

// folded reports whether the radial terms stop growing somewhere between the
// centre and the squared radius s: then two ideal positions share one bent
// one, and what lies outside is no picture of the plane.
func (m *Model) folded(s float64) bool {
	a, b, c := 3*m.K1, 5*m.K2, 7*m.K3
	// Enough for nearly every lens: with the helpful terms left out the slope
	// still stays positive.
	if 1+s*(min(a, 0)+s*(min(b, 0)+s*min(c, 0))) > 0 {
		return false
	}
	slope := func(t float64) float64 { return 1 + t*(a+t*(b+t*c)) }
	if !(slope(s) > 0) {
		return true
	}
	// The least slope inside lies where a + 2bt + 3ct² = 0.
	if c == 0 {
		t := -a / (2 * b)
		return t > 0 && t < s && slope(t) <= 0
	}
	disc := b*b - 3*a*c
	if disc < 0 {
		return false
	}
	root := math.Sqrt(disc)
	for _, t := range [2]float64{(-b - root) / (3 * c), (-b + root) / (3 * c)} {
		if t > 0 && t < s && slope(t) <= 0 {
			return true
		}
	}
	return false
}

// FoldRadiusPx returns the distance from the lens centre, in px of the ideal
// (unbent) picture, where the radial terms fold over; +Inf when they never do.
func (m Model) FoldRadiusPx() float64 {
	const limit = 1e3
	if !m.folded(limit) {
		return math.Inf(1)
	}
	low, high := 0.0, limit
	for range 80 {
		mid := (low + high) / 2
		if m.folded(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return m.ScalePx * math.Sqrt(low)
}
