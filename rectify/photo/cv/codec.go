package cv

// #include "shim.h"
import "C"

import (
	"bytes"
	"fmt"
	"unsafe"
)

// EncodePNG returns the picture as a PNG file.
func EncodePNG[P Shown](src P) ([]byte, error) {
	return encode("encode PNG", src, 0)
}

// EncodeJPEG returns the picture as a JPEG file of quality 1 to 100.
func EncodeJPEG[P Shown](src P, quality int) ([]byte, error) {
	if quality < 1 || quality > 100 {
		return nil, fmt.Errorf("encode JPEG: quality %d is not 1 to 100", quality)
	}
	return encode("encode JPEG", src, quality)
}

// encode writes PNG for a quality of 0.
func encode(name string, src raster, quality int) ([]byte, error) {
	var file C.fw_bytes
	err := call(name, func(m []C.fw_mat, out *C.fw_failure) {
		C.fw_encode(m[0], C.int(quality), &file, out)
	}, src)
	defer C.fw_free(unsafe.Pointer(file.data))
	if err != nil {
		return nil, err
	}
	return bytes.Clone(unsafe.Slice((*byte)(file.data), int(file.length))), nil
}
