package rectify

import (
	"errors"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// DistanceCheck compares a length in the photograph with its known value.
type DistanceCheck struct {
	From, To            photo.Point
	KnownMM, MeasuredMM float64
	// PlusMinusMM is two standard errors of the measured length, of all parts
	// together: MapMM of squaring up, both ends together; ScaleMM of the scale
	// along the length, as the rule, the profile, the sheet or the mat's print
	// is true; PointsMM of where the two points were set. What is known is
	// taken to be exact.
	PlusMinusMM              float64
	MapMM, ScaleMM, PointsMM float64
}

// DifferenceMM is what was measured less what is known.
func (c DistanceCheck) DifferenceMM() float64 { return c.MeasuredMM - c.KnownMM }

// BeyondMM is by how much the difference, without its sign, exceeds the ±; 0
// where the two agree.
func (c DistanceCheck) BeyondMM() float64 {
	return max(math.Abs(c.DifferenceMM())-c.PlusMinusMM, 0)
}

// Agrees reports whether the difference lies within the ±. One in twenty
// honest lengths does not.
func (c DistanceCheck) Agrees() bool { return c.BeyondMM() == 0 }

// Verdict says in a sentence whether the two agree, and if not, by how much
// and what to do.
func (c DistanceCheck) Verdict() string {
	if c.Agrees() {
		return fmt.Sprintf("agrees: %s mm off, within ± %s mm", millimetres(math.Abs(c.DifferenceMM())), millimetres(c.PlusMinusMM))
	}
	size := "long"
	if c.DifferenceMM() < 0 {
		size = "short"
	}
	return fmt.Sprintf("comes out %s mm too %s, %s mm more than the ± %s mm allows: look at both points and at the length typed; if they are right, measure the mat with a steel rule",
		millimetres(math.Abs(c.DifferenceMM())), size, millimetres(c.BeyondMM()), millimetres(c.PlusMinusMM))
}

// ErrOffMat is returned for a place in the photograph that shows no point of
// the mat's plane.
var ErrOffMat = errors.New("that place in the photograph lies off the mat's plane: choose places on the mat")

const (
	// setSigmaPart is the standard error of a point set through the magnifier
	// in each direction, in parts of the photograph's diagonal: 1 px at 12
	// megapixels (common practice, no source).
	setSigmaPart = 0.0002
	// printSigma is the standard error of a mat's size as printed, in parts:
	// half of what mats are often off by.
	printSigma = printedPart / 2
	// sheetSigmaMM is the standard error of a sheet's side, cut or measured
	// with a rule (common practice, no source; ISO 216 allows 2 mm, which no
	// ream on sale comes near).
	sheetSigmaMM = 0.25
)

// CheckDistance measures between two places of the photograph on the mat, set
// by hand, to be held against a length that is known: a rule's, say. It
// serves in every way of squaring up. Errors: ErrOffMat.
func (s *Squared) CheckDistance(from, to photo.Point, knownMM float64) (DistanceCheck, error) {
	return s.CheckDistanceOf(from, to, knownMM, setSigmaPart*diagonal(s.Photo))
}

// CheckDistanceOf is CheckDistance for points whose standard error in each
// direction, in px, is known: of edges that were traced, say. Errors:
// ErrOffMat.
func (s *Squared) CheckDistanceOf(from, to photo.Point, knownMM, sigmaPx float64) (DistanceCheck, error) {
	a, ok1 := s.Fit.ToMat(from)
	b, ok2 := s.Fit.ToMat(to)
	if !ok1 || !ok2 {
		return DistanceCheck{}, ErrOffMat
	}
	c := DistanceCheck{
		From: from, To: to, KnownMM: knownMM,
		MeasuredMM: math.Hypot(b.X-a.X, b.Y-a.Y),
		MapMM:      s.lengthMapMM(a, b),
		ScaleMM:    s.lengthScaleMM(a, b),
		PointsMM:   s.lengthPointsMM(a, b, sigmaPx),
	}
	c.PlusMinusMM = math.Sqrt(c.MapMM*c.MapMM + c.ScaleMM*c.ScaleMM + c.PointsMM*c.PointsMM)
	return c, nil
}

// lengthMapMM is the part of the map, and of a bend of the lens that was not
// measured.
func (s *Squared) lengthMapMM(a, b mat.Point) float64 {
	return math.Hypot(s.Fit.PlusMinusLengthMM(a, b), math.Hypot(s.bendPlusMinusMM(a), s.bendPlusMinusMM(b)))
}

// lengthScaleMM is the part of the scale: X and Y are off each on its own, and
// by the same part everywhere.
func (s *Squared) lengthScaleMM(a, b mat.Point) float64 {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 {
		return 0
	}
	x, y := s.scaleSigmas()
	dx, dy := b.X-a.X, b.Y-a.Y
	return 2 * math.Hypot(x*dx*dx, y*dy*dy) / length
}

// scaleSigmas are the standard errors of the scale along X and Y, in parts. A
// direction that was not measured is as true as mats are printed.
func (s *Squared) scaleSigmas() (x, y float64) {
	if s.fromSheet() {
		px := edgeBiasPx * math.Sqrt2 * s.Fit.ScaleMMPerPx(mat.Point{X: s.Pitch.XMM / 2, Y: s.Pitch.YMM / 2})
		return math.Hypot(sheetSigmaMM, px) / s.Pitch.XMM, math.Hypot(sheetSigmaMM, px) / s.Pitch.YMM
	}
	known := func(sigma float64) float64 {
		if sigma > 0 {
			return sigma
		}
		return printSigma
	}
	return known(s.Scale.SigmaX), known(s.Scale.SigmaY)
}

// lengthPointsMM is the part of where the ends were set.
func (s *Squared) lengthPointsMM(a, b mat.Point, sigmaPx float64) float64 {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length == 0 || !(sigmaPx > 0) {
		return 0
	}
	squares := 0.0
	for _, end := range [2]mat.Point{a, b} {
		px, ok := s.Fit.SlopeToPhoto(end)
		mm, ok2 := px.Inverse()
		if !ok || !ok2 {
			return math.Inf(1)
		}
		for c := range 2 {
			along := (mm[0][c]*(b.X-a.X) + mm[1][c]*(b.Y-a.Y)) / length
			squares += along * along
		}
	}
	return 2 * sigmaPx * math.Sqrt(squares)
}
