package lens

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Fit is a solved camera and how well it explains the lines it was solved
// from.
type Fit struct {
	Model
	// Pitch is the distance between lines that the fit was solved with.
	Pitch mat.Pitch
	// Points are the line samples used; ResidualPx belongs to them one by one:
	// the signed distance of the sample from its projected line, positive
	// towards growing X (columns) or Y (rows).
	Points     []mat.LinePoint
	ResidualPx []float64
	RMSPx      float64
	MaxPx      float64
	// LeftOutRMSMM is the error in mm of the odd-numbered lines' fit measured
	// on the even-numbered ones, their own noise included; 0 when there were
	// too few lines.
	LeftOutRMSMM float64
	// Terms names the lens terms that entered, like "k1 k2 centre".
	Terms []string

	// Crossings are the crossings a fit of crossings was solved from. Points
	// then name their columns, and ResidualPx is a distance without a sign.
	Crossings []Crossing
	// Rejected are the samples set aside as gross errors.
	Rejected []mat.LinePoint
	// Lines sums the residuals up line by line, by family and index.
	Lines []LineResidual
	// NoisePx is the robust noise of one sample across its line, 1 sigma.
	NoisePx float64
	// Inflation is the factor by which errors shared along the lines raise
	// the variance of the result above that of independent samples; at least 1.
	Inflation float64
	// MisfitPx is how far neighbouring lines wander from the fit together, 1
	// sigma: a bend that the lens terms cannot express, or a mat that does not
	// lie flat. It is part of PlusMinusMM.
	MisfitPx float64
	// Hull is the convex hull on the mat of the samples used.
	Hull []mat.Point
	// WorstInsideMM and MedianInsideMM sum PlusMinusMM up over the hull.
	WorstInsideMM, MedianInsideMM float64

	cam        camera
	p          params
	covariance [paramCount][paramCount]float64
	// focalPx is the tag's, 0 when unknown; aspectSigma is how true the mat is
	// printed, 0 for perfectly.
	focalPx, aspectSigma float64
	focalUnsure          bool
	bend                 *bendField
}

// LineResidual sums up one printed line.
type LineResidual struct {
	Family mat.Family
	Index  int
	// Count samples were used, Rejected set aside.
	Count, Rejected int
	// MeanPx is the signed mean distance of the samples used from the
	// projected line, RMSPx their root mean square; 0 when none was used.
	MeanPx, RMSPx float64
}

// check refuses a fit that misses its lines, or has the mat mirrored: a piece
// cut mirrored is a sheet lost.
func (f *Fit) check(o SolveOptions, what string) error {
	if f.RMSPx > o.maxRMSPx() {
		return &FitError{
			Stage: StageCheck, Count: len(f.Points), RMSPx: f.RMSPx, Limit: o.maxRMSPx(),
			Reason: fmt.Sprintf("The %s miss the squared-up grid by %.1f px, more than the %.1f px allowed; check the pitch and the counts of squares.", what, f.RMSPx, o.maxRMSPx()),
		}
	}
	if f.Mirrored() {
		return &FitError{
			Stage: StageCheck, Count: len(f.Points), RMSPx: f.RMSPx,
			Reason: fmt.Sprintf("The %s are counted so that the mat comes out mirrored; reverse the count of the columns or of the rows, not both.", what),
		}
	}
	return nil
}

// sumUp makes the fit of adjusted parameters.
func (pr *problem) sumUp(p *params, points []mat.LinePoint, o SolveOptions, terms Terms, scale float64) *Fit {
	f := &Fit{
		Model: pr.model(p), Pitch: o.pitch(), Terms: terms.Names(),
		cam: pr.camera, p: *p, focalPx: o.focalPx(), focalUnsure: o.FocalUnsure, aspectSigma: o.aspectSigma(),
	}
	m := newProjector(&pr.camera, p)
	on := make([]mat.Point, 0, len(points))
	var noise []float64
	for i := range pr.obs {
		ob := &pr.obs[i]
		if ob.out {
			f.Rejected = append(f.Rejected, points[i])
			continue
		}
		d, _ := m.distance(ob)
		f.Points = append(f.Points, points[i])
		f.ResidualPx = append(f.ResidualPx, d)
		noise = append(noise, math.Abs(d))
		on = append(on, mat.Point{
			X: ob.x*pr.frame.unitMM + pr.frame.centre.X,
			Y: ob.y*pr.frame.unitMM + pr.frame.centre.Y,
		})
	}
	f.RMSPx, f.MaxPx = rootMeanSquare(f.ResidualPx)
	f.NoisePx = madUnit * median(noise)
	f.Lines = lineResiduals(f.Points, f.ResidualPx, f.Rejected)
	f.Hull = convexHull(on)
	f.Inflation = pr.inflation(p, len(terms.places()))
	f.MisfitPx = pr.misfit(p)
	f.covariance = pr.covariance(p, terms, scale, f.Inflation)
	if !slices.ContainsFunc(pr.obs, observation.isPoint) {
		f.bend = f.newBendField()
	}
	f.MedianInsideMM, f.WorstInsideMM = f.insideMM()
	return f
}

func rootMeanSquare(r []float64) (rms, worst float64) {
	for _, v := range r {
		rms += v * v
		worst = max(worst, math.Abs(v))
	}
	return math.Sqrt(rms / float64(max(len(r), 1))), worst
}
