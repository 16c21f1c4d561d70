package cv

// #include "shim.h"
import "C"

import "fmt"

// Threshold returns 255 where the picture is above the level, else 0.
func Threshold(src Gray, level byte) (Gray, error) {
	return toGray("threshold", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_threshold(m[0], m[1], C.double(level), 0, nil, out)
	})
}

// Otsu returns 255 where the picture is above the level that separates its
// values into two classes best, else 0, and that level. (Otsu, IEEE SMC 9(1),
// 1979.)
func Otsu(src Gray) (Gray, byte, error) {
	var level C.double
	dst, err := toGray("otsu", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_threshold(m[0], m[1], 0, 1, &level, out)
	})
	return dst, byte(level), err
}

// Surround is how AdaptiveThreshold weighs the surroundings of a pixel.
type Surround int

// The ways to weigh surroundings.
const (
	Mean Surround = iota
	Gaussian
)

// AdaptiveThreshold returns 255 where the picture is above the mean of its
// surroundings less offset, else 0. The side of the surroundings is odd, 3 px
// or more. The border pixel is repeated.
func AdaptiveThreshold(src Gray, surround Surround, sidePx int, offset float64) (Gray, error) {
	if sidePx < 3 || sidePx%2 == 0 || sidePx > MaxWindowPx {
		return Gray{}, fmt.Errorf("adaptive threshold: side of %d px is not odd and 3 to %d", sidePx, MaxWindowPx)
	}
	if surround != Mean && surround != Gaussian || !isFinite(offset) {
		return Gray{}, fmt.Errorf("adaptive threshold: surroundings %d with offset %g cannot be used", surround, offset)
	}
	return toGray("adaptive threshold", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_adaptive_threshold(m[0], m[1], C.int(surround), C.int(sidePx), C.double(offset), out)
	})
}

// InRange returns 255 where all three values lie between low and high, both
// included, else 0.
func InRange[P Triples](src P, low, high [3]byte) (Gray, error) {
	return toGray("in range", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_in_range(m[0], m[1], (*C.uchar)(&low[0]), (*C.uchar)(&high[0]), out)
	})
}
