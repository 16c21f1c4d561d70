package intake

import (
	"bytes"
	"context"
	"errors"
	"math"
	"testing"

	"flatwright/rectify/photo"
)

// TestHEIC: the picture of still.jpg, of which both lie some levels off; a
// turn that container and tag both state is done once; the focal length is
// that of the tags.
func TestHEIC(t *testing.T) {
	want, p := mustDecode(t, "a.jpg", read(t, "still.jpg")), mustDecode(t, "a.heic", read(t, "still.heic"))
	if p.Width != 83 || p.Height != 61 || p.Name != "a.heic" || p.FocalPx != 0 {
		t.Fatalf("%s: %d × %d pixels, focal length %g", p.Name, p.Width, p.Height, p.FocalPx)
	}
	sum := 0.0
	for i, v := range p.Luma {
		sum += math.Abs(float64(v) - float64(want.Luma[i]))
	}
	if mean := sum / float64(len(p.Luma)); mean > 1.5 {
		t.Errorf("%.2f levels off on the mean", mean)
	}
	turned := mustDecode(t, "b.heic", read(t, "turned.heic"))
	place := photo.Orientation(6).Place(83, 61)
	for i, v := range p.Luma {
		if at := place.Base + i%83*place.StepX + i/83*place.StepY; turned.Width != 61 || turned.Luma[at] != v {
			t.Fatalf("stored pixel %d is not at %d", i, at)
		}
	}
	if f := 26 / 43.2666 * math.Hypot(83, 61); math.Abs(turned.FocalPx-f) > 0.01 || turned.FocalUnsure {
		t.Errorf("focal length %.2f px, unsure %v, want %.2f", turned.FocalPx, turned.FocalUnsure, f)
	}
}

// TestHEICBrands: phones write more or less general brands for the same file.
func TestHEICBrands(t *testing.T) {
	for _, brand := range []string{"mif1", "heix", "heim", "heis"} {
		data := bytes.Clone(read(t, "still.heic"))
		copy(data[8:], brand)
		mustDecode(t, brand, data)
	}
	// The pictures in a container of a general brand may be coded in another way.
	data := bytes.ReplaceAll(read(t, "turned.heic"), []byte("grid"), []byte("av01"))
	if _, err := Decode(context.Background(), "a.heif", data); !errors.Is(err, photo.ErrFormat) {
		t.Errorf("AV1: error %v", err)
	}
}

func TestHEICBeyondLimits(t *testing.T) {
	for _, limits := range []photo.Limits{
		{MaxPixels: 5000, MaxSide: 1000, MaxBytes: 1 << 20},
		{MaxPixels: 1 << 20, MaxSide: 82, MaxBytes: 1 << 20},
		{MaxPixels: 1 << 20, MaxSide: 1000, MaxBytes: 500},
	} {
		if _, err := DecodeWithin(context.Background(), "a.heic", read(t, "turned.heic"), limits); !errors.Is(err, photo.ErrTooLarge) {
			t.Errorf("%+v: error %v", limits, err)
		}
	}
}
