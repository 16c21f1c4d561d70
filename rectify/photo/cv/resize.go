package cv

// #include "shim.h"
import "C"

import "fmt"

// ResizeArea returns the picture shrunk to w*h pixels, each the mean of the
// area it covers. The centre of a new pixel x lies at (x + 0.5)*W/w - 0.5, to
// 0.1 px where W/w is not whole.
func ResizeArea[P Plane](src P, w, h int) (P, error) {
	l := src.layout()
	if w > l.w || h > l.h {
		return *new(P), fmt.Errorf("resize area: %d × %d px is larger than the picture, %d × %d", w, h, l.w, l.h)
	}
	return sized("resize area", src, w, h, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_resize(m[0], m[1], C.FW_INTER_AREA, out)
	})
}

// ResizeLinear returns the picture stretched to w*h pixels by bilinear
// interpolation; for enlarging.
func ResizeLinear[P Plane](src P, w, h int) (P, error) {
	return sized("resize linear", src, w, h, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_resize(m[0], m[1], C.FW_INTER_LINEAR, out)
	})
}
