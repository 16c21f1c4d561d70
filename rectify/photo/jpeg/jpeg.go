// Package jpeg decodes a JPEG photograph quickly and honestly: a file that
// breaks off or is corrupt is refused, never filled up with grey. It stands
// on libjpeg, whose errors all come back as Go errors.
package jpeg

/*
#cgo pkg-config: libjpeg
#cgo CFLAGS: -O3 -Wall -Wextra
#include <stdlib.h>
#include "decode.h"
*/
import "C"

import (
	"context"
	"errors"
	"fmt"
	"unsafe"

	"flatwright/rectify/photo"
)

// MaxScans bounds the scans of a progressive picture. Encoders write 6 to 20;
// a file made to waste time could hold thousands.
const MaxScans = 100

// Errors that Size and Decode return, wrapped with detail.
var (
	// ErrInvalid: this is no JPEG file, or one that libjpeg does not know.
	ErrInvalid = errors.New("not a JPEG picture that can be read")
	// ErrScans: more than MaxScans scans.
	ErrScans = errors.New("too many scans")
	// ErrCoding: colours other than grey, YCbCr, RGB and CMYK, or arithmetic
	// coding, in which damage cannot be told.
	ErrCoding = errors.New("coded in a way that is not read")
)

// DamageError is a file that breaks off or is corrupt.
type DamageError struct {
	// Rows of Height were sound, counted as stored in the file; 0 when the
	// picture is Progressive, where damage touches all rows.
	Rows, Height int
	Progressive  bool
	// Scan is the number of the scan that is damaged, from 1.
	Scan int
	// Detail is libjpeg's own message.
	Detail string
}

func (e *DamageError) Error() string {
	if e.Progressive {
		return fmt.Sprintf("damaged in scan %d: %s", e.Scan, e.Detail)
	}
	return fmt.Sprintf("damaged after row %d of %d: %s", e.Rows, e.Height, e.Detail)
}

// Size returns the size of the picture as stored, in pixels, from the header
// alone. It allocates no memory for pixels.
func Size(data []byte) (width, height int, err error) {
	if len(data) == 0 {
		return 0, 0, fmt.Errorf("%w: no data", ErrInvalid)
	}
	var h C.fw_jpeg_header
	C.fw_jpeg_read_header(bytesPtr(data), C.size_t(len(data)), &h)
	if err := outcome(&h.result, 0); err != nil {
		return 0, 0, err
	}
	return int(h.width), int(h.height), nil
}

// Decode returns the picture upright, as RGB and luminance (see photo.Photo).
// The caller must have held the size against its limits before. The luminance
// is the coded one where the file codes luminance. It returns a *DamageError,
// one of the errors above, or the context's error.
func Decode(ctx context.Context, data []byte, o photo.Orientation) (*photo.Photo, error) {
	return decode(ctx, data, o, MaxScans)
}

func decode(ctx context.Context, data []byte, o photo.Orientation, maxScans int) (*photo.Photo, error) {
	w, h, err := Size(data)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	place := o.Place(w, h)
	p := &photo.Photo{Width: place.Width, Height: place.Height, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	cancel, release := cancelFlag(ctx)
	defer release()
	order := C.fw_jpeg_order{
		width: C.int(w), height: C.int(h), max_scans: C.int(maxScans), cancel: cancel,
		base: C.long(place.Base), step_x: C.long(place.StepX), step_y: C.long(place.StepY),
	}
	var result C.fw_jpeg_result
	C.fw_jpeg_decode(bytesPtr(data), C.size_t(len(data)), &order, bytesPtr(p.RGB), bytesPtr(p.Luma), &result)
	if result.status == C.FW_CANCELLED {
		return nil, ctx.Err()
	}
	if err := outcome(&result, h); err != nil {
		return nil, err
	}
	return p, nil
}

// cancelFlag returns a flag that is raised when the context ends, and a
// function that frees it.
func cancelFlag(ctx context.Context) (flag *C.int, release func()) {
	flag = (*C.int)(C.calloc(1, C.size_t(unsafe.Sizeof(C.int(0)))))
	raised := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		C.fw_jpeg_raise(flag)
		close(raised)
	})
	return flag, func() {
		if !stop() {
			<-raised // or else the flag is freed under the watcher's hand
		}
		C.free(unsafe.Pointer(flag))
	}
}

func outcome(r *C.fw_jpeg_result, height int) error {
	text := C.GoString(&r.message[0])
	switch r.status {
	case C.FW_OK:
		return nil
	case C.FW_DAMAGED:
		e := &DamageError{Rows: int(r.rows), Height: height, Scan: int(r.scan), Progressive: r.progressive != 0, Detail: text}
		if e.Progressive {
			e.Rows = 0
		}
		return e
	case C.FW_SCANS:
		return ErrScans
	case C.FW_CODING:
		return fmt.Errorf("%w: %s", ErrCoding, text)
	default:
		return fmt.Errorf("%w: %s", ErrInvalid, text)
	}
}

func bytesPtr(b []byte) *C.uchar { return (*C.uchar)(unsafe.SliceData(b)) }
