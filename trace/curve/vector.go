package curve

import (
	"math"

	"flatwright/rectify/mat"
)

func add(a, b mat.Point) mat.Point { return mat.Point{X: a.X + b.X, Y: a.Y + b.Y} }

func sub(a, b mat.Point) mat.Point { return mat.Point{X: a.X - b.X, Y: a.Y - b.Y} }

func scale(a mat.Point, k float64) mat.Point { return mat.Point{X: a.X * k, Y: a.Y * k} }

func along(a, d mat.Point, k float64) mat.Point { return mat.Point{X: a.X + d.X*k, Y: a.Y + d.Y*k} }

func lerp(a, b mat.Point, t float64) mat.Point {
	return mat.Point{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}
}

func dot(a, b mat.Point) float64 { return a.X*b.X + a.Y*b.Y }

func cross(a, b mat.Point) float64 { return a.X*b.Y - a.Y*b.X }

func norm(a mat.Point) float64 { return math.Sqrt(a.X*a.X + a.Y*a.Y) }

func dist(a, b mat.Point) float64 { return norm(sub(a, b)) }

// unit returns a at length 1, or the zero vector when a has no direction.
func unit(a mat.Point) mat.Point {
	n := norm(a)
	if n == 0 {
		return mat.Point{}
	}
	return scale(a, 1/n)
}

// leftOf turns a by +90° in the storage frame (x towards y).
func leftOf(a mat.Point) mat.Point { return mat.Point{X: -a.Y, Y: a.X} }

// turn returns the signed angle from a to b in radians, -π to π.
func turn(a, b mat.Point) float64 { return math.Atan2(cross(a, b), dot(a, b)) }

func finite(p mat.Point) bool {
	return !math.IsNaN(p.X) && !math.IsInf(p.X, 0) && !math.IsNaN(p.Y) && !math.IsInf(p.Y, 0)
}

// meet returns the parameters along a+u·da and b+v·db of the lines' common
// point; ok is false for parallel lines.
func meet(a, da, b, db mat.Point) (u, v float64, ok bool) {
	den := cross(da, db)
	if math.Abs(den) <= 1e-12*norm(da)*norm(db) {
		return 0, 0, false
	}
	d := sub(b, a)
	return cross(d, db) / den, cross(d, da) / den, true
}
