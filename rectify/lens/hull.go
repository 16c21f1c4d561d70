package lens

import (
	"cmp"
	"slices"

	"flatwright/rectify/mat"
)

// convexHull returns the corners of the convex hull (Andrew 1979), each once.
func convexHull(points []mat.Point) []mat.Point {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b mat.Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	hull := halfHull(p, nil)
	slices.Reverse(p)
	hull = halfHull(p, hull[:len(hull)-1])
	return hull[:len(hull)-1]
}

// halfHull appends the corners met going along the sorted points.
func halfHull(p, hull []mat.Point) []mat.Point {
	start := len(hull)
	for _, at := range p {
		for len(hull)-start >= 2 && turn(hull[len(hull)-2], hull[len(hull)-1], at) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, at)
	}
	return hull
}

func turn(a, b, c mat.Point) float64 {
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// InsideHull reports whether a point of the mat lies in the hull of the
// samples used.
func (f *Fit) InsideHull(at mat.Point) bool {
	n := len(f.Hull)
	if n < 3 {
		return false
	}
	for i, a := range f.Hull {
		if turn(a, f.Hull[(i+1)%n], at) < 0 {
			return false
		}
	}
	return true
}

// hullSteps is the fineness of the summary over the hull.
const hullSteps = 16

// insideMM returns the median and the worst PlusMinusMM over the hull; the
// worst of so smooth a function lies on the border, whose corners are all
// looked at.
func (f *Fit) insideMM() (middle, worst float64) {
	if len(f.Hull) == 0 {
		return 0, 0
	}
	low, high := bounds(f.Hull)
	for _, c := range f.Hull {
		worst = max(worst, f.PlusMinusMM(c))
	}
	var all []float64
	for r := range hullSteps {
		for c := range hullSteps {
			at := mat.Point{
				X: low.X + (high.X-low.X)*(float64(c)+0.5)/hullSteps,
				Y: low.Y + (high.Y-low.Y)*(float64(r)+0.5)/hullSteps,
			}
			if f.InsideHull(at) {
				v := f.PlusMinusMM(at)
				all = append(all, v)
				worst = max(worst, v)
			}
		}
	}
	if len(all) == 0 {
		return worst, worst
	}
	return median(all), worst
}
