package find

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
)

func TestRoundThingsAreShadedBothWays(t *testing.T) {
	for _, c := range []struct {
		what  string
		shade []float64
		round bool
	}{
		{"a white pen", []float64{184, 196, 202, 205, 206, 213, 222, 200, 183}, true},
		{"a shining pen", []float64{156, 172, 192, 180, 173, 173, 169, 163, 152}, true},
		{"tape in even light", []float64{200, 201, 200, 199, 201, 202, 200, 201, 200}, false},
		{"tape in falling light", []float64{170, 175, 180, 185, 190, 195, 200, 205, 210}, false},
		{"tape with a dark edge", []float64{100, 104, 104, 105, 105, 104, 104, 105, 80}, false},
		{"tape between dark tapes", []float64{90, 140, 200, 201, 202, 200, 199, 140, 90}, false},
	} {
		if got := isRound(c.shade); got != c.round {
			t.Errorf("%s: round %v", c.what, got)
		}
	}
}

// A ring round a pen looks like two marks at one place; the marks of a strap
// stand along it.
func TestPlacesOfMarks(t *testing.T) {
	sin, cos := math.Sincos(0.6)
	b := slimBox{middle: mat.Point{X: 100, Y: 50}, ux: cos, uy: sin, long: 120, wide: 16}
	at := func(along ...float64) (marks []Stroke) {
		for i, a := range along {
			marks = append(marks, Stroke{At: b.at(a, 8*float64(1-2*(i%2)))})
		}
		return marks
	}
	for _, c := range []struct {
		marks []Stroke
		want  int
	}{{nil, 0}, {at(3), 1}, {at(20, 21), 1}, {at(-40, 40), 2}, {at(-40, -39, 0, 1, 30), 3}} {
		if got := b.placesOf(c.marks); got != c.want {
			t.Errorf("%d marks stand at %d places, want %d", len(c.marks), got, c.want)
		}
	}
}
