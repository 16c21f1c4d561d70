package session

import (
	"math"

	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// labelSteps is how finely the places for a label are tried across a piece.
const labelSteps = 15

// labelToleranceMM is enough to tell where there is room for a letter.
const labelToleranceMM = 1

// labelPlace returns the place on a lattice over the piece that lies farthest
// from everything drawn in it.
func labelPlace(p pattern.Piece) mat.Point {
	var outlines [][]view.Point
	for _, path := range loops(p) {
		outlines = append(outlines, coarse(path))
	}
	lines := outlines
	for _, l := range p.Lines {
		lines = append(lines, coarse(l.Path))
	}
	box := view.Bounds(outlines[0])
	best, room := view.Point{X: (box.Min.X + box.Max.X) / 2, Y: (box.Min.Y + box.Max.Y) / 2}, 0.0
	for i := range labelSteps * labelSteps {
		at := view.Point{
			X: box.Min.X + (box.Max.X-box.Min.X)*(float64(i%labelSteps)+0.5)/labelSteps,
			Y: box.Min.Y + (box.Max.Y-box.Min.Y)*(float64(i/labelSteps)+0.5)/labelSteps,
		}
		in := false
		for _, l := range outlines {
			in = in != view.Inside(l, at)
		}
		if d := clearance(lines, at, room); in && d > room {
			best, room = at, d
		}
	}
	return mat.Point(best)
}

// clearance is the distance to the nearest of the lines; it gives up at a
// distance that is no better than known.
func clearance(lines [][]view.Point, at view.Point, known float64) float64 {
	d := math.Inf(1)
	for _, l := range lines {
		if d = math.Min(d, distance(l, at)); d <= known {
			return d
		}
	}
	return d
}

func coarse(p curve.Path) []view.Point {
	var out []view.Point
	for _, q := range p.Flatten(labelToleranceMM) {
		out = append(out, view.Point(q))
	}
	if p.Closed && len(out) > 0 {
		out = append(out, out[0])
	}
	return out
}
