package lens

import (
	"math"

	"flatwright/rectify/photo"
)

// homographyOfFour returns the homography that sends four points to four
// others, as a product of two maps of the unit square (Heckbert, Fundamentals
// of Texture Mapping and Image Warping, 1989, section 2.2.3; from memory).
// False when three of the points are in line. The sign is such that the
// depths of the four points are positive, where they agree.
func homographyOfFour(from, to [4]photo.Point) ([9]float64, bool) {
	if !generalPosition(from) || !generalPosition(to) {
		return [9]float64{}, false
	}
	a, ok := squareTo(from)
	if !ok {
		return a, false
	}
	b, ok := squareTo(to)
	if !ok {
		return b, false
	}
	inv, ok := invert(a)
	if !ok {
		return inv, false
	}
	h := multiply(b, inv)
	positive := 0
	for _, p := range from {
		if h[6]*p.X+h[7]*p.Y+h[8] > 0 {
			positive++
		}
	}
	if positive == 0 {
		for i := range h {
			h[i] = -h[i]
		}
	}
	return h, positive == 0 || positive == 4
}

// inLine is the sine of the angle between two sides below which three points
// count as lying on one line.
const inLine = 1e-3

// generalPosition reports whether no three of four points lie on one line.
func generalPosition(q [4]photo.Point) bool {
	for skip := range 4 {
		a, b, c := q[(skip+1)%4], q[(skip+2)%4], q[(skip+3)%4]
		ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, c.X-a.X, c.Y-a.Y
		wx, wy := c.X-b.X, c.Y-b.Y
		u, v, w := math.Hypot(ux, uy), math.Hypot(vx, vy), math.Hypot(wx, wy)
		// Twice the area over the product of the two longer sides is the sine
		// of the smallest angle.
		if !(math.Abs(ux*vy-uy*vx)*min(u, v, w) > inLine*u*v*w) {
			return false
		}
	}
	return true
}

// squareTo maps (0,0) (1,0) (0,1) (1,1) to four points in that order.
func squareTo(q [4]photo.Point) ([9]float64, bool) {
	p0, p1, p2, p3 := q[0], q[1], q[3], q[2] // round the square
	dx1, dx2, dx3 := p1.X-p2.X, p3.X-p2.X, p0.X-p1.X+p2.X-p3.X
	dy1, dy2, dy3 := p1.Y-p2.Y, p3.Y-p2.Y, p0.Y-p1.Y+p2.Y-p3.Y
	det := dx1*dy2 - dx2*dy1
	size := math.Hypot(dx1, dy1) * math.Hypot(dx2, dy2)
	if !(math.Abs(det) > 1e-9*size) {
		return [9]float64{}, false
	}
	g := (dx3*dy2 - dx2*dy3) / det
	h := (dx1*dy3 - dx3*dy1) / det
	return [9]float64{
		p1.X - p0.X + g*p1.X, p3.X - p0.X + h*p3.X, p0.X,
		p1.Y - p0.Y + g*p1.Y, p3.Y - p0.Y + h*p3.Y, p0.Y,
		g, h, 1,
	}, true
}

// invert returns the inverse of a 3x3 matrix stored row by row.
func invert(h [9]float64) ([9]float64, bool) {
	a := [9]float64{
		h[4]*h[8] - h[5]*h[7], h[2]*h[7] - h[1]*h[8], h[1]*h[5] - h[2]*h[4],
		h[5]*h[6] - h[3]*h[8], h[0]*h[8] - h[2]*h[6], h[2]*h[3] - h[0]*h[5],
		h[3]*h[7] - h[4]*h[6], h[1]*h[6] - h[0]*h[7], h[0]*h[4] - h[1]*h[3],
	}
	det := h[0]*a[0] + h[1]*a[3] + h[2]*a[6]
	if det == 0 || math.IsNaN(det) || math.IsInf(det, 0) {
		return a, false
	}
	for i := range a {
		a[i] /= det
	}
	return a, true
}
