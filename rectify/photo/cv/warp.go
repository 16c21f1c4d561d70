package cv

// #include "shim.h"
import "C"

import (
	"fmt"
	"math"
)

// Interpolation is how a value between pixels is had.
type Interpolation int

// The interpolations.
const (
	Linear Interpolation = iota
	Cubic
)

func (i Interpolation) code() (C.int, error) {
	switch i {
	case Linear:
		return C.FW_INTER_LINEAR, nil
	case Cubic:
		return C.FW_INTER_CUBIC, nil
	}
	return 0, fmt.Errorf("interpolation %d is unknown", i)
}

// WarpPerspective returns a view of w*h pixels: toSrc takes a pixel of the
// view to the picture (row by row, homogeneous). Outside the picture the view
// is filled. Warped pictures are for looking at: OpenCV interpolates at
// 1/32 px.
func WarpPerspective[P Plane](src P, toSrc [9]float64, w, h int, how Interpolation, fill float64) (P, error) {
	const name = "warp perspective"
	if !isFinite(toSrc[:]...) || math.Abs(determinant(toSrc)) == 0 || !isFinite(fill) {
		return *new(P), fmt.Errorf("%s: the matrix %v cannot be used", name, toSrc)
	}
	code, err := how.code()
	if err != nil {
		return *new(P), fmt.Errorf("%s: %w", name, err)
	}
	return sized(name, src, w, h, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_warp_perspective(m[0], m[1], (*C.double)(&toSrc[0]), code, C.double(fill), out)
	})
}

func determinant(m [9]float64) float64 {
	return m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
}

// Remap returns a view of the size of the maps, which hold for each pixel of
// it where in the picture it is seen, in pixels. Outside the picture the view
// is filled. For looking at only, as WarpPerspective.
func Remap[P Plane](src P, mapX, mapY Float, how Interpolation, fill float64) (P, error) {
	const name = "remap"
	if mapX.W != mapY.W || mapX.H != mapY.H {
		return *new(P), fmt.Errorf("%s: maps of %d × %d and %d × %d pixels differ", name, mapX.W, mapX.H, mapY.W, mapY.H)
	}
	code, err := how.code()
	if err != nil {
		return *new(P), fmt.Errorf("%s: %w", name, err)
	}
	for _, check := range []func() error{src.layout().check, mapX.layout().check, mapY.layout().check} {
		if err := check(); err != nil {
			return *new(P), fmt.Errorf("%s: %w", name, err)
		}
	}
	if !isFinite(fill) {
		return *new(P), fmt.Errorf("%s: a fill of %g cannot be used", name, fill)
	}
	dst := blank(src, mapX.W, mapX.H)
	err = call(name, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_remap(m[0], m[1], m[2], m[3], code, C.double(fill), out)
	}, src, dst, mapX, mapY)
	if err != nil {
		return *new(P), err
	}
	return dst, nil
}
