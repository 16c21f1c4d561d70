package lens_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

var inchMat = sheet{pitchMM: 25.4, columns: 24, rows: 18}

// overMat stands above the middle of the inch mat so that it fills most of a
// 12 MP picture, for a lens of the given 35 mm-equivalent.
func overMat(equivalentMM, tiltDeg, azimuthDeg, rollDeg float64) truth {
	const w, h = 4032, 3024
	f := equivalentMM / 43.27 * math.Hypot(w, h)
	width, height := inchMat.size()
	middle := mat.Point{X: width / 2, Y: height / 2}
	// About 5.5 px a mm in the middle.
	return look(f, w, h, middle, f/5.5, tiltDeg, azimuthDeg, rollDeg)
}

func options(c truth) lens.SolveOptions {
	return lens.SolveOptions{PitchMM: 25.4, Width: c.width, Height: c.height}
}

func TestSolveRecoversTheSheet(t *testing.T) {
	seed := uint64(0)
	for _, equivalent := range []float64{16, 20, 26, 35} {
		for _, tilt := range []float64{0, 10, 20, 30} {
			for _, k := range [][2]float64{{0, 0}, {-0.3, 0.1}, {-0.1, 0.05}, {0.1, -0.03}} {
				seed++
				for _, sigma := range []float64{0.02, 0.1} {
					name := fmt.Sprintf("%gmm tilt%g k1=%g sigma=%g", equivalent, tilt, k[0], sigma)
					t.Run(name, func(t *testing.T) {
						c := overMat(equivalent, tilt, float64(seed*57%360), float64(seed*23%90)-45)
						c.k1, c.k2 = k[0], k[1]
						c.cx, c.cy = c.cx+25, c.cy-18
						random := rand.New(rand.NewPCG(seed, 7))
						points := c.samples(inchMat, noise{sigmaPx: sigma, hidden: 0.5, gross: 0.1, grossPx: 30, perSide: 10}, random)
						fit, err := lens.Solve(context.Background(), points, options(c))
						if err != nil {
							t.Fatal(err)
						}
						rms, worst := c.score(fit, inchMat)
						t.Logf("rms %.4f worst %.4f mm, fit rms %.3f px, ±%.3f/%.3f, left out %.4f, terms %v infl %.2f n %d rej %d", rms, worst, fit.RMSPx, fit.MedianInsideMM, fit.WorstInsideMM, fit.LeftOutRMSMM, fit.Terms, fit.Inflation, len(fit.Points), len(fit.Rejected))
						if rms > 0.03 || worst > 0.1 {
							t.Errorf("sheet error rms %.4f mm, worst %.4f mm; want 0.03 and 0.1", rms, worst)
						}
					})
				}
			}
		}
	}
}
