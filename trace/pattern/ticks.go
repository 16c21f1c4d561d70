package pattern

import (
	"math"

	"flatwright/rectify/mat"
)

// MostTicks bounds the strokes of one mark: more cannot be counted at a glance.
const MostTicks = 3

// tickMM is the distance between the strokes of one mark.
const tickMM = 3

// Strokes returns the mark's strokes: one, or several side by side, the middle
// of them at the mark's place.
func (m Mark) Strokes() []Mark {
	n := max(1, m.Ticks)
	along := mat.Point{X: -(m.In.Y - m.At.Y), Y: m.In.X - m.At.X}
	if length := math.Hypot(along.X, along.Y); length > 0 {
		along = mat.Point{X: along.X / length, Y: along.Y / length}
	}
	out := make([]Mark, n)
	for k := range out {
		by := tickMM * (float64(k) - float64(n-1)/2)
		out[k] = Mark{
			At: mat.Point{X: m.At.X + by*along.X, Y: m.At.Y + by*along.Y},
			In: mat.Point{X: m.In.X + by*along.X, Y: m.In.Y + by*along.Y},
		}
	}
	return out
}
