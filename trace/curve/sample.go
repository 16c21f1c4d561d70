package curve

import "flatwright/rectify/mat"

// Sample is one measured point of an outline.
type Sample struct {
	At mat.Point
	// SigmaMM is its standard error across the outline. A point that was not
	// measured but bridged (a printed line crosses the edge there, say) has a
	// SigmaMM of 1 or more and must not pull the curve.
	SigmaMM float64
}
