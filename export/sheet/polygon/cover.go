package polygon

import (
	"math"

	"flatwright/rectify/mat"
)

// Cover returns a shape with fewer corners that holds all of s and reaches at
// most toleranceMM beyond it: hollow corners are filled, and short edges
// between bulging corners give way to the prolonged neighbours, the least
// added area first. Openings shrink likewise.
func Cover(s Shape, toleranceMM float64) Shape {
	s = s.oriented()
	rings := s.Rings()
	for i := range rings {
		rings[i] = coverRing(rings, i, toleranceMM)
	}
	return Shape{Outline: rings[0], Openings: rings[1:]}
}

// change takes count points at index at out of a ring and sets put in.
type change struct {
	at, count int
	put       mat.Point
	hasPut    bool
	area      float64
}

func coverRing(rings [][]mat.Point, k int, toleranceMM float64) []mat.Point {
	orig := rings[k]
	ring := append([]mat.Point(nil), orig...)
	for len(ring) > 3 {
		best := change{area: math.Inf(1)}
		for i := range ring {
			for _, c := range changesAt(ring, i) {
				if c.area < best.area && reach(orig, ring, c) <= toleranceMM && c.free(ring, rings, k) {
					best = c
				}
			}
		}
		if math.IsInf(best.area, 1) {
			break
		}
		ring = best.apply(ring)
	}
	return ring
}

// changesAt returns the changes that add material at vertex i or at the edge
// from it to the next.
func changesAt(ring []mat.Point, i int) (out []change) {
	n := len(ring)
	a, b, c, d := ring[(i+n-1)%n], ring[i], ring[(i+1)%n], ring[(i+2)%n]
	if turn := cross(a, b, c); turn <= 0 {
		out = append(out, change{at: i, count: 1, area: -turn / 2})
	}
	if n < 4 || cross(a, b, c) <= 0 || cross(b, c, d) <= 0 {
		return out
	}
	if p, ok := meet(a, b, d, c); ok {
		out = append(out, change{at: i, count: 2, put: p, hasPut: true, area: math.Abs(cross(b, p, c)) / 2})
	}
	return out
}

// meet returns where the lines a-b, beyond b, and c-d, beyond d, meet.
func meet(a, b, c, d mat.Point) (mat.Point, bool) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	det := ux*vy - uy*vx
	if math.Abs(det) < 1e-9*math.Hypot(ux, uy)*math.Hypot(vx, vy) {
		return mat.Point{}, false
	}
	t := ((c.X-a.X)*vy - (c.Y-a.Y)*vx) / det
	s := ((c.X-a.X)*uy - (c.Y-a.Y)*ux) / det
	if t < 1 || s < 1 {
		return mat.Point{}, false
	}
	return mat.Point{X: a.X + t*ux, Y: a.Y + t*uy}, true
}

// ends returns the points before and after what is changed.
func (c change) ends(ring []mat.Point) (before, after mat.Point) {
	n := len(ring)
	return ring[(c.at+n-1)%n], ring[(c.at+c.count)%n]
}

// reach returns how far the changed stretch strays from the first ring.
func reach(orig, ring []mat.Point, c change) float64 {
	if c.hasPut {
		return toRing(c.put, orig)
	}
	// The distance from a ring along a segment is largest at its middle or at a
	// place that some vertex sets; a few places suffice, each with its share of
	// the way in between.
	a, b := c.ends(ring)
	const steps = 8
	far := 0.0
	for i := 1; i < steps; i++ {
		t := float64(i) / steps
		far = math.Max(far, toRing(mat.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}, orig))
	}
	return far
}

func toRing(p mat.Point, ring []mat.Point) float64 {
	least := math.Inf(1)
	for i, j := 0, len(ring)-1; i < len(ring); j, i = i, i+1 {
		least = math.Min(least, toSegment(p, ring[j], ring[i]))
	}
	return least
}

// free reports whether the changed stretch meets none of the other edges of
// its ring nor another ring.
func (c change) free(ring []mat.Point, rings [][]mat.Point, k int) bool {
	before, after := c.ends(ring)
	way := [][2]mat.Point{{before, after}}
	if c.hasPut {
		way = [][2]mat.Point{{before, c.put}, {c.put, after}}
	}
	n := len(ring)
	for _, w := range way {
		// Edges that touch the stretch's ends are left out of the ring's own.
		for s := c.count + 1; s < n-2; s++ {
			i := (c.at + s) % n
			if crosses(w[0], w[1], ring[i], ring[(i+1)%n]) {
				return false
			}
		}
		for r, other := range rings {
			if r != k && meetsRing(w[0], w[1], other) {
				return false
			}
		}
	}
	// What is filled must not swallow the rest of the ring.
	if n-c.count < 2 {
		return false
	}
	return true
}

func meetsRing(p, q mat.Point, ring []mat.Point) bool {
	for i, j := 0, len(ring)-1; i < len(ring); j, i = i, i+1 {
		if crosses(p, q, ring[j], ring[i]) {
			return true
		}
	}
	return false
}

func (c change) apply(ring []mat.Point) []mat.Point {
	n := len(ring)
	out := make([]mat.Point, 0, n)
	for s := c.count; s < n; s++ {
		out = append(out, ring[(c.at+s)%n])
	}
	if c.hasPut {
		out = append(out, c.put)
	}
	return out
}
