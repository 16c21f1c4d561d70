package cv

// #include "shim.h"
import "C"

import "fmt"

// MorphOp is an operation of grey-scale morphology (Serra 1982).
type MorphOp int

// The operations. TopHat is what Open takes away, BlackHat what Close adds.
const (
	Erode MorphOp = iota
	Dilate
	Open
	Close
	TopHat
	BlackHat
)

// Shape is the shape of a structuring element.
type Shape int

// The shapes of structuring elements.
const (
	Rectangle Shape = iota
	Ellipse
	Cross
)

// MaxElementPx bounds the side of a structuring element.
const MaxElementPx = 1001

// Morph returns the picture after an operation with a structuring element of
// w*h pixels, anchored in its middle. Pixels beyond the border do not count.
func Morph(src Gray, op MorphOp, shape Shape, w, h int) (Gray, error) {
	if op < Erode || op > BlackHat || shape < Rectangle || shape > Cross {
		return Gray{}, fmt.Errorf("morph: operation %d with shape %d is unknown", op, shape)
	}
	if w < 1 || h < 1 || w > MaxElementPx || h > MaxElementPx {
		return Gray{}, fmt.Errorf("morph: element of %d × %d px: each side must be 1 to %d", w, h, MaxElementPx)
	}
	return toGray("morph", src, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_morph(m[0], m[1], C.int(op), C.int(shape), C.int(w), C.int(h), out)
	})
}
