package find

import (
	"math"
	"testing"

	"flatwright/rectify/photo"
)

// ringOf strings points a px apart along a closed polygon.
func ringOf(corners ...photo.Point) []spot {
	var s []spot
	for i, a := range corners {
		b := corners[(i+1)%len(corners)]
		n := int(math.Hypot(b.X-a.X, b.Y-a.Y))
		for k := range n {
			t := float64(k) / float64(n)
			s = append(s, spot{Point: photo.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}})
		}
	}
	return s
}

func TestCutSpurs(t *testing.T) {
	// A finger along a slanted line on the top side of a square.
	s := ringOf(photo.Point{}, photo.Point{X: 90}, photo.Point{X: 110, Y: -20}, photo.Point{X: 114, Y: -18}, photo.Point{X: 96}, photo.Point{X: 200}, photo.Point{X: 200, Y: 200}, photo.Point{Y: 200})
	for _, turn := range []int{0, 95, 110, 300} { // wherever the loop starts
		r := append(append([]spot(nil), s[turn:]...), s[:turn]...)
		for _, q := range cutSpurs(r, 6) {
			if q.Y < -1.5 {
				t.Errorf("start %d: a point at (%.1f, %.1f) is left of the finger", turn, q.X, q.Y)
				break
			}
		}
	}
}

func TestCutSpursLeavesShapes(t *testing.T) {
	for name, s := range map[string][]spot{
		"square":    ringOf(photo.Point{}, photo.Point{X: 200}, photo.Point{X: 200, Y: 200}, photo.Point{Y: 200}),
		"sharp tip": ringOf(photo.Point{}, photo.Point{X: 300, Y: 40}, photo.Point{Y: 80}),
		"dart":      ringOf(photo.Point{}, photo.Point{X: 97}, photo.Point{X: 100, Y: 60}, photo.Point{X: 103}, photo.Point{X: 200}, photo.Point{X: 200, Y: 200}, photo.Point{Y: 200}),
		"broad tab": ringOf(photo.Point{}, photo.Point{X: 90}, photo.Point{X: 90, Y: -30}, photo.Point{X: 110, Y: -30}, photo.Point{X: 110}, photo.Point{X: 200}, photo.Point{X: 200, Y: 200}, photo.Point{Y: 200}),
	} {
		if got := cutSpurs(s, 6); len(got) != len(s) {
			t.Errorf("%s: %d points of %d are left", name, len(got), len(s))
		}
	}
}
