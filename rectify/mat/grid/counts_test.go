package grid

import (
	"errors"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// ruled are samples on 20 columns and 12 rows, 60 px apart and a little
// closer to the right, with a strip covered.
func ruled(covered func(column float64) bool) []mat.LinePoint {
	var out []mat.LinePoint
	x := func(c float64) float64 { return 60*c - 0.3*c*c }
	for c := range 20 {
		for r := range 12 {
			if covered(float64(c)) {
				continue
			}
			out = append(out, mat.LinePoint{Family: mat.Columns, Index: c, Along: float64(r) + 0.5, At: photo.Point{X: x(float64(c)), Y: 60 * (float64(r) + 0.5)}})
			out = append(out, mat.LinePoint{Family: mat.Rows, Index: r, Along: float64(c) + 0.5, At: photo.Point{X: x(float64(c) + 0.5), Y: 60 * float64(r)}})
		}
	}
	return out
}

// A part of the mat that is counted one line too far, or that was caught at a
// line between, is found out across whatever covers the strip before it.
func TestCountsAreProven(t *testing.T) {
	for _, c := range []struct {
		name    string
		covered func(float64) bool
		slip    int
		offPx   float64
		wrong   bool
	}{
		{"as it should be", func(float64) bool { return false }, 0, 0, false},
		{"four columns covered", func(c float64) bool { return c >= 8 && c < 12 }, 0, 0, false},
		{"one too far behind four covered", func(c float64) bool { return c >= 8 && c < 12 }, 1, 0, true},
		{"one too few behind one covered", func(c float64) bool { return c == 9 }, -1, 0, true},
		{"a half off behind four covered", func(c float64) bool { return c >= 8 && c < 12 }, 0, 25, true},
		{"one too far with nothing covered", func(float64) bool { return false }, 1, 0, true},
	} {
		points := ruled(c.covered)
		for i := range points {
			if p := &points[i]; p.Family == mat.Columns && p.Index >= 10 {
				p.Index += c.slip
				p.At.X += c.offPx
			}
		}
		err := checkCounts(points, "a.jpg")
		var slip *SlipError
		if errors.As(err, &slip) != c.wrong {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.wrong && (slip == nil || slip.Family != mat.Columns || slip.Between[0] >= 10 || slip.Between[1] < 9) {
			t.Errorf("%s: found at %+v", c.name, slip)
		}
	}
}

// Texture that was taken for lines lies anywhere, and is no slip.
func TestTextureIsNoSlip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := ruled(func(float64) bool { return false })
		seed := rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 5))
		for i := range points {
			// A piece over columns 4 to 9 shows lines up to 0.15 pitch off.
			if p := &points[i]; p.Family == mat.Columns && p.Index >= 4 && p.Index < 9 && p.Along > 3 && p.Along < 8 {
				p.At.X += 60 * 0.15 * (2*rng.Float64() - 1)
			}
		}
		if err := checkCounts(points, "a.jpg"); err != nil {
			t.Fatal(err)
		}
	})
}
