package lens_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// Sheets of any size and pitch, cameras anywhere above them: among the lines
// used the error must stay of the size claimed.
func TestManyScenes(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 77))
		s := sheet{25.4, 2 + r.IntN(24), 2 + r.IntN(18)}
		if r.IntN(2) == 0 {
			s = sheet{10, 6 + r.IntN(50), 6 + r.IntN(40)}
		}
		w, h := 4032, 3024
		if r.IntN(2) == 0 {
			w, h = h, w
		}
		f := (14 + 30*r.Float64()) / 43.27 * math.Hypot(float64(w), float64(h))
		sw, sh := s.size()
		mid := mat.Point{X: sw * (0.3 + 0.4*r.Float64()), Y: sh * (0.3 + 0.4*r.Float64())}
		dist := f / 3000 * math.Max(sw, 60) * (0.8 + 0.8*r.Float64())
		c := look(f, w, h, mid, dist, 40*r.Float64(), 360*r.Float64(), 360*r.Float64())
		c.k1, c.k2 = -0.25+0.35*r.Float64(), -0.03+0.1*r.Float64()
		c.p1, c.p2 = 0.0005*r.NormFloat64(), 0.0005*r.NormFloat64()
		c.cx += 0.01 * float64(w) * r.NormFloat64()
		c.cy += 0.01 * float64(w) * r.NormFloat64()
		points := c.samples(s, noise{sigmaPx: 0.02 + 0.3*r.Float64(), hidden: 0.75 * r.Float64(), gross: 0.2 * r.Float64(), grossPx: 60, perSide: 8}, r)
		fit, err := lens.Solve(context.Background(), points, lens.SolveOptions{PitchMM: s.pitchMM, Width: c.width, Height: c.height})
		if err != nil {
			t.Fatalf("seed %d, sheet %v, %d samples: %v", seed, s, len(points), err)
		}
		rms, worst := 0.0, 0.0
		k := 0
		for i := 0; i <= 2*s.columns; i++ {
			for j := 0; j <= 2*s.rows; j++ {
				at := mat.Point{X: float64(i) * s.pitchMM / 2, Y: float64(j) * s.pitchMM / 2}
				u, ok := c.see(at.X, at.Y, 0)
				if !ok || !fit.InsideHull(at) {
					continue
				}
				p, ok := fit.ToMat(u)
				d := math.Hypot(p.X-at.X, p.Y-at.Y)
				if !ok {
					d = math.Inf(1)
				}
				d /= math.Max(fit.PlusMinusMM(at)/2, 0.001)
				rms += d * d
				worst = math.Max(worst, d)
				k++
			}
		}
		rms = math.Sqrt(rms / float64(k))
		if rms > 3 {
			t.Errorf("seed %d %v k1 %.2f f/w %.2f n %d: rms %.2f worst %.2f sigmas, fit rms %.3f noise %.3f ± %.3f/%.3f %v rejected %d", seed, s, c.k1, f/float64(w), len(points), rms, worst, fit.RMSPx, fit.NoisePx, fit.MedianInsideMM, fit.WorstInsideMM, fit.Terms, len(fit.Rejected))
		}
	}
}
