package practice

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Crowded is a pattern of fifty outlines of a hundred straight segments each,
// all over the mat, for measuring how quickly they are drawn.
func Crowded() pattern.Pattern {
	var out pattern.Pattern
	for i := range 50 {
		var pts []mat.Point
		for k := range 100 {
			a := float64(k) / 100 * 2 * math.Pi
			r := 12 + 1.5*math.Sin(9*a)
			pts = append(pts, mat.Point{X: 20 + float64(i%10)*29 + r*math.Cos(a), Y: 20 + float64(i/10)*40 + r*math.Sin(a)})
		}
		id := fmt.Sprintf("P%d", i)
		out.Pieces = append(out.Pieces, pattern.Piece{
			ID: id, Outline: curve.Polygon(pts...),
			Edges: []pattern.Edge{{ID: id + "1", Count: 100, Cut: pattern.Cut{Kind: pattern.Straight}}},
		})
	}
	return out
}
