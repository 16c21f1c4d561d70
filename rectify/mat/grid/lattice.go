package grid

import (
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// span is one stretch of a printed line between two neighbouring crossings:
// line index of a family, from crossing at to at+1 of the other family. All
// in lattice steps, the unit of a lattice model.
type span struct {
	family    mat.Family
	index, at int
}

// point returns a position on the span's line in lattice steps; along runs
// from 0 to 1 between the crossings, across moves off the line.
func (s span) point(along, across float64) mat.Point {
	if s.family == mat.Columns {
		return mat.Point{X: float64(s.index) + across, Y: float64(s.at) + along}
	}
	return mat.Point{X: float64(s.at) + along, Y: float64(s.index) + across}
}

// sight is a span seen in the level: where its line runs, off the prediction.
type sight struct {
	at     photo.Point // on the line, near the span's middle
	height float64     // of the line over the mat, grey levels
	width  float64     // height-weighted extent across, level px
}

// lattice is what is known of the grid while it grows. The model maps
// lattice steps (not millimetres) to the photograph.
type lattice struct {
	lvl   *level
	pol   polarity
	model lens.Model
	seen  map[span]sight
	// floor is the least height, in grey levels, that counts as a line.
	floor float64
	// noise is the least height, in grey levels, that the plane's noise let
	// be looked at.
	noise float64
	// focalPx is the focal length of the photograph, 0 while it is unknown.
	focalPx float64
	// weighed is the ink of spans measured in the photograph itself, nil while
	// there is none.
	weighed map[span]float64
}

// bowed is a span's predicted course in the level: the quadratic through its
// two ends and its middle, exact to a few thousandths of a pixel.
type bowed struct {
	x, y [3]float64 // coefficients of 1, a, a²
}

// course predicts where a span runs, in level pixels; false when some of it
// is not seen.
func (g *lattice) course(s span, across float64) (bowed, bool) {
	return courseOf(g.model, s, across, g.lvl.fromPhoto)
}

// courseOf predicts a span's course through any frame that place maps the
// photograph to.
func courseOf(m lens.Mapping, s span, across float64, place func(photo.Point) (float64, float64)) (bowed, bool) {
	var x, y [3]float64
	for k, a := range []float64{0, 0.5, 1} {
		q := m.ToPhoto(s.point(a, across))
		x[k], y[k] = place(q)
		if math.IsNaN(x[k]) || math.IsNaN(y[k]) || math.Abs(x[k]) > 1e6 || math.Abs(y[k]) > 1e6 {
			return bowed{}, false
		}
	}
	return bowed{
		x: [3]float64{x[0], -3*x[0] + 4*x[1] - x[2], 2*x[0] - 4*x[1] + 2*x[2]},
		y: [3]float64{y[0], -3*y[0] + 4*y[1] - y[2], 2*y[0] - 4*y[1] + 2*y[2]},
	}, true
}

// at returns the position at along, and the unit normal there.
func (b bowed) at(a float64) (x, y, nx, ny float64) {
	x = b.x[0] + a*(b.x[1]+a*b.x[2])
	y = b.y[0] + a*(b.y[1]+a*b.y[2])
	tx, ty := b.x[1]+2*a*b.x[2], b.y[1]+2*a*b.y[2]
	n := math.Hypot(tx, ty)
	return x, y, -ty / n, tx / n
}

// length returns the span's length in pixels, to the chord.
func (b bowed) length() float64 {
	return math.Hypot(b.x[1]+b.x[2], b.y[1]+b.y[2])
}

// stepAcross returns the distance in level px to the neighbouring line.
func (g *lattice) stepAcross(s span, across float64) float64 {
	a := g.model.ToPhoto(s.point(0.5, across))
	b := g.model.ToPhoto(s.point(0.5, across+1))
	return math.Hypot(b.X-a.X, b.Y-a.Y) / float64(g.lvl.factor)
}
