package lens

import (
	"flatwright/rectify/mat"
)

// Fit is a solved camera and how well it explains the lines it was solved
// from.
type Fit struct {
	Model
	PitchMM float64
	// Points are the line samples used; ResidualPx belongs to them one by one:
	// the signed distance of the sample from its projected line.
	Points     []mat.LinePoint
	ResidualPx []float64
	RMSPx      float64
	MaxPx      float64
	// LeftOutRMSMM is the error in mm of the odd-numbered lines' fit measured
	// on the even-numbered ones; 0 when there were too few lines.
	LeftOutRMSMM float64
	// Terms names the lens terms that entered, like "k1 k2 centre".
	Terms []string
}

// PlusMinusMM returns two standard errors of the map at a point of the mat,
// in mm; it grows outside the hull of the lines used.
func (f *Fit) PlusMinusMM(at mat.Point) float64 { return 0 }
