package intake

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	gojpeg "image/jpeg"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// matLike is a picture of pale lines on a green ground with some noise, whose
// JPEG is about as hard to decode as a photograph of a mat.
func matLike(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	state := uint32(7)
	for i := 0; i < len(img.Pix); i += 4 {
		x, y := i/4%w, i/4/w
		state = state*1664525 + 1013904223
		v := int(state>>28) - 8 + int(30*math.Sin(float64(x+y)/400))
		if (x+y/9)%120 < 4 || (y-x/11+h)%120 < 4 {
			v += 110
		}
		img.SetRGBA(x, y, color.RGBA{clamp(float64(50 + v)), clamp(float64(110 + v)), clamp(float64(80 + v)), 255})
	}
	return img
}

// quickest returns the least time of n runs: what others do on the machine
// only ever adds.
func quickest(n int, run func()) time.Duration {
	times := make([]time.Duration, n)
	for i := range times {
		start := time.Now()
		run()
		times[i] = time.Since(start)
	}
	return slices.Min(times)
}

// BenchmarkOpen12MP reports the time of opening a 12 megapixel JPEG, upright
// and turned, as a multiple of what djpeg takes for the same file in the same
// run.
func BenchmarkOpen12MP(b *testing.B) {
	djpeg, err := exec.LookPath("djpeg")
	if err != nil {
		b.Skip("djpeg is not installed (libjpeg-turbo-progs), so that there is nothing to compare with")
	}
	var file bytes.Buffer
	if err := gojpeg.Encode(&file, matLike(4032, 3024), &gojpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	for _, o := range []int{1, 6} {
		path := filepath.Join(b.TempDir(), "mat.jpg")
		if err := os.WriteFile(path, jpegWith(file.Bytes(), exif(o)), 0o600); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("orientation %d", o), func(b *testing.B) { compare(b, djpeg, path) })
	}
}

func compare(b *testing.B, djpeg, path string) {
	open := quickest(5, func() {
		if _, err := Open(context.Background(), path); err != nil {
			b.Fatal(err)
		}
	})
	plain := quickest(5, func() {
		if err := exec.Command(djpeg, "-outfile", os.DevNull, path).Run(); err != nil {
			b.Fatal(err)
		}
	})
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(open.Milliseconds()), "ms")
	b.ReportMetric(float64(plain.Milliseconds()), "djpeg-ms")
	b.ReportMetric(float64(open)/float64(plain), "x-djpeg")
}

// BenchmarkOpenHEIC12MP reports the time of opening a 12 megapixel HEIC
// picture, the first in a program and later ones, as multiples of what djpeg
// takes for a JPEG of the same picture.
func BenchmarkOpenHEIC12MP(b *testing.B) {
	djpeg, err := exec.LookPath("djpeg")
	if err != nil {
		b.Skip("djpeg is not installed (libjpeg-turbo-progs), so that there is nothing to compare with")
	}
	encode, err := exec.LookPath("heif-enc")
	if err != nil {
		b.Skip("heif-enc is not installed (libheif-examples), so that there is no HEIC of that size")
	}
	jpg, heic := filepath.Join(b.TempDir(), "mat.jpg"), filepath.Join(b.TempDir(), "mat.heic")
	var file bytes.Buffer
	if err := gojpeg.Encode(&file, matLike(4032, 3024), &gojpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(jpg, file.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	if out, err := exec.Command(encode, "-q", "60", jpg, "-o", heic).CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	open := func() {
		if _, err := Open(context.Background(), heic); err != nil {
			b.Fatal(err)
		}
	}
	first, later := quickest(1, open), quickest(3, open)
	plain := quickest(5, func() {
		if err := exec.Command(djpeg, "-outfile", os.DevNull, jpg).Run(); err != nil {
			b.Fatal(err)
		}
	})
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(float64(first.Milliseconds()), "first-ms")
	b.ReportMetric(float64(later.Milliseconds()), "later-ms")
	b.ReportMetric(float64(plain.Milliseconds()), "djpeg-ms")
	b.ReportMetric(float64(later)/float64(plain), "x-djpeg")
}
