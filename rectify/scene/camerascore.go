package scene

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Mapping is a two-way map between the mat and a photograph, as a solved
// camera offers it (the method set of lens.Mapping, kept apart so that this
// package does not lean on the solver's).
type Mapping interface {
	ToPhoto(mat.Point) photo.Point
	ToMat(photo.Point) (mat.Point, bool)
}

// CameraError is the geometry error of a solved camera over the part of the
// mat's grid that is in the frame, in mm: every 5 mm a point of the mat is
// sent through the true camera and back through the solved one, and the best
// turn and shift of the frame is taken out (any turn, any shift, neither
// scale nor mirror). Both are +Inf when a place cannot be mapped or nothing
// is in the frame.
func CameraError(truth Truth, m Mapping) (rmsMM, worstMM float64) {
	var want, got []mat.Point
	v := truth.Camera.View()
	const stepMM = 5
	w, h := float64(truth.Columns)*truth.PitchMM, float64(truth.Rows)*truth.PitchMM
	for y := 0.0; y <= h; y += stepMM {
		for x := 0.0; x <= w; x += stepMM {
			p := mat.Point{X: x, Y: y}
			q := v.ToPhoto(p)
			if !inFrame(q, truth.Width, truth.Height, 0) {
				continue
			}
			back, ok := m.ToMat(q)
			if !ok {
				return math.Inf(1), math.Inf(1)
			}
			want, got = append(want, p), append(got, back)
		}
	}
	if len(want) < 3 {
		return math.Inf(1), math.Inf(1)
	}
	move := rigidBetween(got, want)
	var t tally
	for i, p := range got {
		t.add(want[i], dist(move.apply(p), want[i]))
	}
	d := t.deviation()
	return d.RMSMM, d.WorstMM
}

// rigidBetween is the least-squares turn and shift from one list of points to
// another (Arun, Huang and Blostein, PAMI 9(5), 1987, in the plane).
func rigidBetween(from, to []mat.Point) motion {
	var a, b mat.Point
	for i := range from {
		a, b = add(a, from[i]), add(b, to[i])
	}
	k := 1 / float64(len(from))
	a, b = scale(a, k), scale(b, k)
	var c, s float64
	for i := range from {
		p, q := sub(from[i], a), sub(to[i], b)
		c += dot(p, q)
		s += cross(p, q)
	}
	angle := math.Atan2(s, c)
	m := motion{cos: math.Cos(angle), sin: math.Sin(angle)}
	shift := sub(b, m.apply(a))
	m.dx, m.dy = shift.X, shift.Y
	return m
}
