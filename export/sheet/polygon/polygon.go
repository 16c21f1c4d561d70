// Package polygon is the plane geometry that nesting rests on: polygons with
// openings, their convex parts, coverings with fewer corners, and distances.
// Coordinates are in mm in whatever frame the caller uses.
package polygon

import (
	"math"

	"flatwright/rectify/mat"
)

// Shape is a filled polygon with openings. The rings need not repeat their
// first point and may run either way round.
type Shape struct {
	Outline  []mat.Point
	Openings [][]mat.Point
}

// Area returns the signed area of a ring in mm² (shoelace): positive when it
// turns from x towards y.
func Area(ring []mat.Point) float64 {
	if len(ring) == 0 {
		return 0
	}
	o, sum := ring[0], 0.0
	for i := 1; i+1 < len(ring); i++ {
		sum += cross(o, ring[i], ring[i+1])
	}
	return sum / 2
}

// AreaMM2 returns the area of the shape in mm², openings left out.
func (s Shape) AreaMM2() float64 {
	sum := math.Abs(Area(s.Outline))
	for _, o := range s.Openings {
		sum -= math.Abs(Area(o))
	}
	return sum
}

// Rings returns the outline followed by the openings.
func (s Shape) Rings() [][]mat.Point {
	return append([][]mat.Point{s.Outline}, s.Openings...)
}

// Map returns the shape with every point moved.
func (s Shape) Map(move func(mat.Point) mat.Point) Shape {
	out := Shape{Outline: mapRing(s.Outline, move)}
	for _, o := range s.Openings {
		out.Openings = append(out.Openings, mapRing(o, move))
	}
	return out
}

func mapRing(ring []mat.Point, move func(mat.Point) mat.Point) []mat.Point {
	out := make([]mat.Point, len(ring))
	for i, p := range ring {
		out[i] = move(p)
	}
	return out
}

// Placed returns the shape turned about the origin by turnDeg, from x towards
// y, and then shifted.
func (s Shape) Placed(turnDeg float64, shift mat.Point) Shape {
	sin, cos := SinCosDeg(turnDeg)
	return s.Map(func(p mat.Point) mat.Point {
		return mat.Point{X: cos*p.X - sin*p.Y + shift.X, Y: sin*p.X + cos*p.Y + shift.Y}
	})
}

// Mirrored returns the mirror image in the y axis.
func (s Shape) Mirrored() Shape {
	return s.Map(func(p mat.Point) mat.Point { return mat.Point{X: -p.X, Y: p.Y} })
}

// SinCosDeg returns the sine and cosine, exact at quarter turns.
func SinCosDeg(deg float64) (sin, cos float64) {
	switch d := math.Mod(deg, 360); d {
	case 0:
		return 0, 1
	case 90, -270:
		return 1, 0
	case 180, -180:
		return 0, -1
	case 270, -90:
		return -1, 0
	default:
		return math.Sincos(d * math.Pi / 180)
	}
}

// Box is an upright rectangle.
type Box struct{ MinX, MinY, MaxX, MaxY float64 }

// Width and Height return the sides in mm.
func (b Box) Width() float64 { return b.MaxX - b.MinX }

// Height returns the side along y in mm.
func (b Box) Height() float64 { return b.MaxY - b.MinY }

// BoxOf returns the smallest box that holds the points.
func BoxOf(pts []mat.Point) Box {
	inf := math.Inf(1)
	b := Box{inf, inf, -inf, -inf}
	for _, p := range pts {
		b.MinX, b.MaxX = math.Min(b.MinX, p.X), math.Max(b.MaxX, p.X)
		b.MinY, b.MaxY = math.Min(b.MinY, p.Y), math.Max(b.MaxY, p.Y)
	}
	return b
}

// oriented returns the shape cleaned, its outline with positive area and its
// openings with negative; rings without area are dropped.
func (s Shape) oriented() Shape {
	out := Shape{Outline: Clean(s.Outline)}
	if Area(out.Outline) < 0 {
		reverse(out.Outline)
	}
	for _, o := range s.Openings {
		ring := Clean(o)
		if len(ring) < 3 {
			continue
		}
		if Area(ring) > 0 {
			reverse(ring)
		}
		out.Openings = append(out.Openings, ring)
	}
	return out
}

func reverse(ring []mat.Point) {
	for i, j := 0, len(ring)-1; i < j; i, j = i+1, j-1 {
		ring[i], ring[j] = ring[j], ring[i]
	}
}

// sameMM is the distance below which points count as one.
const sameMM = 1e-9

// Clean returns a copy of the ring without doubled points and without points
// on the straight way between their neighbours.
func Clean(ring []mat.Point) []mat.Point {
	out := append([]mat.Point(nil), ring...)
	for i := 0; i < len(out) && len(out) > 2; {
		n := len(out)
		a, b, c := out[(i+n-1)%n], out[i], out[(i+1)%n]
		if needless(a, b, c) {
			out = append(out[:i], out[i+1:]...)
			i = max(i-2, 0)
			continue
		}
		i++
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

func needless(a, b, c mat.Point) bool {
	if dist(a, b) <= sameMM || dist(b, c) <= sameMM {
		return true
	}
	return math.Abs(cross(a, b, c)) <= sameMM*math.Max(dist(a, c), sameMM)
}

// cross returns twice the signed area of the triangle a, b, c.
func cross(a, b, c mat.Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

func dist(a, b mat.Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }
