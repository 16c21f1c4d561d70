package polygon

import (
	"errors"
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// ErrNotSimple says that a shape's rings cross, so that it has no parts.
var ErrNotSimple = errors.New("the outline crosses itself or an opening")

// Parts returns convex polygons, each with positive area, that make up the
// shape: ears are clipped (openings are joined to the outline by bridges:
// Eberly, Triangulation by Ear Clipping, 2002) and the triangles merged across
// diagonals that no corner needs (Hertel and Mehlhorn 1983; both from memory),
// in several orders of which the one with fewest parts is kept.
func Parts(s Shape) ([][]mat.Point, error) {
	s = s.oriented()
	if len(s.Outline) < 3 {
		return nil, errors.New("the outline has no area")
	}
	ring, pts := bridged(s)
	triangles, err := clipEars(ring, pts)
	if err != nil {
		return nil, err
	}
	sum := 0.0
	for _, t := range triangles {
		sum += Area(pointsOf(t, pts))
	}
	// Where rings cross, the triangles are not the shape.
	if want := s.AreaMM2(); math.Abs(sum-want) > 1e-6*math.Max(sum, want) {
		return nil, ErrNotSimple
	}
	best := merge(triangles, pts, rand.New(rand.NewPCG(1, 0)))
	for k := range mergeTries {
		if got := merge(triangles, pts, rand.New(rand.NewPCG(1, uint64(k)+1))); len(got) < len(best) {
			best = got
		}
	}
	out := make([][]mat.Point, 0, len(best))
	for _, part := range best {
		if p := Clean(pointsOf(part, pts)); p != nil {
			out = append(out, p)
		}
	}
	return out, nil
}

// mergeTries is how many orders of merging are tried.
const mergeTries = 12

func pointsOf(part []int, pts []mat.Point) []mat.Point {
	out := make([]mat.Point, len(part))
	for i, k := range part {
		out[i] = pts[k]
	}
	return out
}

// bridged joins the openings to the outline and returns the one ring, as
// indices of points.
func bridged(s Shape) (ring []int, pts []mat.Point) {
	for range s.Outline {
		ring = append(ring, len(ring))
	}
	pts = append(pts, s.Outline...)
	holes := make([][]int, 0, len(s.Openings))
	for _, o := range s.Openings {
		hole := make([]int, 0, len(o))
		for _, p := range o {
			hole = append(hole, len(pts))
			pts = append(pts, p)
		}
		holes = append(holes, hole)
	}
	for len(holes) > 0 {
		k, at := rightmost(holes, pts)
		ring = splice(ring, holes[k], at, pts)
		holes = append(holes[:k], holes[k+1:]...)
	}
	return ring, pts
}

// rightmost returns the opening that reaches farthest along x, and where in it.
func rightmost(holes [][]int, pts []mat.Point) (hole, at int) {
	for k, h := range holes {
		for i, v := range h {
			if pts[v].X > pts[holes[hole][at]].X {
				hole, at = k, i
			}
		}
	}
	return hole, at
}

// splice opens the ring at a vertex that the opening's sees and runs round the
// opening there.
func splice(ring, hole []int, at int, pts []mat.Point) []int {
	p := pts[hole[at]]
	best, least := 0, math.Inf(1)
	for i, v := range ring {
		if d := dist(p, pts[v]); d < least && sees(p, i, ring, hole, pts) {
			best, least = i, d
		}
	}
	out := append([]int(nil), ring[:best+1]...)
	for i := 0; i <= len(hole); i++ {
		out = append(out, hole[(at+i)%len(hole)])
	}
	return append(out, ring[best:]...)
}

// sees reports whether the way from p to the ring's vertex i lies inside.
func sees(p mat.Point, i int, ring, hole []int, pts []mat.Point) bool {
	n := len(ring)
	q := pts[ring[i]]
	if !inCone(pts[ring[(i+n-1)%n]], q, pts[ring[(i+1)%n]], p) {
		return false
	}
	return !blocked(p, q, ring, pts) && !blocked(p, q, hole, pts)
}

func blocked(p, q mat.Point, ring []int, pts []mat.Point) bool {
	for i, j := 0, len(ring)-1; i < len(ring); j, i = i, i+1 {
		a, b := pts[ring[j]], pts[ring[i]]
		if a == q || b == q || a == p || b == p {
			continue
		}
		if crosses(p, q, a, b) || toSegment(a, p, q) < sameMM {
			return true
		}
	}
	return false
}

// inCone reports whether p lies between the edges of a corner, inside.
func inCone(before, corner, after, p mat.Point) bool {
	if cross(before, corner, after) >= 0 {
		return cross(before, corner, p) > 0 && cross(corner, after, p) > 0
	}
	return cross(before, corner, p) > 0 || cross(corner, after, p) > 0
}

// clipEars cuts a ring into triangles. Of the ears it takes the one whose
// least angle is largest, so that slivers are few.
func clipEars(ring []int, pts []mat.Point) ([][]int, error) {
	ring = append([]int(nil), ring...)
	var out [][]int
	for len(ring) > 3 {
		best, quality := -1, -1.0
		for i := range ring {
			if q := earQuality(ring, i, pts); q > quality {
				best, quality = i, q
			}
		}
		if best < 0 {
			return nil, ErrNotSimple
		}
		a, b, c := corner(ring, best)
		if quality > 0 {
			out = append(out, []int{a, b, c})
		}
		ring = append(ring[:best], ring[best+1:]...)
	}
	if cross(pts[ring[0]], pts[ring[1]], pts[ring[2]]) > 0 {
		out = append(out, ring)
	}
	return out, nil
}

func corner(ring []int, i int) (a, b, c int) {
	n := len(ring)
	return ring[(i+n-1)%n], ring[i], ring[(i+1)%n]
}

// earQuality returns how good an ear vertex i is: its triangle's area over its
// longest side squared; 0 for a corner without extent and -1 for no ear.
func earQuality(ring []int, i int, pts []mat.Point) float64 {
	ka, kb, kc := corner(ring, i)
	a, b, c := pts[ka], pts[kb], pts[kc]
	area := cross(a, b, c)
	long := max(dist(a, b), dist(b, c), dist(a, c))
	if long <= sameMM || math.Abs(area) <= sameMM*long {
		return 0
	}
	if area < 0 {
		return -1
	}
	for _, v := range ring {
		p := pts[v]
		if p == a || p == b || p == c {
			continue
		}
		if cross(a, b, p) >= 0 && cross(b, c, p) >= 0 && cross(c, a, p) >= 0 {
			return -1
		}
	}
	return area / (long * long)
}

// merge joins triangles across their diagonals as long as what comes out is
// convex, in an order drawn from rng.
func merge(triangles [][]int, pts []mat.Point, rng *rand.Rand) [][]int {
	parts := append([][]int(nil), triangles...)
	rng.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
	for i := 0; i < len(parts); i++ {
		for j := i + 1; j < len(parts); {
			if m := joined(parts[i], parts[j], pts); m != nil {
				parts[i] = m
				parts = append(parts[:j], parts[j+1:]...)
				j = i + 1
				continue
			}
			j++
		}
	}
	return parts
}

// joined returns the convex polygon of two parts with an edge in common, nil
// when there is none.
func joined(a, b []int, pts []mat.Point) []int {
	for i := range a {
		u, v := a[i], a[(i+1)%len(a)]
		for j := range b {
			if b[j] != v || b[(j+1)%len(b)] != u {
				continue
			}
			// a from v round to u, then b's vertices strictly between u and v.
			m := append(append([]int(nil), a[i+1:]...), a[:i+1]...)
			for k := 2; k < len(b); k++ {
				m = append(m, b[(j+k)%len(b)])
			}
			if convex(m, pts) {
				return m
			}
			return nil
		}
	}
	return nil
}

func convex(part []int, pts []mat.Point) bool {
	for i := range part {
		a, b, c := corner(part, i)
		if cross(pts[a], pts[b], pts[c]) < -sameMM*dist(pts[a], pts[b]) {
			return false
		}
	}
	return true
}
