package report

import (
	"fmt"
	"math"

	"flatwright/rectify"
	"flatwright/rectify/lens"
)

// Height says what was allowed for pieces that rise above the mat. A ± is nil
// when it is not known.
type Height struct {
	ThicknessMM             float64  `json:"thickness_mm"`
	CameraHeightMM          float64  `json:"camera_height_mm"`
	CameraHeightPlusMinusMM *float64 `json:"camera_height_plus_minus_mm"`
	// CameraHeightGivenMM is the height as it was measured, nil when it was not;
	// CameraHeightMM weighs it against what the photograph shows.
	CameraHeightGivenMM *float64 `json:"camera_height_given_mm"`
	// CameraFoot is the place of the mat straight below the camera.
	CameraFoot       Point    `json:"camera_foot_mm"`
	TiltDeg          float64  `json:"tilt_deg"`
	FocalPx          float64  `json:"focal_px"`
	FocalPlusMinusPx *float64 `json:"focal_plus_minus_px"`
	// Source says what the camera's height rests on most: "photograph", "tag",
	// "camera height" as it was given, or "guess". TagRefused is set when the
	// photograph contradicts the focal length in its own tags.
	Source     string `json:"source"`
	TagRefused bool   `json:"tag_refused"`
}

func heightOf(s *rectify.Squared) *Height {
	p := s.Pose
	if p == nil || s.Raised.ThicknessMM == 0 {
		return nil
	}
	h := &Height{
		ThicknessMM: s.Raised.ThicknessMM, CameraHeightMM: p.HeightMM,
		CameraHeightPlusMinusMM: finiteOrNil(2 * p.HeightSigmaMM), CameraFoot: At(p.FootMM), TiltDeg: p.TiltDeg,
		FocalPx: p.FocalPx, FocalPlusMinusPx: finiteOrNil(2 * p.FocalSigmaPx),
		Source: string(p.From), TagRefused: p.TagRefused,
	}
	if given := s.Raised.CameraHeightMM; given > 0 {
		h.CameraHeightGivenMM = &given
	}
	return h
}

// Sentence says what was allowed for the pieces' height.
func (h *Height) Sentence() string {
	camera := fmt.Sprintf("%.0f mm", h.CameraHeightMM)
	if h.CameraHeightPlusMinusMM != nil {
		camera = fmt.Sprintf("%.0f ± %.0f mm", h.CameraHeightMM, math.Ceil(*h.CameraHeightPlusMinusMM))
	}
	from := map[lens.PoseSource]string{
		lens.FromPhotograph: "from the photograph", lens.FromTag: "by the focal length in its tags",
		lens.FromCameraHeight: "as measured", lens.FromGuess: "by a usual lens, for want of better",
	}[lens.PoseSource(h.Source)]
	return fmt.Sprintf("Pieces %s mm thick are allowed for, the camera %s above the mat (%s).", shortest(h.ThicknessMM), camera, from)
}

func (h *Height) rounded() *Height {
	if h == nil {
		return nil
	}
	r := *h
	r.CameraHeightMM, r.TiltDeg, r.FocalPx = round(h.CameraHeightMM), round(h.TiltDeg), round(h.FocalPx)
	r.CameraFoot = h.CameraFoot.rounded()
	r.CameraHeightGivenMM = roundedOr(h.CameraHeightGivenMM)
	r.CameraHeightPlusMinusMM, r.FocalPlusMinusPx = roundedOr(h.CameraHeightPlusMinusMM), roundedOr(h.FocalPlusMinusPx)
	return &r
}

// Bend is what neighbouring lines miss the fit by together: a mat that does
// not lie flat or is printed unevenly. All 0 when none was seen.
type Bend struct {
	RMSMM   float64 `json:"rms_mm"`
	WorstMM float64 `json:"worst_mm"`
	WorstAt Point   `json:"worst_at_mm"`
}

func bendOf(fit *lens.Fit) Bend {
	b := fit.Bend()
	return Bend{RMSMM: b.RMSMM, WorstMM: b.WorstMM, WorstAt: At(b.At)}
}

// Check is a length in the photograph held against its known value.
type Check struct {
	KnownMM      float64 `json:"known_mm"`
	MeasuredMM   float64 `json:"measured_mm"`
	DifferenceMM float64 `json:"difference_mm"`
	// PlusMinusMM is two standard errors of the length: of squaring up, of the
	// scale, and of where the points were set. Agrees tells whether the
	// difference lies within it.
	PlusMinusMM float64 `json:"plus_minus_mm"`
	Agrees      bool    `json:"agrees"`
}

// CheckOf is a distance check as the report writes it.
func CheckOf(c rectify.DistanceCheck) Check {
	return Check{
		KnownMM: c.KnownMM, MeasuredMM: c.MeasuredMM, DifferenceMM: c.DifferenceMM(), PlusMinusMM: c.PlusMinusMM,
		Agrees: c.Agrees(),
	}
}

func (c Check) rounded() Check {
	c.KnownMM, c.MeasuredMM, c.DifferenceMM, c.PlusMinusMM = round(c.KnownMM), round(c.MeasuredMM), round(c.DifferenceMM), round(c.PlusMinusMM)
	return c
}

// Advice is what would make the next photograph better.
type Advice struct {
	Text string `json:"text"`
	At   Point  `json:"at_mm"`
	// MM is what it costs there, nil when that is not known.
	MM *float64 `json:"mm"`
}

func adviceOf(all []rectify.Advice) []Advice {
	out := make([]Advice, 0, len(all))
	for _, a := range all {
		advice := Advice{Text: a.Text, At: At(a.At)}
		if a.MM > 0 {
			advice.MM = finiteOrNil(a.MM)
		}
		out = append(out, advice)
	}
	return out
}

func (a Advice) rounded() Advice {
	a.At, a.MM = a.At.rounded(), roundedOr(a.MM)
	return a
}
