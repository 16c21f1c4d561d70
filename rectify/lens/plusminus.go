package lens

import (
	"math"

	"flatwright/rectify/mat"
)

// PlusMinusMM returns two standard errors of the map at a point of the mat,
// in mm; it grows outside the hull of the lines used, and is +Inf where the
// mat is not seen. It is the root of the larger eigenvalue of the 2x2
// covariance, so that the error in any one direction is covered with about
// 95 %; errors of the mat's own printing are not part of it.
func (f *Fit) PlusMinusMM(at mat.Point) float64 {
	s, ok := f.covarianceAt(at)
	if !ok {
		return math.Inf(1)
	}
	return s.twoSigma()
}

// twoSigma is twice the root of a covariance's larger eigenvalue; +Inf where
// that is no number.
func (s Slope) twoSigma() float64 {
	mean, half := (s[0][0]+s[1][1])/2, (s[0][0]-s[1][1])/2
	v := 2 * math.Sqrt(max(mean+math.Hypot(half, s[0][1]), 0))
	if math.IsNaN(v) {
		return math.Inf(1)
	}
	return v
}

// covarianceAt returns the covariance in mm² of the mat point that the fit
// reports where the given one is really seen.
func (f *Fit) covarianceAt(at mat.Point) (s Slope, ok bool) {
	j, inv, ok := f.sensitivity(at)
	if !ok {
		return s, false
	}
	// What neighbouring lines share is wrong in any direction alike.
	px := f.cam.frame.unitMM * f.MisfitPx
	bend := f.bend.squareMM2(at)
	for r := range 2 {
		s[r][r] = bend
		for c := range 2 {
			s[r][c] += px*px*(inv[r][0]*inv[c][0]+inv[r][1]*inv[c][1]) + f.form(&j[r], &j[c])
		}
	}
	return s, true
}

// form returns a S bᵀ over all parameters.
func (f *Fit) form(a, b *params) (v float64) {
	for i := range paramCount {
		if a[i] == 0 {
			continue
		}
		for k := range paramCount {
			v += a[i] * f.covariance[i][k] * b[k]
		}
	}
	return v
}

// sensitivity returns by how many mm the mat point moves with each parameter
// (but for the sign), and the scaled units a px covers there.
func (f *Fit) sensitivity(at mat.Point) (j [2]params, inv Slope, ok bool) {
	if f.cam.scalePx == 0 {
		return j, inv, false
	}
	m := newProjector(&f.cam, &f.p)
	x, y := f.cam.frame.scale(at)
	q, ok := m.project(x, y)
	if !ok {
		return j, inv, false
	}
	var t Slope
	t[0][1], t[1][1] = m.tangent(&q, true)
	t[0][0], t[1][0] = m.tangent(&q, false)
	inv, ok = t.Inverse()
	if !ok {
		return j, inv, false
	}
	var du, dv params
	m.gradient(&q, x, y, 1, 0, &du)
	m.gradient(&q, x, y, 0, 1, &dv)
	for r := range 2 {
		for i := range paramCount {
			j[r][i] = f.cam.frame.unitMM * (inv[r][0]*du[i] + inv[r][1]*dv[i])
		}
	}
	return j, inv, true
}
