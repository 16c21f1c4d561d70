package cv

// #include "shim.h"
import "C"

import (
	"fmt"

	"flatwright/rectify/photo"
)

// FindChessboard returns the inner corners of a chessboard, row by row, and
// whether it was found; columns and rows count inner corners, 3 or more. It
// is the reference in tests. (Duda and Frese, BMVC 2018.)
func FindChessboard(src Gray, columns, rows int) ([]photo.Point, bool, error) {
	if columns < 3 || rows < 3 || columns > 500 || rows > 500 {
		return nil, false, fmt.Errorf("find chessboard: %d × %d corners are not 3 to 500 each", columns, rows)
	}
	flat := make([]float32, 2*columns*rows)
	var found C.int
	err := call("find chessboard", func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_find_chessboard(m[0], C.int(columns), C.int(rows), (*C.float)(&flat[0]), &found, out)
	}, src)
	if err != nil || found == 0 {
		return nil, false, err
	}
	return pointsOf(flat), true, nil
}

func pointsOf(flat []float32) []photo.Point {
	points := make([]photo.Point, len(flat)/2)
	for i := range points {
		points[i] = photo.Point{X: float64(flat[2*i]), Y: float64(flat[2*i+1])}
	}
	return points
}

// RefineCorners returns the points moved to the nearest crossing of edges
// within halfPx, to about 0.1 px in a sharp picture. (Förstner and Gülch
// 1987.)
func RefineCorners(src Gray, points []photo.Point, halfPx int) ([]photo.Point, error) {
	const name = "refine corners"
	if halfPx < 1 || src.W < 2*halfPx+5 || src.H < 2*halfPx+5 {
		return nil, fmt.Errorf("%s: a window of half side %d px does not fit a picture of %d × %d", name, halfPx, src.W, src.H)
	}
	if len(points) == 0 {
		return nil, nil
	}
	flat := make([]float32, 0, 2*len(points))
	for _, p := range points {
		if !(p.X >= 0 && p.Y >= 0 && p.X <= float64(src.W-1) && p.Y <= float64(src.H-1)) {
			return nil, fmt.Errorf("%s: point (%g, %g) lies outside the picture of %d × %d", name, p.X, p.Y, src.W, src.H)
		}
		flat = append(flat, float32(p.X), float32(p.Y))
	}
	err := call(name, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_refine_corners(m[0], (*C.float)(&flat[0]), C.int(len(points)), C.int(halfPx), out)
	}, src)
	if err != nil {
		return nil, err
	}
	return pointsOf(flat), nil
}

// View is one picture of a flat target.
type View struct {
	// Target holds the points on the target's plane, in a unit of your own,
	// and Seen where each was seen.
	Target, Seen []photo.Point
}

// Pose is where a target's plane lies before the camera: a point of it is
// Rotation*(X, Y, 0) + Translation, row by row.
type Pose struct {
	Rotation    [9]float64
	Translation [3]float64
}

// Calibration is a camera solved from several views, as OpenCV does.
type Calibration struct {
	FocalX, FocalY, CentreX, CentreY float64
	// K1, K2, P1, P2 and K3 are Brown's terms, in normalised coordinates.
	K1, K2, P1, P2, K3 float64
	// RMSPx is over all points, ViewRMSPx of each view.
	RMSPx     float64
	ViewRMSPx []float64
	Poses     []Pose
}

// Terms choose what CalibrateCamera solves for.
type Terms struct {
	// FixK3 leaves K3 at 0; NoTangential leaves P1 and P2 at 0; SquarePixels
	// holds FocalX and FocalY equal; FixCentre holds the centre in the middle of
	// the picture, which one view alone hardly tells.
	FixK3, NoTangential, SquarePixels, FixCentre bool
}

