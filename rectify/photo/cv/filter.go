package cv

// #include "shim.h"
import "C"

import "fmt"

const (
	// MaxSigmaPx bounds the blur of GaussianBlur.
	MaxSigmaPx = 500
	// MaxWindowPx bounds the side of a window of means: OpenCV adds up 8-bit
	// values in 31 bits.
	MaxWindowPx = 2801
)

// GaussianBlur returns the picture blurred with a Gaussian, standard
// deviation in pixels. 8-bit pictures are cut off at 3 sigma and rounded,
// Float pictures at 4 sigma.
func GaussianBlur[P Plane](src P, sigmaPx float64) (P, error) {
	if !(sigmaPx > 0 && sigmaPx <= MaxSigmaPx) {
		return *new(P), fmt.Errorf("gaussian blur: sigma of %g px is not between 0 and %d", sigmaPx, MaxSigmaPx)
	}
	return like("gaussian blur", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_gaussian_blur(m[0], m[1], C.double(sigmaPx), out)
	})
}

// BoxBlur returns the mean over a window of w*h pixels about each pixel; the
// sides are odd. (OpenCV 4.6 is up to 255 levels off in windows of two pixels
// and rounds wrongly in those of 4, 8 and 16.)
func BoxBlur[P Plane](src P, w, h int) (P, error) {
	if err := checkWindow(w, h); err != nil {
		return *new(P), fmt.Errorf("box blur: %w", err)
	}
	return like("box blur", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_box_blur(m[0], m[1], C.int(w), C.int(h), out)
	})
}

func checkWindow(w, h int) error {
	if w < 1 || h < 1 || w > MaxWindowPx || h > MaxWindowPx || w%2 == 0 || h%2 == 0 {
		return fmt.Errorf("window of %d × %d px: each side must be odd and 1 to %d", w, h, MaxWindowPx)
	}
	return nil
}

// MedianBlur returns the median over a square window about each pixel; its
// side is odd, 3 to 255 px. The border pixel is repeated.
func MedianBlur[P Bytes](src P, sizePx int) (P, error) {
	if sizePx < 3 || sizePx > 255 || sizePx%2 == 0 {
		return *new(P), fmt.Errorf("median blur: window side of %d px is not odd and 3 to 255", sizePx)
	}
	return like("median blur", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_median_blur(m[0], m[1], C.int(sizePx), out)
	})
}

// Sobel returns the derivative of order dx, dy (0 to 2, not both 0) by a
// Sobel kernel of side 3, 5 or 7 px. It is not normalised: the first
// derivative of side 3 is 8 times the slope per pixel.
func Sobel[P Levels](src P, dx, dy, sizePx int) (Float, error) {
	if dx < 0 || dy < 0 || dx > 2 || dy > 2 || dx+dy == 0 {
		return Float{}, fmt.Errorf("sobel: derivative of order %d, %d is not 0 to 2", dx, dy)
	}
	if sizePx != 3 && sizePx != 5 && sizePx != 7 {
		return Float{}, fmt.Errorf("sobel: kernel side of %d px is not 3, 5 or 7", sizePx)
	}
	return toFloat("sobel", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_sobel(m[0], m[1], C.int(dx), C.int(dy), C.int(sizePx), out)
	})
}

// Scharr returns the first derivative along x or along y by Scharr's 3 × 3
// kernel, whose direction is truer than Sobel's. It is 32 times the slope per
// pixel. (H. Scharr, dissertation, Heidelberg 2000, from memory.)
func Scharr[P Levels](src P, alongX bool) (Float, error) {
	dx, dy := 0, 1
	if alongX {
		dx, dy = 1, 0
	}
	return toFloat("scharr", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_scharr(m[0], m[1], C.int(dx), C.int(dy), out)
	})
}

// toFloat runs a call that makes a Float picture of the same size.
func toFloat(name string, src raster, do func(m []C.fw_mat, out *C.fw_failure)) (Float, error) {
	l := src.layout()
	if err := l.check(); err != nil {
		return Float{}, fmt.Errorf("%s: %w", name, err)
	}
	dst := blank(Float{}, l.w, l.h)
	if err := call(name, do, src, dst); err != nil {
		return Float{}, err
	}
	return dst, nil
}

// toGray runs a call that makes a Gray picture of the same size.
func toGray(name string, src raster, do func(m []C.fw_mat, out *C.fw_failure)) (Gray, error) {
	l := src.layout()
	if err := l.check(); err != nil {
		return Gray{}, fmt.Errorf("%s: %w", name, err)
	}
	dst := NewGray(l.w, l.h)
	if err := call(name, do, src, dst); err != nil {
		return Gray{}, err
	}
	return dst, nil
}

// Canny returns the edges (255, else 0) whose gradient, by Sobel's kernel of
// side 3, exceeds high or exceeds low and touches one that does. (Canny, PAMI
// 8(6), 1986.)
func Canny(src Gray, low, high float64) (Gray, error) {
	if !isFinite(low, high) || low < 0 || high < low {
		return Gray{}, fmt.Errorf("canny: levels %g and %g are not 0 or more and rising", low, high)
	}
	return toGray("canny", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_canny(m[0], m[1], C.double(low), C.double(high), out)
	})
}
