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

// The claim of PlusMinusMM is tried on many cameras whose truth is known,
// with noise that is all the samples' own, and with a printing error of every
// line on top. Two standard errors promise 95.4 % in one direction; of the
// distance, 86.5 % when all directions are alike and more when they are not.
func TestPlusMinusIsHonest(t *testing.T) {
	var total coverage
	for _, equivalent := range []float64{16, 26, 35} {
		for _, tilt := range []float64{0, 12, 25} {
			for _, shared := range []float64{0, 0.1} {
				name := fmt.Sprintf("%gmm tilt%g shared%g", equivalent, tilt, shared)
				t.Run(name, func(t *testing.T) {
					var c coverage
					for trial := range uint64(16) {
						c.add(coverageTrial(t, equivalent, tilt, shared, trial))
					}
					c.check(t, 0.85, 0.995)
					total.add(c)
				})
			}
		}
	}
	total.check(t, 0.90, 0.98)
}

// coverage counts errors of points, and how many lie within the claim by
// their distance; ratio sums (error / claimed sigma)² of the distance.
type coverage struct {
	within, all int
	ratio       float64
}

func (c *coverage) add(d coverage) {
	c.within, c.all, c.ratio = c.within+d.within, c.all+d.all, c.ratio+d.ratio
}

func (c coverage) check(t *testing.T, least, most float64) {
	t.Helper()
	part := float64(c.within) / float64(c.all)
	t.Logf("%.1f %% of %d distances within ±, rms distance / claimed sigma %.2f", 100*part, c.all, math.Sqrt(c.ratio/float64(c.all)))
	if part < least || part > most {
		t.Errorf("%.1f %% of distances within ±, want %g to %g %%", 100*part, 100*least, 100*most)
	}
}

// coverageTrial compares errors and claims over a coarse grid of the sheet.
func coverageTrial(t *testing.T, equivalent, tilt, shared float64, seed uint64) (cover coverage) {
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
			d := math.Hypot(p.X-x, p.Y-y)
			cover.all++
			cover.ratio += 4 * d * d / (claim * claim)
			if ok && d <= claim {
				cover.within++
			}
		}
	}
	return cover
}

// The same for clicked crossings, from four to a whole sheet of them, on
// lenses with the bend of common phones.
func TestPlusMinusOfCrossingsIsHonest(t *testing.T) {
	for _, count := range []int{4, 6, 9, 16, 54} {
		t.Run(fmt.Sprint(count), func(t *testing.T) {
			var cover coverage
			for trial := range uint64(40) {
				cover.add(crossingsTrial(t, count, trial))
			}
			cover.check(t, 0.85, 0.995)
		})
	}
}

func crossingsTrial(t *testing.T, count int, seed uint64) (cover coverage) {
	random := rand.New(rand.NewPCG(seed, uint64(count)))
	c := overMat(26, 25*random.Float64(), 360*random.Float64(), 360*random.Float64())
	c.cx += 20 * random.NormFloat64()
	c.cy += 20 * random.NormFloat64()
	c.k1, c.k2 = 0.03*random.NormFloat64(), 0.02*random.NormFloat64()
	all := crossings(c, inchMat, 1, random)
	random.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	fit, err := lens.SolveCorners(context.Background(), all[:count], options(c))
	if err != nil {
		return cover // a draw may well be in line
	}
	for _, s := range all {
		at := mat.Point{X: float64(s.Column) * 25.4, Y: float64(s.Row) * 25.4}
		u, ok := c.see(at.X, at.Y, 0)
		if !ok || !fit.InsideHull(at) {
			continue
		}
		p, ok := fit.ToMat(u)
		d, claim := math.Hypot(p.X-at.X, p.Y-at.Y), fit.PlusMinusMM(at)
		cover.all++
		cover.ratio += 4 * d * d / (claim * claim)
		if ok && d <= claim {
			cover.within++
		}
	}
	return cover
}
