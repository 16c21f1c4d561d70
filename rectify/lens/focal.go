package lens

import (
	"math"
)

// focalEvidence is all that is known of the focal length but the homography
// itself. Focal lengths are logarithms in units of ScalePx.
type focalEvidence struct {
	covariance *[paramCount][paramCount]float64
	prior      belief
	fromTag    bool
	// aspect and shear are the standard errors of the mat's own printing.
	aspect, shear float64
	height        *heightEvidence
}

// belief is a mean and its standard error.
type belief struct{ mean, sigma float64 }

// heightEvidence is a measured height of the camera.
type heightEvidence struct {
	measured belief // mm
	// at is the height that a homography and a focal length give, by its
	// derivative by the homography.
	at func(p *params, logF float64) float64
	by params
}

// shearSigma is how far from square a mat's rows are believed to run to its
// columns, in radians, 1 sigma: half a millimetre over half a metre is rare
// (common practice, no source).
const shearSigma = 0.0005

func (f *Fit) focalEvidence() *focalEvidence {
	e := &focalEvidence{covariance: &f.covariance, aspect: f.aspectSigma, shear: shearSigma}
	if f.aspectSigma == 0 {
		e.shear = 0
	}
	e.prior = f.blindBelief()
	if f.focalPx > 0 {
		e.fromTag = true
		e.prior = belief{math.Log(f.focalPx / f.cam.scalePx), tagSigma}
		if f.focalUnsure {
			e.prior.sigma = unsureTagSigma
		}
	}
	return e
}

func (f *Fit) blindBelief() belief {
	longer := 2*max(f.cam.middle.X, f.cam.middle.Y) + 1
	return belief{math.Log(blindFocal * longer / f.cam.scalePx), blindSigma}
}

// tagContradicted reports whether the photograph knows the focal length well
// and sees another than the tag claims.
func (f *Fit) tagContradicted(e *focalEvidence) bool {
	alone := *e
	alone.prior, alone.fromTag = f.blindBelief(), false
	pose, err := f.poseOf(&alone)
	if err != nil || pose.From != FromPhotograph {
		return false
	}
	off := math.Log(pose.FocalPx/f.cam.scalePx) - e.prior.mean
	return math.Abs(off) > contradicted*math.Hypot(pose.FocalSigmaPx/pose.FocalPx, e.prior.sigma)
}

// withHeight adds a measured height to evidence that gave a pose without it.
func (f *Fit) withHeight(e *focalEvidence, without Pose, heightMM, sigmaMM float64) *focalEvidence {
	at := func(p *params, logF float64) float64 {
		pose, err := f.poseAt(p, logF)
		if err != nil {
			return math.Inf(1)
		}
		return pose.HeightMM
	}
	with := *e
	with.height = &heightEvidence{measured: belief{heightMM, sigmaMM}, at: at}
	// The height grows about as the focal length does.
	with.height.derive(&f.p, math.Log(without.FocalPx/f.cam.scalePx*heightMM/without.HeightMM))
	return &with
}

func (h *heightEvidence) derive(p *params, logF float64) {
	const step = 1e-6
	for i := range homographyCount {
		up, down := *p, *p
		up[i] += step
		down[i] -= step
		h.by[i] = (h.at(&up, logF) - h.at(&down, logF)) / (2 * step)
	}
}

// equations returns what should be zero at a squared focal length s,
//
//	g1 = h1·h2 / s + h31 h32,  g2 = (|h1|² - |h2|²) / s + h31² - h32²,
//
// with the products over the first two rows, and their derivatives by the
// homography's elements, by the mat's shear (g1) and by its aspect (g2).
func equations(p *params, s float64) (g [2]float64, d [2]params, print float64) {
	h11, h12, h21, h22, h31, h32 := p[0], p[1], p[3], p[4], p[6], p[7]
	a, b := (h11*h11+h21*h21)/s, (h12*h12+h22*h22)/s
	g[0] = (h11*h12+h21*h22)/s + h31*h32
	g[1] = a - b + h31*h31 - h32*h32
	d[0][0], d[0][1], d[0][3], d[0][4], d[0][6], d[0][7] = h12/s, h11/s, h22/s, h21/s, h32, h31
	d[1][0], d[1][1], d[1][3], d[1][4], d[1][6], d[1][7] = 2*h11/s, -2*h12/s, 2*h21/s, -2*h22/s, 2*h31, -2*h32
	return g, d, a + b + h31*h31 + h32*h32
}

// system is the misfit of the evidence at a focal length: values that should
// be zero, and their covariance. The measured height is the third of them.
type system struct {
	n int
	g [3]float64
	s [3][3]float64
}

