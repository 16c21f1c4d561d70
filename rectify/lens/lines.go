package lens

import (
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// solveLines adjusts the camera to line samples and sums the fit up.
func (pr *problem) solveLines(ctx context.Context, p params, points []mat.LinePoint, o SolveOptions) (*Fit, error) {
	terms := o.allowed() & (TermK1 | TermK2 | TermCentre)
	if !showBend(points) {
		terms = 0
	}
	scale, err := pr.settle(ctx, &p, terms)
	if err != nil {
		return nil, err
	}
	if err := pr.enoughLeft(points); err != nil {
		return nil, err
	}
	terms, scale, err = pr.addTerms(ctx, &p, terms, o.allowed(), scale)
	if err != nil {
		return nil, err
	}
	f := pr.sumUp(&p, points, o, terms, scale)
	if err := f.check(o, "lines found"); err != nil {
		return nil, err
	}
	f.LeftOutRMSMM, err = pr.leftOut(ctx, p, points, terms, scale)
	if err != nil {
		return nil, err
	}
	return f, nil
}

// showBend reports whether samples say anything of the lens: a line shows its
// bend by three samples, and by fewer only among many others.
func showBend(points []mat.LinePoint) bool {
	if len(points) >= fewLeft {
		return true
	}
	count := map[lineKey]int{}
	for _, p := range points {
		count[lineOf(p)]++
		if count[lineOf(p)] > 2 {
			return true
		}
	}
	return false
}

// rounds of re-estimating the noise and of setting samples aside.
const (
	scaleRounds  = 6
	rejectRounds = 3
	scaleSettled = 0.02
	// rejectSettled: one change of mind in so many samples no longer matters.
	rejectSettled = 1000
)

// settle alternates the adjustment with the estimate of the noise, sets gross
// errors aside and returns the noise scale.
func (pr *problem) settle(ctx context.Context, p *params, terms Terms) (float64, error) {
	free := terms.places()
	part := pr.thinned()
	scale := part.noise(p, 0)
	for range scaleRounds {
		if _, err := part.descend(ctx, p, free, scale); err != nil {
			return 0, err
		}
		last := scale
		scale = part.lineNoise(p, len(free))
		if math.Abs(last-scale) < scaleSettled*last {
			break
		}
	}
	pr.setAside(p, scale)
	for range rejectRounds {
		scale = pr.lineNoise(p, len(free))
		if _, err := pr.descend(ctx, p, free, scale); err != nil {
			return 0, err
		}
		if pr.setAside(p, scale)*rejectSettled <= len(pr.obs) {
			break
		}
	}
	return scale, nil
}

// lineNoise is the noise scale of line samples. Of few samples the fit passes
// through some, and a median says nothing: then it is the root mean square,
// held to what the samples claim of themselves.
func (pr *problem) lineNoise(p *params, free int) float64 {
	s := pr.noise(p, free)
	left := pr.count() - float64(free)
	if left >= fewLeft {
		return s
	}
	if left <= 0 {
		return max(s, 1)
	}
	s = max(s, pr.meanNoise(p, left))
	belief := clickBelief / (1 + left/clickBelief)
	return math.Sqrt((belief + left*s*s) / (belief + left))
}

// roughCount is how many samples are enough for the first part of the way.
const roughCount = 2500

// thinned returns the problem with only about roughCount of its observations.
func (pr *problem) thinned() *problem {
	step := max(len(pr.obs)/roughCount, 1)
	part := *pr
	part.norms = nil
	part.obs = make([]observation, 0, len(pr.obs)/step+1)
	for i := 0; i < len(pr.obs); i += step {
		part.obs = append(part.obs, pr.obs[i])
	}
	return &part
}

// setAside marks the observations beyond rejectAt and returns how many marks
// changed.
func (pr *problem) setAside(p *params, scale float64) int {
	m := newProjector(&pr.camera, p)
	changed := 0
	for i := range pr.obs {
		o := &pr.obs[i]
		d, ok := m.distance(o)
		out := !ok || math.IsNaN(d) || math.Abs(d)*math.Sqrt(o.weight) > rejectAt*scale
		if out != o.out {
			changed++
			o.out = out
		}
	}
	return changed
}

// enoughLeft demands that most samples, and two lines of each family, agree.
func (pr *problem) enoughLeft(points []mat.LinePoint) error {
	kept := pr.kept(points)
	if 2*len(kept) < len(points) {
		return &FitError{
			Stage: StageCheck, Count: len(kept), Limit: float64(len(points)) / 2,
			Reason: fmt.Sprintf("Only %d of %d line samples agree on one flat grid; check the pitch and the lines shown, or click crossings by hand.", len(kept), len(points)),
		}
	}
	return checkGroups(groupLines(kept))
}

// kept returns the points whose observations take part.
func (pr *problem) kept(points []mat.LinePoint) []mat.LinePoint {
	kept := make([]mat.LinePoint, 0, len(points))
	for i := range pr.obs {
		if !pr.obs[i].out {
			kept = append(kept, points[i])
		}
	}
	return kept
}

// extras are the sets of terms that may enter on evidence.
var extras = [...]Terms{TermTangential, TermK3, TermTangential | TermK3}

// addTerms lets further terms in when they lower the Bayesian information
// criterion (Schwarz 1978). Samples along one line share errors, so both the
// gain and the count are divided by the block variance inflation.
func (pr *problem) addTerms(ctx context.Context, p *params, terms, allowed Terms, scale float64) (Terms, float64, error) {
	n := pr.withAll().evaluate(p, scale)
	inflation := pr.inflation(p, len(terms.places()))
	best, gain := Terms(0), 0.0
	for _, extra := range extras {
		if extra&^allowed != 0 || terms&TermK1 == 0 {
			continue
		}
		if g := pr.gain(n, terms|extra, extra, inflation); g > gain {
			best, gain = extra, g
		}
	}
	if best == 0 {
		return terms, scale, nil
	}
	return pr.tryTerms(ctx, p, terms, terms|best, scale)
}

// withAll returns the problem with the observations set aside taking part: a
// bend in the corners of a wide lens that the terms so far cannot follow has
// set aside the very samples that speak for more. The loss holds gross errors
// down.
func (pr *problem) withAll() *problem {
	part := *pr
	part.norms = nil
	part.obs = slices.Clone(pr.obs)
	for i := range part.obs {
		part.obs[i].out = false
	}
	return &part
}

// gain predicts by how much the criterion falls when extra terms are freed,
// from the quadratic model at the solution without them.
func (pr *problem) gain(n *normal, terms, extra Terms, inflation float64) float64 {
	free := terms.places()
	d, ok := n.solveStep(free, 0)
	if !ok {
		return 0
	}
	fall := 0.0
	for _, i := range free {
		fall += d[i] * n.g[i]
	}
	added := float64(len(extra.places()) - homographyCount)
	return fall/inflation - added*math.Log(pr.count()/inflation)
}

// tryTerms adjusts with more terms, and takes them back when the lens would
// then fold inside the photograph.
func (pr *problem) tryTerms(ctx context.Context, p *params, terms, more Terms, scale float64) (Terms, float64, error) {
	trial := *p
	if _, err := pr.descend(ctx, &trial, more.places(), scale); err != nil {
		return 0, 0, err
	}
	if pr.foldsInside(&trial) && !pr.foldsInside(p) {
		return terms, scale, nil
	}
	free := len(more.places())
	pr.setAside(&trial, pr.lineNoise(&trial, free))
	scale = pr.lineNoise(&trial, free)
	if _, err := pr.descend(ctx, &trial, more.places(), scale); err != nil {
		return 0, 0, err
	}
	*p = trial
	return more, pr.lineNoise(p, free), nil
}

// foldsInside reports whether a corner of the photograph has no ideal
// position.
func (pr *problem) foldsInside(p *params) bool {
	m := pr.model(p)
	w, h := 2*pr.middle.X, 2*pr.middle.Y
	for _, c := range [4][2]float64{{0, 0}, {w, 0}, {0, h}, {w, h}} {
		if _, _, ok := m.undistort((c[0]-m.CentreX)/m.ScalePx, (c[1]-m.CentreY)/m.ScalePx); !ok {
			return true
		}
	}
	return false
}

// count is the number of residuals in use.
func (pr *problem) count() float64 {
	n := 0
	for i := range pr.obs {
		o := &pr.obs[i]
		if o.out {
			continue
		}
		n++
		if o.kind == onPoint {
			n++
		}
	}
	return float64(n)
}
