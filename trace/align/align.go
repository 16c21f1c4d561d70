// Package align lays one set of points on another by a rigid motion: turned
// and shifted, never scaled. Coordinates are mm.
package align

import (
	"errors"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// ErrFew and ErrOnePlace tell that the points do not fix a motion.
var (
	ErrFew      = errors.New("two shared points at least are needed, the same number on both sides")
	ErrOnePlace = errors.New("the shared points lie in one place: choose points far apart")
)

// Fit is a rigid motion and how well it lays the points on each other.
type Fit struct {
	Motion curve.Transform
	// TurnDeg is the turn, positive clockwise to the eye.
	TurnDeg float64
	// RMSMM and WorstMM are over the distances that remain, in ResidualsMM one
	// by one.
	RMSMM, WorstMM float64
	ResidualsMM    []float64
	// SpanMM is how far the farthest two points lie apart: the turn is known to
	// about the residual over that.
	SpanMM float64
	// Stretch is how much longer the distances between the target's points are,
	// taken together: 1 where both were measured to one scale. It is no part of
	// the motion.
	Stretch float64
}

// Rigid returns the rigid motion that takes the points of from to those of to,
// one by one, with the least sum of squared distances. In the plane the turn
// follows in closed form from the sums of dot and cross products about the
// centroids (Arun, Huang and Blostein, IEEE PAMI 9(5), 1987, and Umeyama, IEEE
// PAMI 13(4), 1991, with the scale held at 1; from memory). Errors: ErrFew,
// ErrOnePlace.
func Rigid(from, to []mat.Point) (Fit, error) {
	n := len(from)
	if n < 2 || len(to) != n {
		return Fit{}, fmt.Errorf("%d and %d points: %w", n, len(to), ErrFew)
	}
	p, q := centroid(from), centroid(to)
	var dot, cross, spreadP, spreadQ float64
	for i := range from {
		ax, ay, bx, by := from[i].X-p.X, from[i].Y-p.Y, to[i].X-q.X, to[i].Y-q.Y
		dot, cross = dot+ax*bx+ay*by, cross+ax*by-ay*bx
		spreadP, spreadQ = spreadP+ax*ax+ay*ay, spreadQ+bx*bx+by*by
	}
	const least = 1e-6
	if spreadP < least || spreadQ < least || math.Hypot(dot, cross) < least*least {
		return Fit{}, ErrOnePlace
	}
	turn := math.Atan2(cross, dot)
	f := Fit{
		Motion:  curve.Translation(mat.Point{X: -p.X, Y: -p.Y}).Then(curve.Rotation(mat.Point{}, turn)).Then(curve.Translation(q)),
		TurnDeg: turn * 180 / math.Pi, Stretch: math.Sqrt(spreadQ / spreadP), SpanMM: span(to),
	}
	f.measure(from, to)
	return f, nil
}

func centroid(pts []mat.Point) (c mat.Point) {
	for _, p := range pts {
		c.X, c.Y = c.X+p.X/float64(len(pts)), c.Y+p.Y/float64(len(pts))
	}
	return c
}

// span is the largest distance between two of the points.
func span(pts []mat.Point) float64 {
	most := 0.0
	for i, p := range pts {
		for _, q := range pts[:i] {
			most = math.Max(most, math.Hypot(p.X-q.X, p.Y-q.Y))
		}
	}
	return most
}

func (f *Fit) measure(from, to []mat.Point) {
	sum := 0.0
	for i := range from {
		m := f.Motion.Apply(from[i])
		d := math.Hypot(m.X-to[i].X, m.Y-to[i].Y)
		f.ResidualsMM = append(f.ResidualsMM, d)
		f.WorstMM = math.Max(f.WorstMM, d)
		sum += d * d
	}
	f.RMSMM = math.Sqrt(sum / float64(len(from)))
}
