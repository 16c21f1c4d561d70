package scene

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/jpeg"
	"math"
	"testing"

	"flatwright/rectify/photo"
)

// quarters is a picture with four flat colours, so that every orientation can
// be told apart.
func quarters(w, h int) *photo.Photo {
	p := &photo.Photo{Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	for y := range h {
		for x := range w {
			c := [3]byte{30, 30, 30}
			if x >= w/2 {
				c[0] = 220
			}
			if y >= h/2 {
				c[1] = 220
			}
			copy(p.RGB[3*(y*w+x):], c[:])
		}
	}
	return p
}

func TestOrientationComesBackUpright(t *testing.T) {
	want := quarters(64, 48)
	for o := 0; o <= 8; o++ {
		var buf bytes.Buffer
		if err := EncodeJPEG(&buf, want, 95, Tags{Orientation: o, Focal35MM: 26}); err != nil {
			t.Fatal(err)
		}
		img, err := jpeg.Decode(&buf)
		if err != nil {
			t.Fatal(err)
		}
		if tall := img.Bounds().Dy() > img.Bounds().Dx(); tall != (o >= 5) {
			t.Errorf("orientation %d is stored as %v", o, img.Bounds())
		}
		got := quarters(64, 48)
		clear(got.RGB)
		unstore(img.(*image.YCbCr), o, got)
		for _, at := range []int{0, 63, 64 * 47, 64*48 - 1} {
			for k := range 3 {
				if d := int(got.RGB[3*at+k]) - int(want.RGB[3*at+k]); d < -12 || d > 12 {
					t.Errorf("orientation %d: pixel %d is %v, want %v", o, at, got.RGB[3*at:3*at+3], want.RGB[3*at:3*at+3])
				}
			}
		}
	}
}

func TestStoredPixelsByTheExifTable(t *testing.T) {
	// EXIF 2.32, tag 0x0112 (from memory): under 6 the stored top-left pixel
	// is the picture's top right, under 8 its bottom left, under 3 its bottom
	// right. The stored picture is 4 wide and 3 high.
	for _, tc := range []struct{ o, x, y int }{{1, 0, 0}, {3, 3, 2}, {6, 2, 0}, {8, 0, 3}} {
		if x, y := upright(tc.o, 0, 0, 4, 3); x != tc.x || y != tc.y {
			t.Errorf("orientation %d puts the first pixel at (%d, %d), want (%d, %d)", tc.o, x, y, tc.x, tc.y)
		}
	}
}

func TestExifTags(t *testing.T) {
	b := exif(Tags{Orientation: 6, Focal35MM: 24})
	if b[0] != 0xff || b[1] != 0xe1 || int(binary.BigEndian.Uint16(b[2:])) != len(b)-2 {
		t.Fatalf("the segment's head is %x, its length %d", b[:4], len(b))
	}
	tiff := b[10:]
	find := func(ifd uint32, tag uint16) (uint32, bool) {
		le := binary.LittleEndian
		for i := range int(le.Uint16(tiff[ifd:])) {
			e := tiff[int(ifd)+2+12*i:]
			if le.Uint16(e) == tag {
				return le.Uint32(e[8:]), true
			}
		}
		return 0, false
	}
	if v, ok := find(8, 0x0112); !ok || v != 6 {
		t.Errorf("orientation %v %v", v, ok)
	}
	sub, ok := find(8, 0x8769)
	if !ok {
		t.Fatal("no EXIF directory")
	}
	if v, ok := find(sub, 0xA405); !ok || v != 24 {
		t.Errorf("focal length %v %v", v, ok)
	}
	if exif(Tags{}) != nil {
		t.Error("a segment was written for no tags")
	}
}

func TestEncodeRefusesAnUnknownOrientation(t *testing.T) {
	if err := EncodeJPEG(&bytes.Buffer{}, quarters(16, 16), 90, Tags{Orientation: 9}); err == nil {
		t.Error("orientation 9 was written")
	}
}

func TestShootIsRenderThroughJPEG(t *testing.T) {
	s := smallScene(9)
	s.Sensor.Quality, s.Sensor.Orientation, s.Sensor.Focal35MM = 92, 6, 26
	s.Sensor.Noise = 0.8
	want, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Shoot(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	var squares float64
	for i := range want.Luma {
		d := float64(want.Luma[i]) - float64(got.Luma[i])
		squares += d * d
	}
	if rms := math.Sqrt(squares / float64(len(want.Luma))); rms > 3 || rms == 0 {
		t.Errorf("JPEG changed the luminance by %.2f steps RMS", rms)
	}
	// 26 mm on the 43.27 mm diagonal.
	if want := 26 / 43.2666 * math.Hypot(float64(s.Width), float64(s.Height)); math.Abs(got.FocalPx-want) > 0.01 {
		t.Errorf("the tag claims %v px, want %v", got.FocalPx, want)
	}
}
