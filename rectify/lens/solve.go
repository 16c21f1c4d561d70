package lens

import (
	"context"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// SolveOptions tell the solver what the samples cannot.
type SolveOptions struct {
	// PitchMM is the distance between neighbouring lines. Required.
	PitchMM float64
	// RowPitchMM is the distance between neighbouring rows where it differs
	// from that between columns; 0 means PitchMM.
	RowPitchMM float64
	// Width and Height of the photograph in px. Required.
	Width, Height int
	// FocalPx is the focal length the file's tags claim, 0 when unknown. It
	// sets the scale of the lens terms and the prior of Pose, nothing else. A
	// claim that no lens has (outside 0.25 to 10 times the longer side) is
	// taken for unknown.
	FocalPx float64
	// FocalUnsure says that the claim may be wrong by far: the photograph was
	// cropped or zoomed. It then holds Pose with 25 % instead of 3 %.
	FocalUnsure bool
	// AspectSigma is the standard error of the rows' distance over the
	// columns', in parts: a mat printed too long by 0.1 % looks like one that
	// is tilted, and so bears on Pose (not on the map). 0 means 0.001, for a
	// mat taken as printed; below 0 the mat is taken as perfect.
	AspectSigma float64
	// LossScale is the constant of the Cauchy loss in units of the noise; 0
	// means 2.385 (95 % efficiency on clean data).
	LossScale float64
	// Allow bounds the lens terms; 0 means AllTerms. K3 and the tangential
	// terms enter only on evidence even when allowed.
	Allow Terms
	// PlainHomography forbids every lens term.
	PlainHomography bool
	// MaxRMSPx refuses a result whose robust residual is larger; 0 means
	// 0.4 % of the photograph's diagonal.
	MaxRMSPx float64
}

// Priors of the lens terms (standard deviations, per unit of ScalePx) and of
// the centre (parts of the width). Wide enough for any camera that makes
// rectilinear pictures, narrow enough to keep a narrow field of lines tame.
const (
	k1Sigma         = 0.2
	k2Sigma         = 0.3
	k3Sigma         = 0.3
	tangentialSigma = 0.01
	centreSigma     = 0.01
	// The radial slope d r_d / d r_u at the corner of the picture: no lens
	// folds inside its picture, and strong barrel still leaves a third.
	slopeMean, slopeSigma = 0.85, 0.35
)

const (
	cauchy95 = 2.385
	// printSigmaPx is added in quadrature to every sample's own standard
	// error: no printed line's centre is known better.
	printSigmaPx = 0.03
	// rejectAt is the normalised residual beyond which a sample is dropped.
	rejectAt = 4.5
	// scaleFloor keeps the noise scale above this part of the samples' own
	// standard errors.
	scaleFloor = 0.05
)

func (o SolveOptions) allowed() Terms {
	if o.PlainHomography {
		return 0
	}
	if o.Allow == 0 {
		return AllTerms
	}
	return o.Allow
}

func (o SolveOptions) lossScale() float64 {
	if o.LossScale > 0 {
		return o.LossScale
	}
	return cauchy95
}

func (o SolveOptions) maxRMSPx() float64 {
	if o.MaxRMSPx > 0 {
		return o.MaxRMSPx
	}
	return 0.004 * math.Hypot(float64(o.Width), float64(o.Height))
}

// focalPx returns the tag's focal length, 0 when it is unknown or absurd.
func (o SolveOptions) focalPx() float64 {
	side := float64(max(o.Width, o.Height))
	if o.FocalPx > 0.25*side && o.FocalPx < 10*side {
		return o.FocalPx
	}
	return 0
}

// printedAspect is the standard error of the ratio of a mat's two pitches,
// printed 0.2 % off at the most (common practice, no source).
const printedAspect = 0.001

func (o SolveOptions) aspectSigma() float64 {
	switch {
	case o.AspectSigma < 0:
		return 0
	case o.AspectSigma > 0 && !math.IsInf(o.AspectSigma, 0):
		return o.AspectSigma
	default:
		return printedAspect
	}
}

func (o SolveOptions) pitch() mat.Pitch {
	if o.RowPitchMM > 0 {
		return mat.Pitch{XMM: o.PitchMM, YMM: o.RowPitchMM}
	}
	return mat.Square(o.PitchMM)
}

func (o SolveOptions) check() error {
	switch {
	case !(o.PitchMM > 0) || math.IsInf(o.PitchMM, 0) || !(o.RowPitchMM >= 0) || math.IsInf(o.RowPitchMM, 0):
		return &FitError{Stage: StageInput, Reason: "The distance between the mat's lines is not set; give it in millimetres or inches."}
	case o.Width < 2 || o.Height < 2:
		return &FitError{Stage: StageInput, Limit: 2, Reason: fmt.Sprintf("A photograph of %d x %d pixels cannot be squared up; use a larger one.", o.Width, o.Height)}
	}
	return nil
}

// camera returns the fixed part for points about a centre of the mat.
func (o SolveOptions) camera(f scaledFrame) camera {
	scale := o.focalPx()
	if scale == 0 {
		scale = 0.8 * float64(max(o.Width, o.Height))
	}
	return camera{
		frame:   f,
		scalePx: scale,
		middle:  photo.Point{X: float64(o.Width-1) / 2, Y: float64(o.Height-1) / 2},
	}
}

func (o SolveOptions) newProblem(f scaledFrame) *problem {
	c := o.camera(f)
	pr := &problem{camera: c, lossScale: o.lossScale(), floor: scaleFloor, pitch: o.pitch()}
	centre := centreSigma * float64(max(o.Width, o.Height)) / c.scalePx
	for _, b := range []struct {
		place int
		sigma float64
	}{
		{iK1, k1Sigma},
		{iK2, k2Sigma},
		{iK3, k3Sigma},
		{iP1, tangentialSigma},
		{iP2, tangentialSigma},
		{iCX, centre},
		{iCY, centre},
	} {
		pr.believe(b.sigma, 0, map[int]float64{b.place: 1})
	}
	r2 := (c.middle.X*c.middle.X + c.middle.Y*c.middle.Y) / (c.scalePx * c.scalePx)
	pr.believe(slopeSigma, slopeMean-1, map[int]float64{iK1: 3 * r2, iK2: 5 * r2 * r2, iK3: 7 * r2 * r2 * r2})
	return pr
}

// believe adds a prior on a linear form of the parameters.
func (pr *problem) believe(sigma, mean float64, form map[int]float64) {
	b := prior{mean: mean, information: 1 / (sigma * sigma)}
	for i, v := range form {
		b.row[i] = v
	}
	pr.priors = append(pr.priors, b)
}

// Solve finds the camera from samples on printed lines, with no start given.
// It needs two lines of each family at least. The samples may hold gross
// errors and a minority of wrongly counted lines; they are set aside and
// reported in Fit.Rejected. Errors are of type *FitError, or the context's.
//
// Method: straightness of the lines gives the bend (plumb-line method, Brown
// 1971); four lines drawn by RANSAC (Fischler & Bolles 1981) give the
// homography; Levenberg-Marquardt on the samples' perpendicular distances in
// px with a Cauchy loss does the rest.
func Solve(ctx context.Context, points []mat.LinePoint, o SolveOptions) (*Fit, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	groups := groupLines(points)
	if err := checkGroups(groups); err != nil {
		return nil, err
	}
	start, err := startModel(ctx, groups, o)
	if err != nil {
		return nil, err
	}
	return SolveFrom(ctx, start, points, o)
}

// SolveFrom is Solve with a start that explains the lines to within a third
// of a pitch or so.
func SolveFrom(ctx context.Context, start Model, points []mat.LinePoint, o SolveOptions) (*Fit, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := checkGroups(groupLines(points)); err != nil {
		return nil, err
	}
	pr := o.newProblem(frameOf(points, o.pitch()))
	p, ok := pr.params(start.rescaled(pr.scalePx))
	if !ok {
		return nil, &FitError{Stage: StageStart, Reason: "The start for the camera looks at the mat from behind; start again without it."}
	}
	pr.observe(points, start)
	return pr.solveLines(ctx, p, points, o)
}

// rescaled returns the same lens with its terms per another normalising
// length.
func (m Model) rescaled(scalePx float64) Model {
	k := scalePx / m.ScalePx
	for i := range 6 {
		m.H[i] /= k
	}
	m.ScalePx = scalePx
	m.K1 *= k * k
	m.K2 *= k * k * k * k
	m.K3 *= k * k * k * k * k * k
	m.P1 *= k
	m.P2 *= k
	return m
}

// frameOf centres the scaled frame on the lines seen. The centre counts whole
// pitches, so that moving the origin by whole pitches moves it along exactly.
func frameOf(points []mat.LinePoint, pitch mat.Pitch) scaledFrame {
	var sum, count [2]float64
	low, high := [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for _, p := range points {
		f := familyIndex(p.Family)
		sum[f] += float64(p.Index)
		count[f]++
		low[f], high[f] = min(low[f], p.Index), max(high[f], p.Index)
	}
	return scaledFrame{
		centre: pitch.At(math.Round(sum[0]/max(count[0], 1)), math.Round(sum[1]/max(count[1], 1))),
		unitMM: max(pitch.XMM*float64(max(high[0]-low[0], 1)), pitch.YMM*float64(max(high[1]-low[1], 1))) / 2,
	}
}

func familyIndex(f mat.Family) int {
	if f == mat.Columns {
		return 0
	}
	return 1
}

// observe fills the observations; where the start sees no mat the sample is
// out from the beginning.
func (pr *problem) observe(points []mat.LinePoint, start Model) {
	pr.obs = make([]observation, len(points))
	for i, p := range points {
		o := &pr.obs[i]
		o.at = p.At
		o.weight = sampleWeight(p.SigmaPx)
		at, ok := start.ToMat(p.At)
		o.out = !ok || math.IsNaN(at.X+at.Y)
		c := p.Line() * pr.pitch.Of(p.Family)
		if p.Family == mat.Columns {
			o.kind, at.X = onColumn, c
		} else {
			o.kind, at.Y = onRow, c
		}
		o.x, o.y = pr.frame.scale(at)
	}
}

// sampleWeight returns 1/sigma²; a sample without a claim is given 0.1 px.
func sampleWeight(sigmaPx float64) float64 {
	if !(sigmaPx > 0) || math.IsInf(sigmaPx, 0) {
		sigmaPx = 0.1
	}
	return 1 / (sigmaPx*sigmaPx + printSigmaPx*printSigmaPx)
}
