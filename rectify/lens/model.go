// Package lens is the camera over the mat: from millimetres on the mat to
// pixels in the photograph and back, and the solver that finds it.
package lens

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Model maps the mat's plane to the photograph: the homography H (row by row)
// takes mat millimetres to normalised coordinates (x, y) about the principal
// point, Brown's radial and tangential terms bend them, and ScalePx with the
// centre turn them into pixels:
//
//	(X, Y) -H-> (x, y);  r² = x² + y²
//	x_d = x(1 + K1 r² + K2 r⁴ + K3 r⁶) + 2 P1 x y + P2 (r² + 2x²)
//	y_d = y(1 + K1 r² + K2 r⁴ + K3 r⁶) + P1 (r² + 2y²) + 2 P2 x y
//	u = CentreX + ScalePx x_d,  v = CentreY + ScalePx y_d
//
// ScalePx is a fixed normalising length (the focal length where it is known),
// so the K are per unit of it. Brown 1966; Zhang, PAMI 22(11), 2000.
type Model struct {
	H                [9]float64
	ScalePx          float64
	CentreX, CentreY float64
	K1, K2, K3       float64
	P1, P2           float64
}

// Mapping is a two-way map between the mat and a photograph. Model is one.
type Mapping interface {
	// ToPhoto returns where a point of the mat is seen.
	ToPhoto(mat.Point) photo.Point
	// ToMat returns the point of the mat seen at a position; false where the
	// position sees no point of the plane (at or above the horizon, or where
	// the lens terms fold over).
	ToMat(photo.Point) (mat.Point, bool)
}

var _ Mapping = Model{}

// ToPhoto returns where a point of the mat is seen, in px. A point that is not
// seen (behind the camera, or beyond the radius where the lens terms fold
// over) gives NaN coordinates, which photo.Photo.Inside answers with false.
func (m Model) ToPhoto(at mat.Point) photo.Point {
	h := &m.H
	w := h[6]*at.X + h[7]*at.Y + h[8]
	if !(w > 0) {
		return notSeen()
	}
	x := (h[0]*at.X + h[1]*at.Y + h[2]) / w
	y := (h[3]*at.X + h[4]*at.Y + h[5]) / w
	if m.folded(x*x + y*y) {
		return notSeen()
	}
	xd, yd, xx, xy, yy := m.distortWithSlope(x, y)
	if !(xx*yy-xy*xy > leastSlope) { // the tangential terms fold too
		return notSeen()
	}
	return photo.Point{X: m.CentreX + m.ScalePx*xd, Y: m.CentreY + m.ScalePx*yd}
}

// ToMat returns the point of the mat seen at a position of the photograph, in
// mm; false where the position sees no point of the plane (at or above the
// horizon, or where the lens terms fold over). It is the inverse of ToPhoto
// to better than 1e-6 px and allocates nothing.
func (m Model) ToMat(at photo.Point) (mat.Point, bool) {
	x, y, ok := m.undistort((at.X-m.CentreX)/m.ScalePx, (at.Y-m.CentreY)/m.ScalePx)
	if !ok {
		return mat.Point{}, false
	}
	h := &m.H
	// The third row of the adjugate gives 1/w, up to the determinant: its sign
	// tells the plane in front of the camera from the plane behind.
	a := h[4]*h[8] - h[5]*h[7]
	b := h[2]*h[7] - h[1]*h[8]
	c := h[1]*h[5] - h[2]*h[4]
	d := h[5]*h[6] - h[3]*h[8]
	e := h[0]*h[8] - h[2]*h[6]
	f := h[2]*h[3] - h[0]*h[5]
	p := h[3]*h[7] - h[4]*h[6]
	q := h[1]*h[6] - h[0]*h[7]
	r := h[0]*h[4] - h[1]*h[3]
	det := h[0]*a + h[1]*d + h[2]*p
	w := p*x + q*y + r
	if !(w*det > 0) {
		return mat.Point{}, false
	}
	return mat.Point{X: (a*x + b*y + c) / w, Y: (d*x + e*y + f) / w}, true
}

// Aspect returns the ratio of the mat's unit along x to that along y for a
// camera of a focal length: that of the homography's first two columns in the
// camera's frame (Zhang 2000, 3.1), 1 when the units are equal lengths. It is as
// good as the focal length is.
func (m Model) Aspect(focalPx float64) float64 {
	z := focalPx / m.ScalePx
	h := m.H
	wide := h[0]*h[0] + h[3]*h[3] + h[6]*h[6]*z*z
	high := h[1]*h[1] + h[4]*h[4] + h[7]*h[7]*z*z
	return math.Sqrt(wide / high)
}

func notSeen() photo.Point { return photo.Point{X: math.NaN(), Y: math.NaN()} }
