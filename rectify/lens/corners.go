package lens

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Crossing is a crossing of printed lines seen in the photograph, counted in
// whole pitches from the origin.
type Crossing struct {
	At          photo.Point
	Column, Row int
	// SigmaPx is the standard error of the position, 0 when unknown.
	SigmaPx float64
}

// How many crossings a fit needs before terms may enter.
const (
	leastCrossings  = 4
	crossingsForK1  = 8
	crossingsForAll = 12
)

// clickSigmaPx is the standard error believed of a crossing that claims none:
// a click through a magnifier (common practice, no source). It sets the
// scale of the result's error only while there is little left over to
// measure it from.
const clickSigmaPx = 1

// clickBelief is how many residuals clickSigmaPx is worth.
const clickBelief = 4

// SolveCorners finds the camera from crossings, by distance in px. Four to
// seven give the homography alone, eight free K1; from twelve on K1 and the
// centre enter, and K2, K3 and the tangential terms on evidence. It fails with
// a plain sentence on fewer than four, on a crossing given twice, where no
// four of them are in general position, and where their counts mirror the mat.
// Errors are of type *FitError, or the context's.
func SolveCorners(ctx context.Context, crossings []Crossing, o SolveOptions) (*Fit, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if err := checkCrossings(crossings); err != nil {
		return nil, err
	}
	pr := o.newProblem(frameOfCrossings(crossings, o.pitch()))
	pr.floor = 0.02
	pr.observeCrossings(crossings)
	p, err := pr.startCrossings(crossings)
	if err != nil {
		return nil, err
	}
	terms, scale, err := pr.growTerms(ctx, &p, o.allowed())
	if err != nil {
		return nil, err
	}
	points := make([]mat.LinePoint, len(crossings))
	for i, c := range crossings {
		points[i] = mat.LinePoint{Family: mat.Columns, Index: c.Column, Along: float64(c.Row), At: c.At, SigmaPx: c.SigmaPx}
	}
	f := pr.sumUp(&p, points, o, terms, scale)
	f.Crossings, f.Lines = crossings, nil
	f.NoisePx *= rayleighUnit / madUnit
	if err := f.check(o, "clicked crossings"); err != nil {
		return nil, err
	}
	return f, nil
}

func checkCrossings(crossings []Crossing) error {
	if len(crossings) < leastCrossings {
		return &FitError{
			Stage: StageInput, Count: len(crossings), Limit: leastCrossings,
			Reason: fmt.Sprintf("%d crossings are too few; click at least four, no three of them on one line.", len(crossings)),
		}
	}
	for i, c := range crossings {
		if math.IsNaN(c.At.X+c.At.Y) || math.IsInf(c.At.X+c.At.Y, 0) {
			return &FitError{Stage: StageInput, Count: i, Reason: fmt.Sprintf("Crossing %d has no position; click it again.", i+1)}
		}
		for k, d := range crossings[:i] {
			if c.Column == d.Column && c.Row == d.Row {
				return &FitError{Stage: StageInput, Count: i, Reason: fmt.Sprintf("Crossings %d and %d are both counted as column %d, row %d; remove one or mend its count.", k+1, i+1, c.Column, c.Row)}
			}
			if math.Hypot(c.At.X-d.At.X, c.At.Y-d.At.Y) < 1 {
				return &FitError{Stage: StageInput, Count: i, Reason: fmt.Sprintf("Crossings %d and %d were clicked at the same place; remove one or move it.", k+1, i+1)}
			}
		}
	}
	return nil
}

func frameOfCrossings(crossings []Crossing, pitch mat.Pitch) scaledFrame {
	points := make([]mat.LinePoint, 0, 2*len(crossings))
	for _, c := range crossings {
		points = append(points,
			mat.LinePoint{Family: mat.Columns, Index: c.Column},
			mat.LinePoint{Family: mat.Rows, Index: c.Row})
	}
	return frameOf(points, pitch)
}

func (pr *problem) observeCrossings(crossings []Crossing) {
	pr.obs = make([]observation, len(crossings))
	for i, c := range crossings {
		o := &pr.obs[i]
		o.kind, o.at, o.weight = onPoint, c.At, 1
		if c.SigmaPx > 0 {
			o.weight = sampleWeight(c.SigmaPx)
		}
		o.x, o.y = pr.frame.scale(pr.pitch.At(float64(c.Column), float64(c.Row)))
	}
}

