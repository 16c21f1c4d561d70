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

// chordMM is how far the chords that distances are measured to stray from the
// curve at most.
const chordMM = 0.003

// DeviationOf returns how far a path lies from measured points, bridged ones
// left out, to 0.003 mm: distances are to chords of the path. At most the given number of them, evenly along the outline, is
// looked at; 0 means all.
func DeviationOf(p curve.Path, samples []curve.Sample, most int) Deviation {
	step := 1
	if most > 0 {
		step = (len(samples) + most - 1) / most
	}
	var d Deviation
	pts := p.Flatten(chordMM)
	if len(pts) == 0 {
		return d
	}
	if p.Closed {
		pts = append(pts, pts[0])
	}
	sum := 0.0
	for i := 0; i < len(samples); i += max(step, 1) {
		q := samples[i]
		if q.SigmaMM >= bridgedMM {
			continue
		}
		off2 := nearest2(pts, q.At)
		d.Samples++
		sum += off2
		if off2 > d.WorstMM*d.WorstMM {
			d.WorstMM, d.WorstAt = math.Sqrt(off2), q.At
		}
	}
	if d.Samples > 0 {
		d.RMSMM = math.Sqrt(sum / float64(d.Samples))
	}
	return d
}

// nearest2 is the squared distance of a point from a line of points.
func nearest2(pts []mat.Point, q mat.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a := pts[i-1]
		dx, dy := pts[i].X-a.X, pts[i].Y-a.Y
		x, y := q.X-a.X, q.Y-a.Y
		if l := dx*dx + dy*dy; l > 0 {
			t := math.Max(0, math.Min(1, (x*dx+y*dy)/l))
			x, y = x-t*dx, y-t*dy
		}
		best = math.Min(best, x*x+y*y)
	}
	return best
}
