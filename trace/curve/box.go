package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// Box is an upright rectangle on the mat, in mm.
type Box struct{ Min, Max mat.Point }

func emptyBox() Box {
	inf := math.Inf(1)
	return Box{Min: mat.Point{X: inf, Y: inf}, Max: mat.Point{X: -inf, Y: -inf}}
}

// Empty tells whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Union returns the smallest box that holds both.
func (b Box) Union(c Box) Box {
	if c.Empty() {
		return b
	}
	return b.with(c.Min).with(c.Max)
}

// Contains tells whether p lies in the box or on its border.
func (b Box) Contains(p mat.Point) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// DistanceMM returns how far p lies outside the box, 0 inside.
func (b Box) DistanceMM(p mat.Point) float64 {
	dx := max(0, max(b.Min.X-p.X, p.X-b.Max.X))
	dy := max(0, max(b.Min.Y-p.Y, p.Y-b.Max.Y))
	return math.Hypot(dx, dy)
}

func (b Box) with(p mat.Point) Box {
	return Box{
		Min: mat.Point{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)},
		Max: mat.Point{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)},
	}
}
