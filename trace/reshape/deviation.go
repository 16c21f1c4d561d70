package reshape

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// bridgedMM is the standard error from which a sample was bridged, not
// measured (see curve.Sample).
const bridgedMM = 1

// Deviation says how far a path lies from measured points, in mm.
type Deviation struct {
	// WorstMM and RMSMM are over the measured points; WorstAt is the worst one.
	WorstMM, RMSMM float64
	WorstAt        mat.Point
	// Samples counts the points that were looked at.
	Samples int
}

// DeviationOf returns how far a path lies from measured points, bridged ones
// left out. At most the given number of them, evenly along the outline, is
// looked at; 0 means all.
func DeviationOf(p curve.Path, samples []curve.Sample, most int) Deviation {
	step := 1
	if most > 0 {
		step = (len(samples) + most - 1) / most
	}
	var d Deviation
	sum := 0.0
	for i := 0; i < len(samples); i += max(step, 1) {
		q := samples[i]
		if q.SigmaMM >= bridgedMM {
			continue
		}
		at, err := p.Nearest(q.At)
		if err != nil {
			return Deviation{}
		}
		d.Samples++
		sum += at.DistanceMM * at.DistanceMM
		if at.DistanceMM > d.WorstMM {
			d.WorstMM, d.WorstAt = at.DistanceMM, q.At
		}
	}
	if d.Samples > 0 {
		d.RMSMM = math.Sqrt(sum / float64(d.Samples))
	}
	return d
}
