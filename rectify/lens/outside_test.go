package lens_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// Outside the lines used the ± must grow as fast as the error does: lines are
// seen in a part of the picture only, and the map is tried up to half as far
// again from the middle of them.
func TestPlusMinusIsHonestOutsideTheHull(t *testing.T) {
	var all coverage
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 61))
		c := overMat(20+15*random.Float64(), 25*random.Float64(), 360*random.Float64(), 360*random.Float64())
		c.cx += 20 * random.NormFloat64()
		c.cy += 20 * random.NormFloat64()
		c.k1, c.k2, c.k3 = 0.04*random.NormFloat64(), 0.02*random.NormFloat64(), 0.003*random.NormFloat64()
		c.p1, c.p2 = 0.0004*random.NormFloat64(), 0.0004*random.NormFloat64()
		part := sheet{25.4, 6 + random.IntN(8), 5 + random.IntN(6)}
		from := [2]int{random.IntN(inchMat.columns - part.columns), random.IntN(inchMat.rows - part.rows)}
		points := c.samples(inchMat, noise{sigmaPx: 0.08, hidden: 0.3, perSide: 5}, random)
		points = within(points, part, from)
		if len(points) < 60 {
			continue
		}
		fit, err := lens.Solve(context.Background(), points, options(c))
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		w, h := part.size()
		middle := mat.Point{X: float64(from[0])*25.4 + w/2, Y: float64(from[1])*25.4 + h/2}
		for range 20 {
			grow := 1 + 0.5*random.Float64()
			angle := 2 * math.Pi * random.Float64()
			reach := grow / math.Max(math.Abs(math.Cos(angle))/(w/2), math.Abs(math.Sin(angle))/(h/2))
			at := mat.Point{X: middle.X + reach*math.Cos(angle), Y: middle.Y + reach*math.Sin(angle)}
			u, ok := c.see(at.X, at.Y, 0)
			if !ok || fit.InsideHull(at) {
				continue
			}
			p, ok := fit.ToMat(u)
			claim := fit.PlusMinusMM(at)
			d := math.Hypot(p.X-at.X, p.Y-at.Y)
			all.all++
			all.ratio += 4 * d * d / (claim * claim)
			if ok && d <= claim {
				all.within++
			}
		}
	}
	all.check(t, 0.90, 0.999)
}

// within keeps the samples of the lines and squares of a part of the mat.
func within(points []mat.LinePoint, part sheet, from [2]int) (kept []mat.LinePoint) {
	size := [2]int{part.columns, part.rows}
	for _, p := range points {
		f := int(p.Family)
		i, along := p.Index-from[f], p.Along-float64(from[1-f])
		if i >= 0 && i <= size[f] && along >= 0 && along <= float64(size[1-f]) {
			kept = append(kept, p)
		}
	}
	return kept
}
