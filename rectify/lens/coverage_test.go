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

// The claim of PlusMinusMM is tried on many cameras whose truth is known:
// the error must stay within it about as often as two standard errors
// promise, in one direction 95.4 % of the time.
func TestPlusMinusIsHonest(t *testing.T) {
	const trials = 16
	for _, equivalent := range []float64{16, 26, 35} {
		for _, tilt := range []float64{0, 12, 25} {
			for _, shared := range []float64{0, 0.1} {
				name := fmt.Sprintf("%gmm tilt%g shared%g", equivalent, tilt, shared)
				t.Run(name, func(t *testing.T) {
					within, all, ratio := 0, 0, 0.0
					for trial := range trials {
						w, n, r := coverageTrial(t, equivalent, tilt, shared, uint64(trial))
						within, all, ratio = within+w, all+n, ratio+r
					}
					part := float64(within) / float64(all)
					t.Logf("%.1f %% of %d within, rms error / claimed sigma %.2f", 100*part, all, math.Sqrt(ratio/float64(all)))
					if part < 0.85 || part > 0.9995 {
						t.Errorf("%.1f %% within ±, want about 95 %%", 100*part)
					}
				})
			}
		}
	}
}

// coverageTrial counts, over a coarse grid of the sheet and both axes, the
// errors within the claim.
func coverageTrial(t *testing.T, equivalent, tilt, shared float64, seed uint64) (within, all int, ratio float64) {
	random := rand.New(rand.NewPCG(seed, 99))
	c := overMat(equivalent, tilt, 360*random.Float64(), 360*random.Float64())
	c.cx += 0.01 * 4032 * random.NormFloat64() / 2
	c.cy += 0.01 * 4032 * random.NormFloat64() / 2
	c.k1, c.k2 = 0.05*random.NormFloat64(), 0.03*random.NormFloat64()
	points := c.samples(inchMat, noise{sigmaPx: 0.07, hidden: 0.5, perSide: 4}, random)
	shift := map[[2]int]float64{}
	for i := range points {
		k := [2]int{int(points[i].Family), points[i].Index}
		if _, ok := shift[k]; !ok {
			shift[k] = shared * random.NormFloat64()
		}
		points[i].At = c.offLine(inchMat, points[i], shift[k])
	}
	fit, err := lens.Solve(context.Background(), points, options(c))
	if err != nil {
		t.Fatal(err)
	}
	w, h := inchMat.size()
	for i := range 5 {
		for k := range 5 {
			x, y := w*float64(i)/4, h*float64(k)/4
			u, ok := c.see(x, y, 0)
			if !ok || !fit.InsideHull(mat.Point{X: x, Y: y}) {
				continue
			}
			p, ok := fit.ToMat(u)
			claim := fit.PlusMinusMM(mat.Point{X: x, Y: y})
			for _, d := range [2]float64{p.X - x, p.Y - y} {
				all++
				ratio += 4 * d * d / (claim * claim)
				if ok && math.Abs(d) <= claim {
					within++
				}
			}
		}
	}
	return within, all, ratio
}
