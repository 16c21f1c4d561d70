package session

import (
	"errors"
	"math"

	gonum "gonum.org/v1/gonum/mat"

	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// Homography maps counts of squares (column, row) to the photograph in px. It
// knows nothing of the lens and serves for proposals and previews only.
type Homography struct{ h, inverse [9]float64 }

// ErrCorners tells that corners do not fix a homography.
var ErrCorners = errors.New("the corners do not fix the mat: four are needed, no three on a line")

// SolveHomography fits at least four corners by least squares on the direct
// linear equations (Hartley and Zisserman, Multiple View Geometry, 4.1, from
// memory), with the photograph's coordinates brought to about 1 first.
func SolveHomography(c []rectify.Corner) (Homography, error) {
	if len(c) < LeastCorners {
		return Homography{}, ErrCorners
	}
	cx, cy, size := spread(c)
	a, b := gonum.NewDense(2*len(c), 8, nil), gonum.NewVecDense(2*len(c), nil)
	for i, p := range c {
		x, y := float64(p.Column), float64(p.Row)
		u, v := (p.At.X-cx)/size, (p.At.Y-cy)/size
		a.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y})
		a.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y})
		b.SetVec(2*i, u)
		b.SetVec(2*i+1, v)
	}
	var q gonum.VecDense
	if err := q.SolveVec(a, b); err != nil {
		return Homography{}, ErrCorners
	}
	return unscaled(q.RawVector().Data, cx, cy, size)
}

// spread returns the corners' middle and reach in px.
func spread(c []rectify.Corner) (cx, cy, size float64) {
	for _, p := range c {
		cx, cy = cx+p.At.X/float64(len(c)), cy+p.At.Y/float64(len(c))
	}
	for _, p := range c {
		size = math.Max(size, math.Hypot(p.At.X-cx, p.At.Y-cy))
	}
	return cx, cy, math.Max(size, 1e-9)
}

// unscaled takes the solution back to px and inverts it.
func unscaled(q []float64, cx, cy, size float64) (Homography, error) {
	h := [9]float64{6: q[6], 7: q[7], 8: 1}
	for i := range 3 {
		last := h[6+i]
		h[i] = q[i]*size + cx*last
		h[3+i] = q[3+i]*size + cy*last
	}
	var inv gonum.Dense
	if err := inv.Inverse(gonum.NewDense(3, 3, append([]float64(nil), h[:]...))); err != nil {
		return Homography{}, ErrCorners
	}
	out := Homography{h: h}
	copy(out.inverse[:], inv.RawMatrix().Data)
	return out, nil
}

func project(h [9]float64, x, y float64) (u, v float64, ok bool) {
	w := h[6]*x + h[7]*y + h[8]
	u, v = (h[0]*x+h[1]*y+h[2])/w, (h[3]*x+h[4]*y+h[5])/w
	return u, v, !math.IsNaN(u+v) && !math.IsInf(u+v, 0)
}

// ToPhoto returns where a count of squares is seen; false at the horizon.
func (h Homography) ToPhoto(column, row float64) (photo.Point, bool) {
	u, v, ok := project(h.h, column, row)
	return photo.Point{X: u, Y: v}, ok
}

// ToCount returns the column and row of a position, not rounded.
func (h Homography) ToCount(at photo.Point) (column, row float64, ok bool) {
	return project(h.inverse, at.X, at.Y)
}
