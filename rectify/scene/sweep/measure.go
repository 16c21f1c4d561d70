package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"sync"
	"sync/atomic"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// result is what came of one case.
type result struct {
	testCase
	// hidden is the part of the crossings that lies under pieces, mmPerPx the
	// scale at the middle of the mat.
	hidden, mmPerPx float64
	// refused says why there is no camera; nil when there is one.
	refused error
	places  []place
	// rmsMM and worstMM are the geometry error of the sheet.
	rmsMM, worstMM float64
	// within is the part of the places whose error is not above the solver's
	// own ±; medianMM and mostMM are of that ±.
	within, medianMM, mostMM float64
	points                   int
	// scale is by what factor lengths come out too large.
	scale float64
	truth scene.Truth
	// hull is that of the lines used, in the truth's frame.
	hull []mat.Point
}

// place is the error at one place of the mat and the ± that was claimed.
type place struct {
	scene.PointError
	plusMinusMM float64
}

// measureAll works the cases, several at a time; the order of the results is
// that of the cases.
func measureAll(ctx context.Context, cases []testCase, s settings) ([]result, error) {
	results, errs := make([]result, len(cases)), make([]error, len(cases))
	var next, done atomic.Int64
	var wait sync.WaitGroup
	for range min(s.jobs, len(cases)) {
		wait.Go(func() {
			for i := int(next.Add(1) - 1); i < len(cases); i = int(next.Add(1) - 1) {
				results[i], errs[i] = measure(ctx, cases[i], s.megapixels)
				fmt.Fprintf(os.Stderr, "\r%d of %d", done.Add(1), len(cases))
			}
		})
	}
	wait.Wait()
	return results, errors.Join(errs...)
}

// measure draws a scene, squares it up and compares. An error means that the
// scene could not be drawn, or ctx's end.
func measure(ctx context.Context, c testCase, megapixels float64) (result, error) {
	spec := c.spec(megapixels)
	r := result{testCase: c, truth: spec.Truth(), hidden: spec.HiddenPart()}
	r.mmPerPx = spec.Camera.DistanceMM / spec.Camera.FocalPx
	p, err := scene.Shoot(ctx, spec)
	if err != nil {
		return r, fmt.Errorf("drawing %s: %w", spec.Name, err)
	}
	squared, err := rectify.SquareUp(ctx, p, r.options())
	if ctx.Err() != nil {
		return r, ctx.Err()
	}
	if err != nil {
		r.refused = err
		return r, nil
	}
	r.compare(squared)
	return r, nil
}

// clickedPx is how far off a maker clicks a corner, 1 sigma.
const clickedPx = 2.5

// options are what the maker would tell: the pitch, the pieces' thickness, or
// the sheet and its corners, clicked by hand.
func (r *result) options() rectify.Options {
	o := rectify.Options{PitchMM: r.truth.PitchMM, Raised: rectify.Raised{ThicknessMM: r.thickMM}}
	s := r.truth.Sheet
	if s == nil {
		return o
	}
	o.Rectangle = &rectify.Rectangle{Name: "sheet", WidthMM: s.WidthMM, HeightMM: s.HeightMM, Corners: s.CornersPx}
	rng := rand.New(rand.NewPCG(r.seed, 0xc11c))
	for i := range o.Rectangle.Corners {
		c := &o.Rectangle.Corners[i]
		c.X, c.Y = c.X+clickedPx*rng.NormFloat64(), c.Y+clickedPx*rng.NormFloat64()
	}
	return o
}

// mapOf is the map of the plane that the errors are measured in: the mat's,
// or that of thick pieces' top faces.
func mapOf(s *rectify.Squared) scene.Mapping {
	if upper, ok := s.Upper(); ok {
		return upper
	}
	return s.Fit
}

// compare fills in the errors of a squared-up photograph.
func (r *result) compare(s *rectify.Squared) {
	r.points = len(s.Fit.Points)
	errs := scene.CameraErrorsAt(r.truth, mapOf(s), r.thickMM)
	r.rmsMM, r.worstMM = size(errs)
	honest := 0
	var claims []float64
	for _, e := range errs {
		p := place{e, s.PlusMinusMM(e.Got)}
		if math.Hypot(e.OffLinesMM.X, e.OffLinesMM.Y) <= p.plusMinusMM {
			honest++
		}
		r.places = append(r.places, p)
		claims = append(claims, p.plusMinusMM)
	}
	if len(errs) == 0 {
		return
	}
	r.within = float64(honest) / float64(len(errs))
	r.medianMM, r.mostMM = quantile(claims, 0.5), quantile(claims, 1)
	r.scale = scaleOf(errs)
	r.hull = r.inTruth(s)
}

// size is the root mean square and the largest of errors, +Inf for none.
func size(errs []scene.PointError) (rmsMM, worstMM float64) {
	if len(errs) == 0 {
		return math.Inf(1), math.Inf(1)
	}
	sum := 0.0
	for _, e := range errs {
		off := math.Hypot(e.OffMM.X, e.OffMM.Y)
		sum, worstMM = sum+off*off, max(worstMM, off)
	}
	return math.Sqrt(sum / float64(len(errs))), worstMM
}

// scaleOf is the ratio of the lengths found to the true ones.
func scaleOf(errs []scene.PointError) float64 {
	var at, got mat.Point
	n := float64(len(errs))
	for _, e := range errs {
		at.X, at.Y = at.X+e.At.X/n, at.Y+e.At.Y/n
		got.X, got.Y = got.X+e.Got.X/n, got.Y+e.Got.Y/n
	}
	var wide, long float64
	for _, e := range errs {
		wide += math.Pow(e.Got.X-got.X, 2) + math.Pow(e.Got.Y-got.Y, 2)
		long += math.Pow(e.At.X-at.X, 2) + math.Pow(e.At.Y-at.Y, 2)
	}
	return math.Sqrt(wide / long)
}

// inTruth is the hull of the lines used in the truth's frame.
func (r *result) inTruth(s *rectify.Squared) []mat.Point {
	v := r.truth.Camera.View()
	var out []mat.Point
	for _, p := range s.Fit.Hull {
		if m, ok := v.ToMat(s.Fit.ToPhoto(p)); ok {
			out = append(out, m)
		}
	}
	return out
}
