// Package cv is the only door to OpenCV. It works on plain Go memory and
// returns errors.
//
// OpenCV reports bad arguments and lack of memory by C++ exceptions, and one
// that reaches Go ends the process. Here arguments are checked in Go, and the
// call is made in C++ under a try/catch as well, so that no picture and no
// argument can end the program. gocv's matrices carry the pixels without
// copying them.
//
// Beyond a picture's border its pixels are mirrored about the last one
// (OpenCV's default), unless a function says otherwise.
package cv

/*
#cgo !windows pkg-config: opencv4
#cgo CXXFLAGS: -O2 -std=c++11 -Wall -Wextra -Wno-deprecated-enum-enum-conversion
#include "shim.h"
*/
import "C"

import (
	"fmt"
	"math"
	"runtime"
	"unsafe"

	"gocv.io/x/gocv"

	"flatwright/rectify/photo"
)

const (
	// MaxSide bounds width and height of a picture, in pixels: OpenCV
	// addresses with 16-bit signed numbers in places.
	MaxSide = 32767
	// MaxPixels bounds width times height: OpenCV counts in 31 bits in places.
	MaxPixels = 1 << 28
)

// Gray is a picture of W*H 8-bit values, row by row.
type Gray struct {
	W, H int
	Pix  []byte
}

// RGB is a picture of W*H interleaved 8-bit triples, row by row.
type RGB struct {
	W, H int
	Pix  []byte
}

// Lab is a picture of W*H interleaved 8-bit triples of CIE L*a*b*, white D65:
// L* times 255/100, a* plus 128, b* plus 128.
type Lab struct {
	W, H int
	Pix  []byte
}

// Float is a picture of W*H values, row by row.
type Float struct {
	W, H int
	Pix  []float32
}

// Labels is a picture of W*H region numbers, row by row.
type Labels struct {
	W, H int
	Pix  []int32
}

// NewGray returns a black picture.
func NewGray(w, h int) Gray { return Gray{w, h, make([]byte, w*h)} }

// Plane is any picture of one kind of value.
type Plane interface {
	Gray | RGB | Lab | Float
	raster
}

// Bytes is any picture of 8-bit values.
type Bytes interface {
	Gray | RGB | Lab
	raster
}

// Levels is any picture of one value per pixel.
type Levels interface {
	Gray | Float
	raster
}

// Triples is any picture of three values per pixel.
type Triples interface {
	RGB | Lab
	raster
}

// Shown is any picture that can be looked at.
type Shown interface {
	Gray | RGB
	raster
}

// raster is a picture as OpenCV sees it.
type raster interface {
	layout() layout
}

type layout struct {
	w, h, channels int
	kind           gocv.MatType
	values         int
	bytes          []byte
}

func (p Gray) layout() layout {
	return layout{p.W, p.H, 1, gocv.MatTypeCV8UC1, len(p.Pix), p.Pix}
}

func (p RGB) layout() layout {
	return layout{p.W, p.H, 3, gocv.MatTypeCV8UC3, len(p.Pix), p.Pix}
}

func (p Lab) layout() layout {
	return layout{p.W, p.H, 3, gocv.MatTypeCV8UC3, len(p.Pix), p.Pix}
}

func (p Float) layout() layout {
	return layout{p.W, p.H, 1, gocv.MatTypeCV32FC1, len(p.Pix), bytesOf(p.Pix)}
}

func (p Labels) layout() layout {
	return layout{p.W, p.H, 1, gocv.MatTypeCV32SC1, len(p.Pix), bytesOf(p.Pix)}
}

func bytesOf[T float32 | float64 | int32](values []T) []byte {
	return unsafe.Slice((*byte)(unsafe.Pointer(unsafe.SliceData(values))), len(values)*int(unsafe.Sizeof(T(0))))
}

// check returns an error unless the picture has a size and just the memory
// for it.
func (l layout) check() error {
	if err := checkSize(l.w, l.h); err != nil {
		return err
	}
	if want := l.w * l.h * l.channels; l.values != want {
		return fmt.Errorf("picture of %d × %d pixels holds %d values instead of %d", l.w, l.h, l.values, want)
	}
	return nil
}

// blank returns a picture of the same kind as like, w*h pixels.
func blank[P Plane](like P, w, h int) P {
	var made any
	switch any(like).(type) {
	case Gray:
		made = Gray{w, h, make([]byte, w*h)}
	case RGB:
		made = RGB{w, h, make([]byte, 3*w*h)}
	case Lab:
		made = Lab{w, h, make([]byte, 3*w*h)}
	case Float:
		made = Float{w, h, make([]float32, w*h)}
	}
	return made.(P)
}

func checkSize(w, h int) error {
	if w <= 0 || h <= 0 || w > MaxSide || h > MaxSide {
		return fmt.Errorf("picture of %d × %d pixels: each side must be 1 to %d", w, h, MaxSide)
	}
	if w*h > MaxPixels {
		return fmt.Errorf("picture of %d × %d pixels: there must be at most %d", w, h, MaxPixels)
	}
	return nil
}

func isFinite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// call lends pictures to OpenCV for one call, in the order given, and turns a
// failure into an error that names the call.
func call(name string, do func(m []C.fw_mat, out *C.fw_failure), rasters ...raster) error {
	var pins runtime.Pinner
	defer pins.Unpin()
	lent := make([]C.fw_mat, len(rasters))
	for i, r := range rasters {
		l := r.layout()
		if err := l.check(); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		pins.Pin(unsafe.SliceData(l.bytes))
		m, err := gocv.NewMatFromBytes(l.h, l.w, l.kind, l.bytes)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		defer m.Close()
		lent[i] = C.fw_mat(unsafe.Pointer(m.Ptr()))
	}
	var failure C.fw_failure
	do(lent, &failure)
	return failed(name, &failure)
}

func failed(name string, f *C.fw_failure) error {
	if f.failed == 0 {
		return nil
	}
	return fmt.Errorf("%s: %s", name, C.GoString(&f.message[0]))
}

// like runs a call that makes a picture of the same kind and size.
func like[P Plane](name string, src P, do func(m []C.fw_mat, out *C.fw_failure)) (P, error) {
	l := src.layout()
	return sized(name, src, l.w, l.h, do)
}

// sized runs a call that makes a picture of the same kind, w*h pixels.
func sized[P Plane](name string, src P, w, h int, do func(m []C.fw_mat, out *C.fw_failure)) (P, error) {
	var none P
	if err := src.layout().check(); err != nil {
		return none, fmt.Errorf("%s: %w", name, err)
	}
	if err := checkSize(w, h); err != nil {
		return none, fmt.Errorf("%s: %w", name, err)
	}
	dst := blank(src, w, h)
	if err := call(name, do, src, dst); err != nil {
		return none, err
	}
	return dst, nil
}

// SetThreads bounds the threads that OpenCV works with, for the whole
// process. 0 or 1 means that it starts none.
func SetThreads(n int) error {
	if n < 0 || n > 1024 {
		return fmt.Errorf("set threads: %d is not 0 to 1024", n)
	}
	var failure C.fw_failure
	C.fw_set_threads(C.int(n), &failure)
	return failed("set threads", &failure)
}

// Threads returns the number of threads that OpenCV works with.
func Threads() int { return int(C.fw_threads()) }

// GrayOf returns a photograph's luminance; the memory is shared.
func GrayOf(p *photo.Photo) Gray { return Gray{p.Width, p.Height, p.Luma} }
