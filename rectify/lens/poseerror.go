package lens

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// poseSense is how a pose moves with what it was found from.
type poseSense struct {
	// of is the pose it belongs to, by its own numbers.
	footMM   mat.Point
	heightMM float64
	// by holds the derivatives of foot x, foot y and height by the map's
	// parameters, mm per unit.
	by [3]params
	// own holds the effect of one standard error of each other thing known:
	// the prior, the measured height, the mat's aspect and shear.
	own [4][3]float64
}

// posePlace is a pose in numbers: foot x, foot y, height, logarithm of f.
type posePlace [4]float64

// finder finds the pose anew from evidence that was changed a little.
type finder struct {
	fit         *Fit
	logF, sigma float64
}

func (s finder) place(e *focalEvidence, p *params) (posePlace, error) {
	logF := e.refine(p, s.logF, s.sigma)
	pose, err := s.fit.poseAt(p, logF)
	return posePlace{pose.FootMM.X, pose.FootMM.Y, pose.HeightMM, logF}, err
}

// slope returns the change of the pose per unit of a change of the evidence,
// by central differences.
func (s finder) slope(step float64, change func(by float64, e *focalEvidence, p *params), e *focalEvidence) (d posePlace, err error) {
	var at [2]posePlace
	for k, by := range [2]float64{step, -step} {
		trial, p := *e, s.fit.p
		if e.height != nil {
			h := *e.height
			trial.height = &h
		}
		change(by, &trial, &p)
		if at[k], err = s.place(&trial, &p); err != nil {
			return d, err
		}
	}
	for i := range d {
		d[i] = (at[0][i] - at[1][i]) / (2 * step)
		if math.IsNaN(d[i]) {
			return d, fmt.Errorf("lens: no pose near the one found")
		}
	}
	return d, nil
}

// poseErrors carries the covariance of the homography, and the errors of all
// else that is known, through the search for the focal length to the pose.
func (f *Fit) poseErrors(pose *Pose, e *focalEvidence, logF, sigma float64) {
	sense := &poseSense{footMM: pose.FootMM, heightMM: pose.HeightMM}
	s := finder{f, logF, sigma}
	var byF params
	for i := range homographyCount {
		d, err := s.slope(1e-5, func(by float64, _ *focalEvidence, p *params) { p[i] += by }, e)
		if err != nil {
			pose.unknown()
			return
		}
		sense.by[0][i], sense.by[1][i], sense.by[2][i], byF[i] = d[0], d[1], d[2], d[3]
	}
	variance := f.form(&byF, &byF)
	for k, known := range e.knobs() {
		if known.sigma == 0 {
			continue
		}
		d, err := s.slope(known.sigma/10, known.turn, e)
		if err != nil {
			pose.unknown()
			return
		}
		for r := range 3 {
			sense.own[k][r] = d[r] * known.sigma
		}
		variance += d[3] * d[3] * known.sigma * known.sigma
	}
	pose.FocalSigmaPx = pose.FocalPx * math.Sqrt(variance)
	v := sense.variance(f)
	pose.HeightSigmaMM = math.Sqrt(v[2])
	pose.FootSigmaMM = math.Sqrt(max(v[0], v[1]))
	pose.sense = sense
}

func (p *Pose) unknown() {
	p.FocalSigmaPx, p.HeightSigmaMM, p.FootSigmaMM = math.Inf(1), math.Inf(1), math.Inf(1)
}

// knob is a thing known besides the homography, and how to change it.
type knob struct {
	sigma float64
	turn  func(by float64, e *focalEvidence, p *params)
}

func (e *focalEvidence) knobs() [4]knob {
	k := [4]knob{
		{e.prior.sigma, func(by float64, e *focalEvidence, _ *params) { e.prior.mean += by }},
		{},
		{e.aspect, func(by float64, _ *focalEvidence, p *params) {
			for _, i := range [3]int{0, 3, 6} {
				p[i] *= 1 + by/2
				p[i+1] *= 1 - by/2
			}
		}},
		{e.shear, func(by float64, _ *focalEvidence, p *params) {
			for _, i := range [3]int{0, 3, 6} {
				p[i], p[i+1] = p[i]+p[i+1]*by/2, p[i+1]+p[i]*by/2
			}
		}},
	}
	if e.height != nil {
		k[1] = knob{e.height.measured.sigma, func(by float64, e *focalEvidence, _ *params) { e.height.measured.mean += by }}
	}
	return k
}

// variance of foot x, foot y and height, in mm².
func (s *poseSense) variance(f *Fit) (v [3]float64) {
	for r := range 3 {
		v[r] = f.form(&s.by[r], &s.by[r])
		for k := range s.own {
			v[r] += s.own[k][r] * s.own[k][r]
		}
	}
	return v
}

// senseOf returns the pose's own sensitivities; those of a pose that was
// written down, or mended by hand, are its standard errors, each on its own.
func (p Pose) senseOf() *poseSense {
	if s := p.sense; s != nil && s.footMM == p.FootMM && s.heightMM == p.HeightMM {
		return s
	}
	s := &poseSense{footMM: p.FootMM, heightMM: p.HeightMM}
	s.own[0][0], s.own[1][1], s.own[2][2] = p.FootSigmaMM, p.FootSigmaMM, p.HeightSigmaMM
	return s
}

// PlusMinusAtHeightMM returns two standard errors, in mm, of a point in the
// plane heightMM above the mat as Model.AtHeight maps it with this pose: of
// the map, of the pose (which was found from the same lines, so that their
// errors hang together), and of the height itself, whose standard error is
// heightSigmaMM. The point is in the mat's frame, in the raised plane. Like
// PlusMinusMM it covers the error in any one direction with about 95 %, and
// is +Inf where the point is not seen or not below the camera.
func (f *Fit) PlusMinusAtHeightMM(pose Pose, at mat.Point, heightMM, heightSigmaMM float64) float64 {
	camera := pose.HeightMM
	if !(camera > 0) || !(heightMM < camera) || f.cam.scalePx == 0 {
		return math.Inf(1)
	}
	// The mat point hidden behind; raised = foot + (behind - foot)(1 - part).
	part := heightMM / camera
	foot := pose.FootMM
	away := mat.Point{X: (at.X - foot.X) / (1 - part), Y: (at.Y - foot.Y) / (1 - part)}
	j, inv, ok := f.sensitivity(mat.Point{X: foot.X + away.X, Y: foot.Y + away.Y})
	if !ok {
		return math.Inf(1)
	}
	s := pose.senseOf()
	far := [2]float64{away.X, away.Y}
	px := f.cam.frame.unitMM * f.MisfitPx * (1 - part)
	var cov Slope
	var row [2]params
	for r := range 2 {
		for i := range paramCount {
			// The map's own shift is minus its sensitivity.
			row[r][i] = -(1-part)*j[r][i] + part*(s.by[r][i]+far[r]/camera*s.by[2][i])
		}
	}
	thick := heightSigmaMM / camera
	for r := range 2 {
		for c := range r + 1 {
			v := f.form(&row[r], &row[c]) + px*px*(inv[r][0]*inv[c][0]+inv[r][1]*inv[c][1]) + thick*thick*far[r]*far[c]
			for k := range s.own {
				o := &s.own[k]
				v += part * part * (o[r] + far[r]/camera*o[2]) * (o[c] + far[c]/camera*o[2])
			}
			cov[r][c], cov[c][r] = v, v
		}
	}
	return cov.twoSigma()
}
