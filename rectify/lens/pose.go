package lens

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// Pose is where the camera stood, seen from the mat.
type Pose struct {
	// FocalPx is the focal length in px and its standard error.
	FocalPx, FocalSigmaPx float64
	// FootMM is the point of the mat straight below the camera's centre.
	FootMM mat.Point
	// FootSigmaMM is the standard error of the foot in its worse direction.
	FootSigmaMM float64
	// HeightMM is the camera's height above the mat and its standard error.
	HeightMM, HeightSigmaMM float64
	// TiltDeg is the angle between the lens axis and the mat's normal.
	TiltDeg float64
}

// Beliefs about the focal length, in parts (1 sigma of its logarithm): of a
// tag, and of any hand-held camera when there is none.
const (
	tagSigma   = 0.03
	blindSigma = 0.35
	// blindFocal is a usual wide phone lens, in parts of the longer side.
	blindFocal = 0.75
)

// Pose returns the camera's position from the homography. The focal length
// follows from r1 being square to r2 and as long (Zhang, PAMI 22(11), 2000,
// section 3.1), the two equations weighted by their own errors, and from the
// tag with 3 %. A picture taken straight down says nothing of the focal
// length: the standard errors then show how far the tag alone carries.
func (f *Fit) Pose() (Pose, error) {
	if f.cam.scalePx == 0 {
		return Pose{}, fmt.Errorf("lens: a pose needs a solved fit")
	}
	e := f.focalEquations()
	logF, sigma := e.solve(&f.p)
	pose, err := f.poseAt(&f.p, logF)
	if err != nil {
		return Pose{}, err
	}
	f.poseErrors(&pose, e, logF, sigma)
	return pose, nil
}

// focalEquations holds what the search for the focal length keeps fixed: the
// covariance of the homography and the prior of the logarithm of f, in units
// of ScalePx.
type focalEquations struct {
	covariance  *[paramCount][paramCount]float64
	logF, sigma float64
}

func (f *Fit) focalEquations() focalEquations {
	e := focalEquations{covariance: &f.covariance, sigma: blindSigma}
	focal := blindFocal * 2 * max(f.cam.middle.X, f.cam.middle.Y)
	if f.focalPx > 0 {
		focal, e.sigma = f.focalPx, tagSigma
	}
	e.logF = math.Log(focal / f.cam.scalePx)
	return e
}

// misfit returns the two equations at a squared focal length s,
//
//	g1 = h1·h2 / s + h31 h32,  g2 = (|h1|² - |h2|²) / s + h31² - h32²,
//
// with the products over the first two rows, and their derivatives by the
// homography's elements.
func misfit(p *params, s float64) (g [2]float64, d [2]params) {
	h11, h12, h21, h22, h31, h32 := p[0], p[1], p[3], p[4], p[6], p[7]
	g[0] = (h11*h12+h21*h22)/s + h31*h32
	g[1] = (h11*h11+h21*h21-h12*h12-h22*h22)/s + h31*h31 - h32*h32
	d[0][0], d[0][1], d[0][3], d[0][4], d[0][6], d[0][7] = h12/s, h11/s, h22/s, h21/s, h32, h31
	d[1][0], d[1][1], d[1][3], d[1][4], d[1][6], d[1][7] = 2*h11/s, -2*h12/s, 2*h21/s, -2*h22/s, 2*h31, -2*h32
	return g, d
}

// cost is twice the negative log posterior of the logarithm of f.
func (e focalEquations) cost(p *params, logF float64) float64 {
	g, d := misfit(p, math.Exp(2*logF))
	var s [2][2]float64
	for r := range 2 {
		for c := range 2 {
			for i := range homographyCount {
				for k := range homographyCount {
					s[r][c] += d[r][i] * e.covariance[i][k] * d[c][k]
				}
			}
		}
	}
	det := s[0][0]*s[1][1] - s[0][1]*s[1][0]
	b := (logF - e.logF) / e.sigma
	if !(det > 0) {
		return b * b
	}
	chi := (g[0]*g[0]*s[1][1] - 2*g[0]*g[1]*s[0][1] + g[1]*g[1]*s[0][0]) / det
	return chi + b*b
}

// solve returns the logarithm of f and its standard error from the curvature.
func (e focalEquations) solve(p *params) (logF, sigma float64) {
	const step, reach = 0.02, 1.5
	best, least := e.logF, math.Inf(1)
	for l := e.logF - reach; l <= e.logF+reach; l += step {
		if c := e.cost(p, l); c < least {
			best, least = l, c
		}
	}
	cost := func(l float64) float64 { return e.cost(p, l) }
	logF = goldenSection(cost, best-step, best+step, 40)
	// The curvature is taken over about half a standard error, so that a
	// sharp and a flat minimum are both measured well.
	sigma = e.sigma
	for range 3 {
		h := max(sigma/2, 1e-5)
		c := (cost(logF+h) - 2*cost(logF) + cost(logF-h)) / (h * h)
		if c > 0 {
			sigma = min(math.Sqrt(2/c), e.sigma)
		}
	}
	return logF, sigma
}

