package polygon

import (
	"math"

	"flatwright/rectify/mat"
)

// Holds reports whether p lies in the ring, by the even-odd rule; points on
// the ring may count either way.
func Holds(ring []mat.Point, p mat.Point) bool {
	in := false
	for i, j := 0, len(ring)-1; i < len(ring); j, i = i, i+1 {
		a, b := ring[i], ring[j]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}

// Holds reports whether p lies in the shape's material.
func (s Shape) Holds(p mat.Point) bool {
	if !Holds(s.Outline, p) {
		return false
	}
	for _, o := range s.Openings {
		if Holds(o, p) {
			return false
		}
	}
	return true
}

// DistanceMM returns the least distance between two shapes; 0 where they
// touch, cross or one lies in the other's material. One in an opening of the
// other does not overlap it.
func DistanceMM(a, b Shape) float64 {
	if a.Holds(b.Outline[0]) || b.Holds(a.Outline[0]) {
		return 0
	}
	least := math.Inf(1)
	for _, ra := range a.Rings() {
		for _, rb := range b.Rings() {
			least = math.Min(least, ringDistance(ra, rb, least))
		}
	}
	return least
}

// ringDistance returns the least distance between two rings, or any value not
// below least when it is no less.
func ringDistance(a, b []mat.Point, least float64) float64 {
	for i, j := 0, len(a)-1; i < len(a); j, i = i, i+1 {
		box := BoxOf([]mat.Point{a[j], a[i]})
		for k, l := 0, len(b)-1; k < len(b); l, k = k, k+1 {
			if apart(box, b[l], b[k]) >= least {
				continue
			}
			least = math.Min(least, segmentDistance(a[j], a[i], b[l], b[k]))
		}
	}
	return least
}

// apart returns the larger of the gaps along x and y between a box and a
// segment's box: their distance is no less.
func apart(box Box, p, q mat.Point) float64 {
	dx := math.Max(math.Min(p.X, q.X)-box.MaxX, box.MinX-math.Max(p.X, q.X))
	dy := math.Max(math.Min(p.Y, q.Y)-box.MaxY, box.MinY-math.Max(p.Y, q.Y))
	return math.Max(dx, dy)
}

func segmentDistance(a, b, c, d mat.Point) float64 {
	if crosses(a, b, c, d) {
		return 0
	}
	return min(toSegment(a, c, d), toSegment(b, c, d), toSegment(c, a, b), toSegment(d, a, b))
}

// crosses reports whether two segments share a point.
func crosses(a, b, c, d mat.Point) bool {
	s, t := cross(a, b, c), cross(a, b, d)
	u, v := cross(c, d, a), cross(c, d, b)
	if s == 0 && t == 0 {
		return false // on one line: the ends' distances tell
	}
	return (s <= 0) != (t < 0) && (u <= 0) != (v < 0) && s*t <= 0 && u*v <= 0
}

// toSegment returns the distance of p from the segment a-b.
func toSegment(p, a, b mat.Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	n := dx*dx + dy*dy
	if n == 0 {
		return dist(p, a)
	}
	t := math.Min(math.Max(((p.X-a.X)*dx+(p.Y-a.Y)*dy)/n, 0), 1)
	return math.Hypot(a.X+t*dx-p.X, a.Y+t*dy-p.Y)
}
