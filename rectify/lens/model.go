// Package lens is the camera over the mat: from millimetres on the mat to
// pixels in the photograph and back, and the solver that finds it.
package lens

import (
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
