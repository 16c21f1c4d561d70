package grid_test

import (
	"context"
	"errors"
	"testing"

	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// beside puts two photographs of the same height side by side.
func beside(a, b *photo.Photo) *photo.Photo {
	w := a.Width + b.Width
	out := &photo.Photo{Name: "two.jpg", Width: w, Height: a.Height, RGB: make([]byte, 3*w*a.Height), Luma: make([]byte, w*a.Height)}
	for y := range a.Height {
		copy(out.Luma[y*w:], a.Luma[y*a.Width:(y+1)*a.Width])
		copy(out.Luma[y*w+a.Width:], b.Luma[y*b.Width:(y+1)*b.Width])
		copy(out.RGB[3*y*w:], a.RGB[3*y*a.Width:3*(y+1)*a.Width])
		copy(out.RGB[3*(y*w+a.Width):], b.RGB[3*y*b.Width:3*(y+1)*b.Width])
	}
	return out
}

// Two mats in one photograph, at angles of their own, are refused and both
// named; one of them alone is read.
func TestTwoMatsAreRefused(t *testing.T) {
	shot := func(seed uint64, pitchMM float64, colour string) *photo.Photo {
		p, err := scene.Shoot(context.Background(), scene.Random(seed, scene.RandomOptions{
			Megapixels: 3, PitchMM: pitchMM, MinorPerPitch: 1, MatColour: colour, MaxTiltDeg: 8, MaxPieces: 1, MinFocal35MM: 28, MaxFocal35MM: 28,
		}))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	a, b := shot(31, 25.4, "green"), shot(32, 25.4, "blue")
	if a.Height != b.Height {
		t.Fatalf("pictures of %d and %d rows", a.Height, b.Height)
	}
	for _, p := range []*photo.Photo{a, b} {
		if _, err := grid.Find(context.Background(), p, grid.Sizes{PitchMM: 25.4}); err != nil {
			t.Fatalf("one alone: %v", err)
		}
	}
	var two *grid.TwoGridsError
	_, err := grid.Find(context.Background(), beside(a, b), grid.Sizes{PitchMM: 25.4})
	if !errors.As(err, &two) {
		t.Fatalf("two mats: %v", err)
	}
	left, right := two.A.X, two.B.X
	if left > right {
		left, right = right, left
	}
	if left > float64(a.Width) || right < float64(a.Width) {
		t.Errorf("the middles are %v and %v, beside a seam at %d", two.A, two.B, a.Width)
	}
}
