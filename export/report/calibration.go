package report

import (
	"math"
	"sort"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// Calibration says how well the photograph was squared up.
type Calibration struct {
	// PitchMM is the nominal distance of the mat's lines as it was given, 0
	// when a rectangle was squared up from; Scale has the true one.
	PitchMM float64 `json:"pitch_mm"`
	Scale   Scale   `json:"scale"`
	// PrintedSpacingsMM are the distances of the lines that were seen to be
	// printed, by the pitch that was given, the widest first.
	PrintedSpacingsMM []float64 `json:"printed_spacings_mm"`
	// Points are the samples on the mat's lines that were used, RejectedPoints
	// those that were set aside as gross errors; Crossings the crossings of
	// lines among them.
	Points         int     `json:"points_used"`
	RejectedPoints int     `json:"rejected_points"`
	Crossings      int     `json:"crossings_used"`
	RMSPx          float64 `json:"rms_px"`
	MaxPx          float64 `json:"max_px"`
	// LeftOutRMSMM is the error on lines that were left out of the fit.
	LeftOutRMSMM float64   `json:"left_out_rms_mm"`
	PlusMinus    PlusMinus `json:"plus_minus"`
	// PlusMinusMap samples the ± over the mat in view, row by row; Hull
	// bounds the lines that were used.
	PlusMinusMap []PlusMinusAt `json:"plus_minus_map"`
	Hull         []Point       `json:"hull_mm"`
	MMPerPx      float64       `json:"mm_per_px"`
	Lens         Lens          `json:"lens"`
	Bend         Bend          `json:"bend"`
	// Height is nil when the pieces lie in the mat's plane.
	Height *Height  `json:"height"`
	Checks []Check  `json:"checks"`
	Advice []Advice `json:"advice"`
}

// Lens is what was solved of the lens: the terms that entered, and the
// model's numbers (see lens.Model for their meaning).
type Lens struct {
	Terms     []string `json:"terms"`
	ScalePx   float64  `json:"scale_px"`
	CentreXPx float64  `json:"centre_x_px"`
	CentreYPx float64  `json:"centre_y_px"`
	K1        float64  `json:"k1"`
	K2        float64  `json:"k2"`
	K3        float64  `json:"k3"`
	P1        float64  `json:"p1"`
	P2        float64  `json:"p2"`
}

// CalibrationOf sums a squared-up photograph up. The ± and mm per pixel are
// taken over the places given (the nodes of the pieces, say), or over the mat
// in view when there are none: their median, and the worst ±.
func CalibrationOf(s *rectify.Squared, places []mat.Point) Calibration {
	fit, byPlace := s.Fit, plusMinusMap(s)
	if len(places) == 0 {
		places = seen(byPlace)
	}
	c := Calibration{
		PitchMM: s.PitchMM, Scale: scaleOf(s), PrintedSpacingsMM: spacings(s),
		Points: len(fit.Points), RejectedPoints: len(fit.Rejected), Crossings: crossings(fit.Points),
		RMSPx: fit.RMSPx, MaxPx: fit.MaxPx, LeftOutRMSMM: fit.LeftOutRMSMM,
		PlusMinus: plusMinus(s, places), PlusMinusMap: byPlace, Hull: pointsOf(fit.Hull),
		MMPerPx: mmPerPx(s, places),
		Lens: Lens{
			Terms: append([]string{}, fit.Terms...), ScalePx: fit.ScalePx,
			CentreXPx: fit.CentreX, CentreYPx: fit.CentreY,
			K1: fit.K1, K2: fit.K2, K3: fit.K3, P1: fit.P1, P2: fit.P2,
		},
		Bend: bendOf(fit), Height: heightOf(s), Checks: []Check{}, Advice: adviceOf(s.Advice()),
	}
	if s.Scale.Source == rectify.FromRectangle {
		c.PitchMM = 0
	}
	if n := len(fit.Crossings); n > 0 {
		c.Crossings = n
	}
	return c
}

// spacings returns the distances of printed lines that were told apart, by the
// pitch that was given; none of a sheet.
func spacings(s *rectify.Squared) []float64 {
	all := []float64{}
	if s.Scale.Source == rectify.FromRectangle {
		return all
	}
	for _, k := range s.Grid.Kinds {
		all = append(all, k.EveryPitch*s.PitchMM)
	}
	return all
}

// pointsOf returns places of the mat as the report writes them.
func pointsOf(in []mat.Point) []Point {
	out := make([]Point, 0, len(in))
	for _, p := range in {
		out = append(out, At(p))
	}
	return out
}

// mmPerPx returns the median mm per pixel over the places that are seen.
func mmPerPx(s *rectify.Squared, places []mat.Point) float64 {
	camera := surface(s)
	var all []float64
	for _, p := range places {
		if v := camera.ScaleMMPerPx(p); finite(v) {
			all = append(all, v)
		}
	}
	return median(all)
}

// surface is the camera over the face that the pieces' places are on.
func surface(s *rectify.Squared) lens.Model {
	if upper, ok := s.Upper(); ok {
		return upper
	}
	return s.Fit.Model
}

// median returns the upper median; 0 of nothing.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// crossings counts the crossings of the lines that were used: those where
// both lines have a sample within half a pitch.
func crossings(points []mat.LinePoint) int {
	type place struct{ column, row int }
	byColumn, byRow := map[place]bool{}, map[place]bool{}
	for _, p := range points {
		if !p.OfPitch() {
			continue
		}
		near := int(math.Round(p.Along))
		if p.Family == mat.Columns {
			byColumn[place{p.Index, near}] = true
		} else {
			byRow[place{near, p.Index}] = true
		}
	}
	n := 0
	for at := range byColumn {
		if byRow[at] {
			n++
		}
	}
	return n
}

// rounded returns a copy with readable numbers and empty lists instead of
// null.
func (c Calibration) rounded() Calibration {
	c.RMSPx, c.MaxPx = round(c.RMSPx), round(c.MaxPx)
	c.LeftOutRMSMM, c.MMPerPx = round(c.LeftOutRMSMM), round(c.MMPerPx)
	c.PlusMinus.MedianMM, c.PlusMinus.WorstMM = round(c.PlusMinus.MedianMM), round(c.PlusMinus.WorstMM)
	c.PlusMinus.WorstAt = c.PlusMinus.WorstAt.rounded()
	c.Scale = c.Scale.rounded()
	c.Height = c.Height.rounded()
	c.Bend = Bend{round(c.Bend.RMSMM), round(c.Bend.WorstMM), c.Bend.WorstAt.rounded()}
	c.PrintedSpacingsMM = copied(c.PrintedSpacingsMM, round)
	c.PlusMinusMap = copied(c.PlusMinusMap, PlusMinusAt.rounded)
	c.Hull = copied(c.Hull, Point.rounded)
	c.Checks = copied(c.Checks, Check.rounded)
	c.Advice = copied(c.Advice, Advice.rounded)
	c.Lens.Terms = append([]string{}, c.Lens.Terms...)
	return c
}

// copied returns a new list, never nil, of each element changed.
func copied[T any](in []T, change func(T) T) []T {
	out := make([]T, 0, len(in))
	for _, v := range in {
		out = append(out, change(v))
	}
	return out
}
