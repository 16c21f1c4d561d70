package report

import (
	"math"
	"sort"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// Calibration says how well the photograph was squared up.
type Calibration struct {
	PitchMM float64 `json:"pitch_mm"`
	// Points are the samples on the mat's lines that were used; Crossings
	// the crossings of lines among them.
	Points    int     `json:"points_used"`
	Crossings int     `json:"crossings_used"`
	RMSPx     float64 `json:"rms_px"`
	MaxPx     float64 `json:"max_px"`
	// LeftOutRMSMM is the error on lines that were left out of the fit.
	LeftOutRMSMM float64   `json:"left_out_rms_mm"`
	PlusMinus    PlusMinus `json:"plus_minus"`
	MMPerPx      float64   `json:"mm_per_px"`
	Lens         Lens      `json:"lens"`
}

// PlusMinus sums up two standard errors of positions over the places asked
// about.
type PlusMinus struct {
	MedianMM float64 `json:"median_mm"`
	WorstMM  float64 `json:"worst_mm"`
	WorstAt  Point   `json:"worst_at_mm"`
	// NotSeen counts the places that the photograph does not show.
	NotSeen int `json:"places_not_seen"`
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

// CalibrationOf sums a fit up. The ± and mm per pixel are taken over the
// places given (the nodes of the pieces, say): their median, and the worst ±.
func CalibrationOf(fit *lens.Fit, places []mat.Point) Calibration {
	c := Calibration{
		PitchMM: fit.Pitch.XMM, Points: len(fit.Points), Crossings: crossings(fit.Points),
		RMSPx: fit.RMSPx, MaxPx: fit.MaxPx, LeftOutRMSMM: fit.LeftOutRMSMM,
		PlusMinus: plusMinus(fit, places), MMPerPx: scale(fit, places),
		Lens: Lens{
			Terms: append([]string{}, fit.Terms...), ScalePx: fit.ScalePx,
			CentreXPx: fit.CentreX, CentreYPx: fit.CentreY,
			K1: fit.K1, K2: fit.K2, K3: fit.K3, P1: fit.P1, P2: fit.P2,
		},
	}
	if n := len(fit.Crossings); n > 0 {
		c.Crossings = n
	}
	return c
}

// scale returns the median mm per pixel over the places that are seen.
func scale(fit *lens.Fit, places []mat.Point) float64 {
	var all []float64
	for _, p := range places {
		if s := fit.ScaleMMPerPx(p); finite(s) {
			all = append(all, s)
		}
	}
	return median(all)
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

func plusMinus(fit *lens.Fit, places []mat.Point) PlusMinus {
	var r PlusMinus
	var all []float64
	for _, p := range places {
		v := fit.PlusMinusMM(p)
		if !finite(v) {
			r.NotSeen++
			continue
		}
		all = append(all, v)
		if v > r.WorstMM {
			r.WorstMM, r.WorstAt = v, At(p)
		}
	}
	r.MedianMM = median(all)
	return r
}

func (c Calibration) rounded() Calibration {
	c.RMSPx, c.MaxPx = round(c.RMSPx), round(c.MaxPx)
	c.LeftOutRMSMM, c.MMPerPx = round(c.LeftOutRMSMM), round(c.MMPerPx)
	c.PlusMinus.MedianMM, c.PlusMinus.WorstMM = round(c.PlusMinus.MedianMM), round(c.PlusMinus.WorstMM)
	c.PlusMinus.WorstAt = Point{round(c.PlusMinus.WorstAt.X), round(c.PlusMinus.WorstAt.Y)}
	c.Lens.Terms = append([]string{}, c.Lens.Terms...)
	return c
}
