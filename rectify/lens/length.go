package lens

import (
	"math"

	"flatwright/rectify/mat"
)

// PlusMinusLengthMM returns two standard errors, in mm, of the distance
// between two points of the mat as the map gives it. What moves both ends
// alike drops out, so that it is less than the ± of the ends together over
// short lengths, and may be more over long ones. It is +Inf where an end is
// not seen, and 0 for a length of 0.
func (f *Fit) PlusMinusLengthMM(a, b mat.Point) float64 {
	ja, inva, ok1 := f.sensitivity(a)
	jb, invb, ok2 := f.sensitivity(b)
	if !ok1 || !ok2 {
		return math.Inf(1)
	}
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 {
		return 0
	}
	u := [2]float64{(b.X - a.X) / length, (b.Y - a.Y) / length}
	var j params
	for i := range paramCount {
		j[i] = u[0]*(jb[0][i]-ja[0][i]) + u[1]*(jb[1][i]-ja[1][i])
	}
	// A bend, and what neighbouring lines share, is each end's own.
	px := f.cam.frame.unitMM * f.MisfitPx
	own := f.bend.squareMM2(a) + f.bend.squareMM2(b)
	for _, inv := range [2]Slope{inva, invb} {
		for c := range 2 {
			v := px * (u[0]*inv[0][c] + u[1]*inv[1][c])
			own += v * v
		}
	}
	v := 2 * math.Sqrt(max(own+f.form(&j, &j), 0))
	if math.IsNaN(v) {
		return math.Inf(1)
	}
	return v
}
