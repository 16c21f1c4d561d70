package lens

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Slope is the derivative of a two-way map at a point: of the photograph's
// position by the mat's (px per mm), or the inverse (mm per px).
// Slope[0] belongs to the x result, Slope[1] to the y result.
type Slope [2][2]float64

// Inverse returns the inverse derivative; false when it is singular.
func (s Slope) Inverse() (Slope, bool) {
	det := s[0][0]*s[1][1] - s[0][1]*s[1][0]
	if det == 0 || math.IsNaN(det) || math.IsInf(det, 0) {
		return Slope{}, false
	}
	return Slope{{s[1][1] / det, -s[0][1] / det}, {-s[1][0] / det, s[0][0] / det}}, true
}

// SlopeToPhoto returns the derivative of ToPhoto at a point of the mat, in px
// per mm; false where the point is not seen.
func (m Model) SlopeToPhoto(at mat.Point) (Slope, bool) {
	h := &m.H
	w := h[6]*at.X + h[7]*at.Y + h[8]
	if !(w > 0) {
		return Slope{}, false
	}
	x := (h[0]*at.X + h[1]*at.Y + h[2]) / w
	y := (h[3]*at.X + h[4]*at.Y + h[5]) / w
	if m.folded(x*x + y*y) {
		return Slope{}, false
	}
	_, _, xx, xy, yy := m.distortWithSlope(x, y)
	if !(xx*yy-xy*xy > leastSlope) {
		return Slope{}, false
	}
	k := m.ScalePx / w
	xX, xY := (h[0]-x*h[6])*k, (h[1]-x*h[7])*k
	yX, yY := (h[3]-y*h[6])*k, (h[4]-y*h[7])*k
	return Slope{
		{xx*xX + xy*yX, xx*xY + xy*yY},
		{xy*xX + yy*yX, xy*xY + yy*yY},
	}, true
}

// SlopeToMat returns the derivative of ToMat at a position of the photograph,
// in mm per px; false where the position sees no point of the mat.
func (m Model) SlopeToMat(at photo.Point) (Slope, bool) {
	p, ok := m.ToMat(at)
	if !ok {
		return Slope{}, false
	}
	s, ok := m.SlopeToPhoto(p)
	if !ok {
		return Slope{}, false
	}
	return s.Inverse()
}

// ScaleMMPerPx returns how many mm of the mat one px covers at a point of the
// mat: the root of the area covered. It is NaN where the point is not seen.
func (m Model) ScaleMMPerPx(at mat.Point) float64 {
	s, ok := m.SlopeToPhoto(at)
	if !ok {
		return math.NaN()
	}
	return 1 / math.Sqrt(math.Abs(s[0][0]*s[1][1]-s[0][1]*s[1][0]))
}

// Mirrored reports whether the mat is seen as in a mirror: its x, y and the
// photograph's are of opposite handedness. No photograph of a mat from above
// is; the lines or crossings were then counted the wrong way along one axis.
func (m Model) Mirrored() bool {
	h := &m.H
	return h[0]*(h[4]*h[8]-h[5]*h[7])-h[1]*(h[3]*h[8]-h[5]*h[6])+h[2]*(h[3]*h[7]-h[4]*h[6]) < 0
}

// Shift returns the same camera in a mat frame whose origin lies at the given
// point of the old frame.
func (m Model) Shift(origin mat.Point) Model {
	return m.after([9]float64{1, 0, origin.X, 0, 1, origin.Y, 0, 0, 1})
}

// Rotate returns the same camera in a mat frame turned about its origin by
// quarter turns: after one turn the new x axis is the old y axis, and a point
// (X, Y) of the new frame is (-Y, X) of the old.
func (m Model) Rotate(quarterTurns int) Model {
	cos, sin := 1.0, 0.0
	for range ((quarterTurns % 4) + 4) % 4 {
		cos, sin = -sin, cos
	}
	return m.after([9]float64{cos, -sin, 0, sin, cos, 0, 0, 0, 1})
}

// Stretch returns the same camera in a mat frame whose unit is x and y units
// of the old one along its axes: (X, Y) of the new frame is (x·X, y·Y) of the
// old.
func (m Model) Stretch(x, y float64) Model {
	return m.after([9]float64{x, 0, 0, 0, y, 0, 0, 0, 1})
}

// after puts a map of the plane to itself before the homography.
func (m Model) after(a [9]float64) Model {
	m.H = multiply(m.H, a)
	return m
}

// multiply returns the product of two 3x3 matrices stored row by row.
func multiply(a, b [9]float64) (c [9]float64) {
	for i := range 3 {
		for j := range 3 {
			c[3*i+j] = a[3*i]*b[j] + a[3*i+1]*b[3+j] + a[3*i+2]*b[6+j]
		}
	}
	return c
}
