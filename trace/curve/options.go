package curve

import (
	"fmt"

	"flatwright/rectify/mat"
)

// FitOptions bound a fit. Zero fields take the value named in their comment.
type FitOptions struct {
	// ToleranceMM bounds the distance between the smoothed samples and the
	// path, both ways; 0.10 mm.
	ToleranceMM float64
	// CornerTurnDeg is the least change of direction that makes a corner; 20°.
	CornerTurnDeg float64
	// CornerArmMM is the shortest stretch of each side that is used to look
	// for corners; 2.5 mm. Corners closer together than this may be missed.
	CornerArmMM float64
	// CornerGapMM is how far from a corner the samples are rounded over by
	// optics and pixels; 0.8 mm. About three photograph pixels.
	CornerGapMM float64
	// BlurMM is the standard deviation of that rounding; CornerGapMM / 2.6.
	BlurMM float64
	// StraightMM is the most that the smoothed samples of a straight edge may
	// stray from its line; 0.15 mm.
	StraightMM float64
}

func (o FitOptions) withDefaults() FitOptions {
	set := func(v *float64, d float64) {
		if *v <= 0 {
			*v = d
		}
	}
	set(&o.ToleranceMM, 0.10)
	set(&o.CornerTurnDeg, 20)
	set(&o.CornerArmMM, 2.5)
	set(&o.CornerGapMM, 0.8)
	set(&o.BlurMM, o.CornerGapMM/2.6)
	set(&o.StraightMM, 0.15)
	return o
}

// Stretch is a part of the path that the samples do not vouch for.
type Stretch struct {
	From, To Position
	At       mat.Point
	// Why is a plain sentence fragment, like "bridged".
	Why string
	// OffMM is the largest distance between path and samples there.
	OffMM float64
}

// FitReport says how good a fit is.
type FitReport struct {
	// DataToPathMM and PathToDataMM are the largest distances between the
	// smoothed reliable samples and the path, each way.
	DataToPathMM, PathToDataMM float64
	// RMSMM is the root mean square distance of the reliable raw samples.
	RMSMM float64
	// NoiseMM is the samples' standard deviation about a local parabola.
	NoiseMM float64
	// LengthChange is the path's length over that of the smoothed samples,
	// less one, where there are samples.
	LengthChange float64
	// Nodes counts the nodes, Corners those with a change of direction.
	Nodes, Corners int
	// Unreliable lists stretches without trustworthy samples.
	Unreliable []Stretch
}

// SampleError refuses samples that no outline can be fitted to.
type SampleError struct {
	Index int
	At    mat.Point
	Why   string
}

func (e *SampleError) Error() string {
	return fmt.Sprintf("outline sample %d at (%.2f, %.2f) mm: %s", e.Index, e.At.X, e.At.Y, e.Why)
}