// startCrossings draws sets of four crossings and keeps the homography with
// the least median distance (least median of squares, Rousseeuw 1984).
func (pr *problem) startCrossings(crossings []Crossing) (params, error) {
	var best params
	least, found := math.Inf(1), false
	random := rand.New(rand.NewPCG(3, 4))
	n := len(crossings)
	for range draws {
		var from, to [4]photo.Point
		for i, k := range random.Perm(n)[:4] {
			o := &pr.obs[k]
			from[i] = photo.Point{X: o.x, Y: o.y}
			to[i] = photo.Point{X: (o.at.X - pr.middle.X) / pr.scalePx, Y: (o.at.Y - pr.middle.Y) / pr.scalePx}
		}
		h, ok := homographyOfFour(from, to)
		if !ok || !(h[8] > 0) {
			continue
		}
		var p params
		for i := range homographyCount {
			p[i] = h[i] / h[8]
		}
		if s := pr.noise(&p, 0); s < least {
			best, least, found = p, s, true
		}
	}
	if !found {
		return best, &FitError{
			Stage: StageInput, Count: n, Limit: leastCrossings,
			Reason: fmt.Sprintf("The %d crossings do not span a rectangle: three of every four lie on one line, or their counts disagree with the picture; click four corners of a large rectangle.", n),
		}
	}
	return best, nil
}

// foldPenalty is the logarithm of the odds against a lens that folds inside
// its own picture.
const foldPenalty = 10

// choices are the sets of terms a fit of many crossings may have. The centre
// is never left out: held by its prior it costs nothing, while a centre fixed
// wrongly bends the mat.
var choices = [...]Terms{
	TermK1 | TermCentre,
	TermK1 | TermK2 | TermCentre,
	TermK1 | TermK2 | TermCentre | TermTangential,
	TermK1 | TermK2 | TermCentre | TermK3,
	AllTerms,
}

// growTerms adjusts the homography, with K1 where there is enough, and from
// crossingsForAll on the set of terms that has the most evidence.
func (pr *problem) growTerms(ctx context.Context, p *params, allowed Terms) (Terms, float64, error) {
	terms := Terms(0)
	if len(pr.obs) >= crossingsForK1 {
		terms = TermK1 & allowed
	}
	scale, err := pr.settleCrossings(ctx, p, terms)
	if err != nil || len(pr.obs) < crossingsForAll || terms == 0 {
		return terms, scale, err
	}
	richest := *p
	noise, err := pr.settleCrossings(ctx, &richest, allowed)
	if err != nil {
		return 0, 0, err
	}
	start, most := *p, math.Inf(-1)
	for _, choice := range choices {
		choice &= allowed
		trial := start
		evidence, err := pr.evidence(ctx, &trial, choice, noise)
		if err != nil {
			return 0, 0, err
		}
		if evidence > most {
			*p, terms, most = trial, choice, evidence
		}
	}
	scale, err = pr.settleCrossings(ctx, p, terms)
	return terms, scale, err
}

// evidence adjusts p with a set of terms at a common noise and returns the
// logarithm of the evidence for it by Laplace's method, up to a constant (Kass
// & Raftery, JASA 90, 1995, section 4.1.1; from memory). Unlike BIC it charges
// little for a parameter that its prior already holds.
func (pr *problem) evidence(ctx context.Context, p *params, terms Terms, noise float64) (float64, error) {
	free := terms.places()
	n, err := pr.descend(ctx, p, free, noise)
	if err != nil {
		return 0, err
	}
	volume, ok := n.logDeterminant(free)
	if !ok {
		return math.Inf(-1), nil
	}
	believed := &normal{}
	pr.addPriors(believed, p)
	prior, ok := believed.logDeterminant(free[homographyCount:])
	if !ok {
		return math.Inf(-1), nil
	}
	e := -(n.cost + volume - prior) / 2
	if pr.foldsInside(p) {
		e -= foldPenalty
	}
	return e, nil
}

// settleCrossings adjusts to few observations: the noise is the mean of what
// is measured and what is believed of clicks.
func (pr *problem) settleCrossings(ctx context.Context, p *params, terms Terms) (float64, error) {
	free := terms.places()
	scale := pr.clickNoise(p, len(free))
	for range scaleRounds {
		if _, err := pr.descend(ctx, p, free, scale); err != nil {
			return 0, err
		}
		last := scale
		scale = pr.clickNoise(p, len(free))
		if math.Abs(last-scale) < scaleSettled*last {
			break
		}
	}
	return scale, nil
}

// fewLeft is the number of residuals to spare below which a median says
// nothing: the fit passes through some crossings exactly.
const fewLeft = 24

// meanNoise is the noise from the plain sum of squares.
func (pr *problem) meanNoise(p *params, left float64) float64 {
	m := newProjector(&pr.camera, p)
	sum := 0.0
	for i := range pr.obs {
		if pr.obs[i].out {
			continue
		}
		d, ok := m.distance(&pr.obs[i])
		if !ok {
			d = lostCost
		}
		sum += d * d * pr.obs[i].weight
	}
	return max(math.Sqrt(sum/left), pr.floor)
}

func (pr *problem) clickNoise(p *params, free int) float64 {
	left := pr.count() - float64(free)
	if left <= 0 {
		return clickSigmaPx
	}
	s := pr.noise(p, free)
	if left < fewLeft {
		s = pr.meanNoise(p, left)
	}
	belief := clickBelief / (1 + left/clickBelief)
	return math.Sqrt((belief*clickSigmaPx*clickSigmaPx + left*s*s) / (belief + left))
}