// poseAt splits the homography: K⁻¹H = λ [r1 r2 t].
func (f *Fit) poseAt(p *params, logF float64) (Pose, error) {
	focal := math.Exp(logF)
	a := [3]float64{p[0] / focal, p[3] / focal, p[6]}
	b := [3]float64{p[1] / focal, p[4] / focal, p[7]}
	t := [3]float64{p[2] / focal, p[5] / focal, 1}
	n := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	// The geometric mean of the two lengths, freed of any lack of squareness.
	area := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
	if !(area > 0) {
		return Pose{}, &FitError{Stage: StageCheck, Reason: "The camera's position cannot be computed from this photograph; measure its height above the mat by hand."}
	}
	lambda := math.Sqrt(area)
	// The centre solves a X + b Y + n z' = -t; least squares on the plane is
	// exact since n is square to a and b.
	aa, bb, ab := dot(a, a), dot(b, b), dot(a, b)
	at, bt := dot(a, t), dot(b, t)
	det := aa*bb - ab*ab
	x, y := -(bb*at-ab*bt)/det, -(aa*bt-ab*at)/det
	height := math.Abs(dot(n, t)) / area / lambda
	u, c := f.cam.frame.unitMM, f.cam.frame.centre
	return Pose{
		FocalPx:  focal * f.cam.scalePx,
		FootMM:   mat.Point{X: c.X + u*x, Y: c.Y + u*y},
		HeightMM: u * height,
		TiltDeg:  math.Acos(min(math.Abs(n[2])/area, 1)) * 180 / math.Pi,
	}, nil
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// poseErrors carries the covariance of the homography, and what the prior
// adds to the focal length, through to the pose by finite differences.
func (f *Fit) poseErrors(pose *Pose, e focalEquations, logF, sigma float64) {
	const h = 1e-5
	var j [3]params // height, foot x, foot y by homography
	var dlog params
	for i := range homographyCount {
		up, down := f.p, f.p
		up[i] += h
		down[i] -= h
		lu, _ := e.solve(&up)
		ld, _ := e.solve(&down)
		dlog[i] = (lu - ld) / (2 * h)
		pu, err1 := f.poseAt(&up, lu)
		pd, err2 := f.poseAt(&down, ld)
		if err1 != nil || err2 != nil {
			pose.HeightSigmaMM, pose.FootSigmaMM = math.Inf(1), math.Inf(1)
			return
		}
		j[0][i] = (pu.HeightMM - pd.HeightMM) / (2 * h)
		j[1][i] = (pu.FootMM.X - pd.FootMM.X) / (2 * h)
		j[2][i] = (pu.FootMM.Y - pd.FootMM.Y) / (2 * h)
	}
	pu, err1 := f.poseAt(&f.p, logF+h)
	pd, err2 := f.poseAt(&f.p, logF-h)
	if err1 != nil || err2 != nil {
		return
	}
	// The estimate moves with the prior by the ratio of the two variances.
	prior := sigma * sigma / e.sigma
	by := [3]float64{(pu.HeightMM - pd.HeightMM) / (2 * h), (pu.FootMM.X - pd.FootMM.X) / (2 * h), (pu.FootMM.Y - pd.FootMM.Y) / (2 * h)}
	var variance [3]float64
	for r := range 3 {
		variance[r] = f.form(&j[r], &j[r]) + by[r]*by[r]*prior*prior
	}
	pose.HeightSigmaMM = math.Sqrt(variance[0])
	pose.FootSigmaMM = math.Sqrt(max(variance[1], variance[2]))
	pose.FocalSigmaPx = pose.FocalPx * math.Sqrt(f.form(&dlog, &dlog)+prior*prior)
}

// AtHeight returns the camera over the plane heightMM above the mat: it maps
// positions in that plane, in the mat's frame, to the photograph. A point at
// height z is seen where the mat point C + (X - C) / (1 - z / C_z) is, C
// being the camera's foot and C_z its height (Criminisi, Reid & Zisserman,
// IJCV 40(2), 2000; from memory). Only FootMM and HeightMM of the pose are
// used, so a measured height serves as well.
func (m Model) AtHeight(pose Pose, heightMM float64) (Model, error) {
	if !(pose.HeightMM > 0) || !(heightMM < pose.HeightMM) {
		return Model{}, &FitError{
			Stage: StageInput, Limit: pose.HeightMM,
			Reason: fmt.Sprintf("A piece %.1f mm high does not lie below a camera %.1f mm above the mat; check both heights.", heightMM, pose.HeightMM),
		}
	}
	k := pose.HeightMM / (pose.HeightMM - heightMM)
	c := pose.FootMM
	return m.after([9]float64{k, 0, c.X * (1 - k), 0, k, c.Y * (1 - k), 0, 0, 1}), nil
}
