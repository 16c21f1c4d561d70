package lens_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/mat"
)

// Mats covered in patches up to about two thirds, under lenses with all the
// terms a phone's may have: of the places of the mat in the picture, as many
// must lie within ± of the truth as two standard errors promise. That is 95 %
// of the errors in one direction, and of their length 86.5 % where all
// directions are alike to 95.4 % where one rules; among the lines used and
// beyond them alike.
func TestPlusMinusOfCoveredMatsIsHonest(t *testing.T) {
	var inside, outside, along coverage
	for _, equivalent := range []float64{16, 20, 26, 35} {
		for _, part := range []float64{0, 0.4, 0.7} {
			for _, printMM := range []float64{0, 0.05} {
				name := fmt.Sprintf("%g mm, %.0f %% covered, print %g mm", equivalent, 100*part, printMM)
				var in, out coverage
				for trial := range uint64(5) {
					r := rand.New(rand.NewPCG(trial, uint64(100*equivalent+10*part)))
					c := wideLens(equivalent, r)
					points := c.bentSamples(inchMat, flat, noise{sigmaPx: 0.03 + 0.07*r.Float64(), hidden: part / 2, gross: 0.01, grossPx: 5, perSide: 3}, printMM, r)
					a, b, d := c.claims(t, patched(points, 0.9*part, r))
					in.add(a)
					out.add(b)
					along.add(d)
				}
				inside.add(in)
				outside.add(out)
				if within := float64(in.within) / float64(in.all); within < 0.85 {
					t.Errorf("%s: %.1f %% of the places among the lines within ±", name, 100*within)
				}
			}
		}
	}
	t.Log("among the lines, by length:")
	inside.check(t, 0.91, 0.98)
	t.Log("beyond the lines, by length:")
	outside.check(t, 0.91, 0.985)
	t.Log("all, in one direction:")
	along.check(t, 0.94, 0.99)
}

// claims holds the error of a fit against its ± over the mat: by its length
// among the lines and beyond them, and all by its x and y.
func (c truth) claims(t *testing.T, points []mat.LinePoint) (inside, outside, along coverage) {
	t.Helper()
	fit := solveOnce(t, c, points)
	for i := range 13 {
		for k := range 10 {
			at := mat.Point{X: 50.8 * float64(i), Y: 50.8 * float64(k)}
			u, ok := c.see(at.X, at.Y, 0)
			if !ok {
				continue
			}
			p, _ := fit.ToMat(u)
			claim := fit.PlusMinusMM(at)
			along.count(p.X-at.X, claim)
			along.count(p.Y-at.Y, claim)
			if d := math.Hypot(p.X-at.X, p.Y-at.Y); fit.InsideHull(at) {
				inside.count(d, claim)
			} else {
				outside.count(d, claim)
			}
		}
	}
	return inside, outside, along
}

// count adds an error and its claim.
func (c *coverage) count(d, claim float64) {
	c.all++
	c.ratio += 4 * d * d / (claim * claim)
	if math.Abs(d) <= claim {
		c.within++
	}
}
