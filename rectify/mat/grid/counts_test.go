package grid

import (
	"errors"
	"testing"

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