func (e *focalEvidence) system(p *params, logF float64) system {
	g, d, print := equations(p, math.Exp(2*logF))
	v := system{n: 2, g: [3]float64{g[0], g[1], 0}}
	rows := [3]*params{&d[0], &d[1], nil}
	if e.height != nil {
		v.n = 3
		v.g[2] = e.height.at(p, logF) - e.height.measured.mean
		rows[2] = &e.height.by
	}
	for r := range v.n {
		for c := range r + 1 {
			v.s[r][c] = e.form(rows[r], rows[c])
			v.s[c][r] = v.s[r][c]
		}
	}
	v.s[0][0] += e.shear * e.shear * print * print / 4
	v.s[1][1] += e.aspect * e.aspect * print * print / 4
	if e.height != nil {
		v.s[2][2] += e.height.measured.sigma * e.height.measured.sigma
	}
	return v
}

// form returns a S bᵀ over the homography.
func (e *focalEvidence) form(a, b *params) (v float64) {
	for i := range homographyCount {
		if a[i] == 0 {
			continue
		}
		row := &e.covariance[i]
		sum := 0.0
		for k := range homographyCount {
			sum += row[k] * b[k]
		}
		v += a[i] * sum
	}
	return v
}

// chi returns gᵀ S⁻¹ g by Cholesky's factors; 0 where S is singular.
func (v *system) chi() (sum float64) {
	var l [3][3]float64
	var y [3]float64
	for r := range v.n {
		t := v.g[r]
		for c := range r + 1 {
			a := v.s[r][c]
			for k := range c {
				a -= l[r][k] * l[c][k]
			}
			if c < r {
				l[r][c] = a / l[c][c]
				t -= l[r][c] * y[c]
				continue
			}
			if !(a > 0) {
				return 0
			}
			l[r][r] = math.Sqrt(a)
		}
		y[r] = t / l[r][r]
		sum += y[r] * y[r]
	}
	return sum
}

// cost is twice the negative log posterior of the logarithm of f.
func (e *focalEvidence) cost(p *params, logF float64) float64 {
	v := e.system(p, logF)
	b := (logF - e.prior.mean) / e.prior.sigma
	return v.chi() + b*b
}

// solve returns the logarithm of f and its standard error from the curvature.
func (e *focalEvidence) solve(p *params) (logF, sigma float64) {
	const step, reach = 0.02, 1.5
	best, least := e.prior.mean, math.Inf(1)
	for l := e.prior.mean - reach; l <= e.prior.mean+reach; l += step {
		if c := e.cost(p, l); c < least {
			best, least = l, c
		}
	}
	cost := func(l float64) float64 { return e.cost(p, l) }
	logF = goldenSection(cost, best-step, best+step, 30)
	sigma = e.prior.sigma
	for range 3 {
		h := curveStep(sigma)
		c := (cost(logF+h) - 2*cost(logF) + cost(logF-h)) / (h * h)
		if c > 0 {
			sigma = min(math.Sqrt(2/c), e.prior.sigma)
		}
	}
	return e.refine(p, logF, sigma), sigma
}

// curveStep is the step for the curvature: about half a standard error, so
// that a sharp and a flat minimum are both measured well.
func curveStep(sigma float64) float64 { return max(sigma/2, 1e-5) }

// refine moves to where the cost is the same half a standard error to either
// side, by Newton's method: unlike the least cost itself that place moves
// smoothly with the evidence down to the last digits.
func (e *focalEvidence) refine(p *params, logF, sigma float64) float64 {
	const steps = 8
	h := curveStep(sigma)
	at := logF
	for range steps {
		up, mid, down := e.cost(p, at+h), e.cost(p, at), e.cost(p, at-h)
		curve := (up - 2*mid + down) / (h * h)
		move := (up - down) / (2 * h)
		if !(curve > 0) {
			return logF
		}
		move /= curve
		at -= math.Max(-h, math.Min(h, move))
		if math.Abs(move) < 1e-9*h {
			break
		}
	}
	return at
}

// wellKnown is the standard error of the focal length, in parts, at which the
// photograph is said to know it.
const wellKnown = 0.1

// source names what carries most of the information on the focal length.
func (e *focalEvidence) source(p *params, logF float64) PoseSource {
	alone := *e
	alone.height = nil
	photograph := alone.information(p, logF)
	tag, height := 0.0, 0.0
	if e.fromTag {
		tag = 1 / (e.prior.sigma * e.prior.sigma)
	}
	if h := e.height; h != nil {
		const step = 1e-4
		slope := (h.at(p, logF+step) - h.at(p, logF-step)) / (2 * step)
		height = slope * slope / (e.form(&h.by, &h.by) + h.measured.sigma*h.measured.sigma)
	}
	switch {
	case height > max(photograph, tag):
		return FromCameraHeight
	case tag > photograph:
		return FromTag
	case photograph > 1/(wellKnown*wellKnown):
		return FromPhotograph
	default:
		return FromGuess
	}
}

// information is what the equations say of the logarithm of f: one over its
// variance, by the slope of the equations over their errors.
func (e *focalEvidence) information(p *params, logF float64) float64 {
	const step = 1e-4
	v, up, down := e.system(p, logF), e.system(p, logF+step), e.system(p, logF-step)
	for r := range v.n {
		v.g[r] = (up.g[r] - down.g[r]) / (2 * step)
	}
	return v.chi()
}
