package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Winding returns how often the closed path goes round q, clockwise to the
// eye counted positive. It is exact for points farther than toleranceMM from
// the path.
func (p Path) Winding(q mat.Point, toleranceMM float64) int {
	pts := p.Flatten(toleranceMM)
	turns := 0
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		switch side := cross(sub(b, a), sub(q, a)); {
		case a.Y <= q.Y && b.Y > q.Y && side > 0:
			turns++
		case a.Y > q.Y && b.Y <= q.Y && side < 0:
			turns--
		}
	}
	return turns
}

// Contains tells whether q lies inside the closed path; exact for points
// farther than toleranceMM from it.
func (p Path) Contains(q mat.Point, toleranceMM float64) bool { return p.Winding(q, toleranceMM) != 0 }

// Crossing is a place where a path meets itself or another path.
type Crossing struct {
	At   mat.Point
	A, B Position
}

// SelfCrossing returns the first place along the path where it crosses or
// touches itself, found on a polyline within toleranceMM of the path; found
// is false when there is none.
func (p Path) SelfCrossing(toleranceMM float64) (c Crossing, found bool) {
	pts, places := p.flattenPlaces(toleranceMM)
	x := newPolyIndex(pts, p.Closed)
	n := x.chords()
	for i := range n {
		j, at, ok := x.firstCrossing(i)
		if ok {
			return Crossing{at, places[i], places[j]}, true
		}
	}
	return Crossing{}, false
}

// firstCrossing looks for a later chord, not a neighbour, that chord i meets.
func (x *polyIndex) firstCrossing(i int) (j int, at mat.Point, ok bool) {
	a, b := x.chord(i)
	n := x.chords()
	best := n
	x.visit(a, b, func(k int) {
		if k <= i+1 || k >= best || x.closed && i == 0 && k == n-1 {
			return
		}
		c, d := x.chord(k)
		if q, hit := chordsMeet(a, b, c, d); hit {
			best, at = k, q
		}
	})
	return best, at, best < n
}

// visit calls f for the chords in the cells that the chord a b passes; some
// more than once.
func (x *polyIndex) visit(a, b mat.Point, f func(k int)) {
	x.cellsOf(a, b, func(cell int) {
		for _, k := range x.cells[cell] {
			f(int(k))
		}
	})
}

// chordsMeet returns the common point of two chords, ends included. Chords on
// one line meet when they overlap.
func chordsMeet(a, b, c, d mat.Point) (mat.Point, bool) {
	r, s := sub(b, a), sub(d, c)
	u, v, ok := meet(a, r, c, s)
	if ok {
		if u < 0 || u > 1 || v < 0 || v > 1 {
			return mat.Point{}, false
		}
		return along(a, r, u), true
	}
	if math.Abs(cross(r, sub(c, a))) > 1e-9*norm(r) {
		return mat.Point{}, false
	}
	for _, q := range []mat.Point{c, d} {
		if k := dot(sub(q, a), r) / max(dot(r, r), 1e-300); k >= 0 && k <= 1 {
			return q, true
		}
	}
	return mat.Point{}, false
}

// Meets returns the first place along p where it meets q, both closed or
// open, found on polylines within toleranceMM of them.
func (p Path) Meets(q Path, toleranceMM float64) (c Crossing, found bool) {
	pts, places := p.flattenPlaces(toleranceMM)
	others, otherPlaces := q.flattenPlaces(toleranceMM)
	if len(pts) < 2 || len(others) < 2 {
		return Crossing{}, false
	}
	x := newPolyIndex(others, q.Closed)
	n := len(pts)
	if !p.Closed {
		n--
	}
	for i := range n {
		a, b := pts[i], pts[(i+1)%len(pts)]
		x.visit(a, b, func(k int) {
			if found {
				return
			}
			e, f := x.chord(k)
			if at, hit := chordsMeet(a, b, e, f); hit {
				c, found = Crossing{at, places[i], otherPlaces[k]}, true
			}
		})
		if found {
			return c, true
		}
	}
	return Crossing{}, false
}

// RowCrossings returns the x at which closed polygons cross a row y, ascending:
// by the even-odd rule what lies between the first and the second, the third
// and the fourth and so on is inside.
func RowCrossings(rings [][]mat.Point, y float64) []float64 {
	var xs []float64
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			if (a.Y > y) != (b.Y > y) {
				xs = append(xs, a.X+(y-a.Y)*(b.X-a.X)/(b.Y-a.Y))
			}
		}
	}
	slices.Sort(xs)
	return xs
}
