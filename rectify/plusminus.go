package rectify

import (
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// PlusMinusMM returns two standard errors of a place measured in the
// photograph, in mm: of the map, of the scale where it was measured, and,
// when the pieces rise above the mat, of their height and the camera's. The
// place is in the mat's frame, on the face that Upper maps when there is one.
// It is +Inf where the place is not seen.
func (s *Squared) PlusMinusMM(at mat.Point) float64 {
	squares := 0.0
	for _, mm := range [...]float64{
		s.mapPlusMinusMM(at), s.scalePlusMinusMM(at), s.edgePlusMinusMM(at), s.bendPlusMinusMM(at), s.readingPlusMinusMM(at),
	} {
		squares += mm * mm
	}
	return math.Sqrt(squares)
}

// edgeBiasPx is the standard error that all samples of a sheet's edge share:
// where half way between paper and table lies depends on the camera's
// contrast curve, by 0.15 px to either side of what is assumed (a white sheet
// on tables from black to pale, drawn by the project's own camera).
const edgeBiasPx = 0.15

// edgePlusMinusMM is the part of a rectangle's edges: two opposite sides, each
// off on its own, move a place between them less than one far beside.
func (s *Squared) edgePlusMinusMM(at mat.Point) float64 {
	if s.Scale.Source != FromRectangle {
		return 0
	}
	columns, rows := s.Pitch.Count(at)
	u, v := 2*columns-1, 2*rows-1
	px := edgeBiasPx * s.Fit.ScaleMMPerPx(mat.Point{X: s.Pitch.XMM / 2, Y: s.Pitch.YMM / 2})
	return 2 * px * math.Sqrt((1+max(u*u, v*v))/2)
}

// readingBiasPx is the standard error that all readings of printed lines about
// a place share: light, colour and the sensor's pattern draw a line's profile
// to one side by a few hundredths of a pixel, the same on all (measured on
// drawn photographs of 4 megapixels, 0.01 to 0.05 px).
const readingBiasPx = 0.02

// readingPlusMinusMM is the part of what readings share, of which the
// scatter of the readings says nothing.
func (s *Squared) readingPlusMinusMM(at mat.Point) float64 {
	if s.fromSheet() {
		return 0 // edgePlusMinusMM's
	}
	mm := s.Fit.ScaleMMPerPx(at)
	if math.IsNaN(mm) {
		return math.Inf(1)
	}
	return 2 * readingBiasPx * mm
}

// mapPlusMinusMM is the part of the map and of the heights.
func (s *Squared) mapPlusMinusMM(at mat.Point) float64 {
	if s.Pose == nil || !(s.Raised.ThicknessMM > 0) {
		return s.Fit.PlusMinusMM(at)
	}
	return s.Fit.PlusMinusAtHeightMM(*s.Pose, at, s.Raised.ThicknessMM, thicknessSigmaMM)
}

// scalePlusMinusMM is the part of a scale measured with a rule: it grows from
// the middle of the lines used, about which the sheet is stretched.
func (s *Squared) scalePlusMinusMM(at mat.Point) float64 {
	if s.Scale.SigmaX == 0 && s.Scale.SigmaY == 0 || len(s.Fit.Hull) == 0 {
		return 0
	}
	var c mat.Point
	for _, h := range s.Fit.Hull {
		c.X += h.X / float64(len(s.Fit.Hull))
		c.Y += h.Y / float64(len(s.Fit.Hull))
	}
	return 2 * math.Hypot(s.Scale.SigmaX*(at.X-c.X), s.Scale.SigmaY*(at.Y-c.Y))
}

// Upper returns the camera over the plane of the pieces' upper face, in the
// mat's frame; false when they lie in the mat's plane, where Fit.Model serves.
func (s *Squared) Upper() (lens.Model, bool) {
	if s.Pose == nil || !(s.Raised.ThicknessMM > 0) {
		return lens.Model{}, false
	}
	m, err := s.Fit.AtHeight(*s.Pose, s.Raised.ThicknessMM)
	return m, err == nil
}
