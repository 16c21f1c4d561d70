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
	// From is what the focal length, and with it the height, rests on most.
	From PoseSource
	// TagRefused says that the photograph, or the measured height, shows
	// another focal length than the tag claims, which was then left out:
	// digital zoom and cropping do that.
	TagRefused bool

	sense *poseSense
}

// PoseSource says what a pose rests on.
type PoseSource string

// The sources of a pose.
const (
	// FromPhotograph: the convergence of the mat's lines.
	FromPhotograph PoseSource = "photograph"
	// FromTag: the focal length in the photograph's tags.
	FromTag PoseSource = "tag"
	// FromCameraHeight: the camera's height as it was measured.
	FromCameraHeight PoseSource = "camera height"
	// FromGuess: what phones usually have, for want of anything better.
	FromGuess PoseSource = "guess"
)

// Beliefs about the focal length, in parts (1 sigma of its logarithm): of a
// tag, of a tag that the file itself casts doubt on, and of any hand-held
// camera when there is none.
const (
	tagSigma       = 0.03
	unsureTagSigma = 0.25
	blindSigma     = 0.35
	// blindFocal is a usual wide phone lens, in parts of the longer side.
	blindFocal = 0.75
)

// contradicted is how many standard errors two sources of the same length may
// lie apart before one of them is wrong.
const contradicted = 4

// Pose returns the camera's position from the homography. The focal length
// follows from r1 being square to r2 and as long (Zhang, PAMI 22(11), 2000,
// section 3.1), the two equations weighted by their own errors and by how
// true the mat is printed, and from the tag with 3 %. A picture taken
// straight down says nothing of the focal length: the standard errors then
// show how far the tag alone carries.
func (f *Fit) Pose() (Pose, error) {
	if f.cam.scalePx == 0 {
		return Pose{}, errNotSolved
	}
	e := f.focalEvidence()
	refused := f.focalPx > 0 && f.tagContradicted(e)
	if refused {
		e.prior = f.blindBelief()
	}
	pose, err := f.poseOf(e)
	pose.TagRefused = refused
	return pose, err
}

// PoseAtHeight returns the camera's position when its height above the mat
// was measured, with a standard error in mm: the focal length that gives it,
// combined by weight with what the photograph and the tag say. A measured
// height says much where the photograph says little. A tag that disagrees
// with both is left out. Errors are of type *FitError: a height that cannot
// be, or one that the photograph's own lines contradict.
func (f *Fit) PoseAtHeight(cameraHeightMM, sigmaMM float64) (Pose, error) {
	if f.cam.scalePx == 0 {
		return Pose{}, errNotSolved
	}
	if !(cameraHeightMM > 0) || math.IsInf(cameraHeightMM, 0) || !(sigmaMM > 0) || math.IsInf(sigmaMM, 0) {
		return Pose{}, &FitError{
			Stage:  StageInput,
			Reason: fmt.Sprintf("A camera %g ± %g mm above the mat cannot be; measure from the mat straight up to the lens, in millimetres.", cameraHeightMM, 2*sigmaMM),
		}
	}
	without, err := f.Pose()
	if err != nil {
		return Pose{}, err
	}
	e := f.focalEvidence()
	refused := without.TagRefused
	if !refused && f.focalPx > 0 && without.contradicts(cameraHeightMM, sigmaMM) {
		refused = true
	}
	if refused {
		e.prior = f.blindBelief()
		if without, err = f.poseOf(e); err != nil {
			return Pose{}, err
		}
	}
	if without.From == FromPhotograph && without.contradicts(cameraHeightMM, sigmaMM) {
		return Pose{}, &FitError{
			Stage: StageCheck, Limit: without.HeightMM,
			Reason: fmt.Sprintf("The photograph's own lines put the camera %.0f ± %.0f mm above the mat, not %.0f mm; measure again from the mat straight up to the lens, or leave the height out.", without.HeightMM, 2*without.HeightSigmaMM, cameraHeightMM),
		}
	}
	pose, err := f.poseOf(f.withHeight(e, without, cameraHeightMM, sigmaMM))
	pose.TagRefused = refused
	return pose, err
}

var errNotSolved = &FitError{Stage: StageInput, Reason: "There is no camera yet; square the photograph up first."}

// contradicts reports whether a measured height lies too far from the pose's.
func (p Pose) contradicts(heightMM, sigmaMM float64) bool {
	return math.Abs(p.HeightMM-heightMM) > contradicted*math.Hypot(p.HeightSigmaMM, sigmaMM)
}

// poseOf solves the evidence and carries all errors through.
func (f *Fit) poseOf(e *focalEvidence) (Pose, error) {
	logF, sigma := e.solve(&f.p)
	pose, err := f.poseAt(&f.p, logF)
	if err != nil {
		return Pose{}, err
	}
	pose.From = e.source(&f.p, logF)
	f.poseErrors(&pose, e, logF, sigma)
	return pose, nil
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