// CalibrateCamera solves camera, lens and poses together; it is the reference
// in tests. Every view has 4 points or more. (Zhang, PAMI 22(11), 2000.)
func CalibrateCamera(views []View, w, h int, terms Terms) (Calibration, error) {
	const name = "calibrate camera"
	if err := checkSize(w, h); err != nil {
		return Calibration{}, fmt.Errorf("%s: %w", name, err)
	}
	if len(views) == 0 {
		return Calibration{}, fmt.Errorf("%s: no views", name)
	}
	var target, seen []float32
	var counts []int32
	for i, v := range views {
		if len(v.Target) < 4 || len(v.Target) != len(v.Seen) {
			return Calibration{}, fmt.Errorf("%s: view %d has %d points on the target and %d seen, where 4 or more and as many are needed", name, i, len(v.Target), len(v.Seen))
		}
		for j := range v.Target {
			t, s := v.Target[j], v.Seen[j]
			if !isFinite(t.X, t.Y, s.X, s.Y) {
				return Calibration{}, fmt.Errorf("%s: point %d of view %d is not finite", name, j, i)
			}
			target = append(target, float32(t.X), float32(t.Y))
			seen = append(seen, float32(s.X), float32(s.Y))
		}
		counts = append(counts, int32(len(v.Target)))
	}
	flags := flag(terms.FixK3, C.FW_FIX_K3) | flag(terms.NoTangential, C.FW_NO_TANGENTIAL) | flag(terms.SquarePixels, C.FW_SQUARE_PIXELS) | flag(terms.FixCentre, C.FW_FIX_CENTRE)
	camera := make([]float64, 10)
	perView := make([]float64, 13*len(views))
	var failure C.fw_failure
	C.fw_calibrate((*C.float)(&target[0]), (*C.float)(&seen[0]), (*C.int32_t)(&counts[0]), C.int(len(counts)),
		C.int(w), C.int(h), flags, (*C.double)(&camera[0]), (*C.double)(&perView[0]), &failure)
	if err := failed(name, &failure); err != nil {
		return Calibration{}, err
	}
	if !isFinite(camera...) || !isFinite(perView...) {
		return Calibration{}, fmt.Errorf("%s: the points leave the camera undetermined", name)
	}
	return calibrationOf(camera, perView), nil
}

func flag(on bool, bit C.int) C.int {
	if on {
		return bit
	}
	return 0
}

func calibrationOf(camera, perView []float64) Calibration {
	c := Calibration{
		FocalX: camera[0], FocalY: camera[1], CentreX: camera[2], CentreY: camera[3],
		K1: camera[4], K2: camera[5], P1: camera[6], P2: camera[7], K3: camera[8], RMSPx: camera[9],
	}
	for ; len(perView) >= 13; perView = perView[13:] {
		c.ViewRMSPx = append(c.ViewRMSPx, perView[0])
		c.Poses = append(c.Poses, Pose{Rotation: [9]float64(perView[1:10]), Translation: [3]float64(perView[10:13])})
	}
	return c
}

// UndistortPoints returns where, in normalised coordinates, a camera without
// distortion would see what this one sees at points in px. It is the reference
// in tests; OpenCV iterates to a fixed point, which converges for the bend of
// common lenses only, and says nothing where it does not.
func (c Calibration) UndistortPoints(points []photo.Point) ([]photo.Point, error) {
	const name = "undistort points"
	camera := []float64{c.FocalX, c.FocalY, c.CentreX, c.CentreY, c.K1, c.K2, c.P1, c.P2, c.K3}
	if !isFinite(camera...) || !(c.FocalX > 0) || !(c.FocalY > 0) {
		return nil, fmt.Errorf("%s: the camera has a focal length of (%g, %g) px, or a term that is not finite", name, c.FocalX, c.FocalY)
	}
	if len(points) == 0 {
		return nil, nil
	}
	flat := make([]float64, 0, 2*len(points))
	for i, p := range points {
		if !isFinite(p.X, p.Y) {
			return nil, fmt.Errorf("%s: point %d is not finite", name, i)
		}
		flat = append(flat, p.X, p.Y)
	}
	var failure C.fw_failure
	C.fw_undistort_points((*C.double)(&camera[0]), (*C.double)(&flat[0]), C.int(len(points)), &failure)
	if err := failed(name, &failure); err != nil {
		return nil, err
	}
	out := make([]photo.Point, len(points))
	for i := range out {
		out[i] = photo.Point{X: flat[2*i], Y: flat[2*i+1]}
	}
	return out, nil
}
