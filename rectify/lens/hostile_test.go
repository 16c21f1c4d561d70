package lens_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Little is seen and much of it is wrong: the sheet must still come out.
func TestHostileSamples(t *testing.T) {
	for _, s := range []struct {
		name string
		n    noise
		px   int
	}{
		{"30 % gross", noise{sigmaPx: 0.1, hidden: 0.5, gross: 0.3, grossPx: 60, perSide: 10}, 4032},
		{"five in six hidden", noise{sigmaPx: 0.1, hidden: 0.83, gross: 0.1, grossPx: 30, perSide: 10}, 4032},
		{"coarse noise", noise{sigmaPx: 0.5, hidden: 0.5, gross: 0.1, grossPx: 30, perSide: 20}, 4032},
		{"two megapixels", noise{sigmaPx: 0.1, hidden: 0.5, gross: 0.1, grossPx: 10, perSide: 6}, 1632},
		{"48 megapixels", noise{sigmaPx: 0.1, hidden: 0.5, gross: 0.1, grossPx: 100, perSide: 10}, 8064},
	} {
		for seed := range uint64(4) {
			t.Run(fmt.Sprintf("%s %d", s.name, seed), func(t *testing.T) {
				w, h := s.px, s.px*3/4
				f := []float64{16, 20, 26, 30}[seed] / 43.27 * math.Hypot(float64(w), float64(h))
				width, height := inchMat.size()
				c := look(f, w, h, mat.Point{X: width / 2, Y: height / 2}, f/5.5*4032/float64(s.px), 25-5*float64(seed), float64(seed)*77, float64(seed)*90)
				c.k1, c.k2 = -0.08, 0.02
				c.cx += 0.006 * float64(w)
				points := c.samples(inchMat, s.n, rand.New(rand.NewPCG(seed, 21)))
				fit, err := lens.Solve(context.Background(), points, options(c))
				if err != nil {
					t.Fatal(err)
				}
				rms, worst := c.score(fit, inchMat)
				if rms > 0.03 || worst > 0.1 {
					t.Errorf("rms %.4f worst %.4f mm, %d of %d rejected, ± %.3f", rms, worst, len(fit.Rejected), len(points), fit.WorstInsideMM)
				}
			})
		}
	}
}

// A bend that no term expresses (a sixth-order wave) must show in the ±.
func TestUnmodelledBendIsOwnedUpTo(t *testing.T) {
	c := overMat(20, 15, 60, 0)
	c.k1 = -0.05
	points := c.samples(inchMat, noise{sigmaPx: 0.03, hidden: 0.5, perSide: 8}, rand.New(rand.NewPCG(3, 21)))
	wave := func(u photo.Point) photo.Point {
		x, y := (u.X-c.cx)/c.f, (u.Y-c.cy)/c.f
		r := math.Hypot(x, y)
		k := 1 + 0.0008*math.Sin(9*r)
		return photo.Point{X: c.cx + (u.X-c.cx)*k, Y: c.cy + (u.Y-c.cy)*k}
	}
	for i := range points {
		points[i].At = wave(points[i].At)
	}
	fit := solveOnce(t, c, points)
	within, all := 0, 0
	for x := 0.0; x <= 600; x += 30 {
		for y := 0.0; y <= 450; y += 30 {
			u, ok := c.see(x, y, 0)
			at := mat.Point{X: x, Y: y}
			if !ok || !fit.InsideHull(at) {
				continue
			}
			all++
			p, _ := fit.ToMat(wave(u))
			if math.Hypot(p.X-x, p.Y-y) <= fit.PlusMinusMM(at) {
				within++
			}
		}
	}
	t.Logf("%d of %d within, rms %.3f, misfit %.3f px, infl %.1f ± %.3f", within, all, fit.RMSPx, fit.MisfitPx, fit.Inflation, fit.MedianInsideMM)
	if fit.Inflation < 2 {
		t.Errorf("inflation %.2f with a bend that does not fit", fit.Inflation)
	}
	if float64(within) < 0.85*float64(all) {
		t.Errorf("%d of %d within the ±", within, all)
	}
}

// Whatever comes in, the answer is an error of a known kind or a finite map.
func TestNonsenseNeverPanics(t *testing.T) {
	number := rapid.OneOf(
		rapid.Float64Range(-100, 5000),
		rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, 1e-300}),
	)
	line := rapid.Custom(func(t *rapid.T) mat.LinePoint {
		return mat.LinePoint{
			Family: mat.Family(rapid.IntRange(0, 2).Draw(t, "family")),
			Index:  rapid.OneOf(rapid.IntRange(-3, 3), rapid.Int()).Draw(t, "index"),
			At:     photo.Point{X: number.Draw(t, "x"), Y: number.Draw(t, "y")}, SigmaPx: number.Draw(t, "sigma"),
		}
	})
	crossing := rapid.Custom(func(t *rapid.T) lens.Crossing {
		return lens.Crossing{
			At:     photo.Point{X: number.Draw(t, "x"), Y: number.Draw(t, "y")},
			Column: rapid.OneOf(rapid.IntRange(-3, 3), rapid.Int()).Draw(t, "column"),
			Row:    rapid.IntRange(-3, 3).Draw(t, "row"), SigmaPx: number.Draw(t, "sigma"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		o := lens.SolveOptions{PitchMM: 25.4, Width: 4032, Height: 3024}
		if rapid.Bool().Draw(t, "odd options") {
			o.PitchMM, o.FocalPx, o.LossScale = number.Draw(t, "pitch"), number.Draw(t, "focal"), number.Draw(t, "loss")
		}
		var fit *lens.Fit
		var err error
		if rapid.Bool().Draw(t, "lines") {
			fit, err = lens.Solve(context.Background(), rapid.SliceOfN(line, 0, 60).Draw(t, "points"), o)
		} else {
			fit, err = lens.SolveCorners(context.Background(), rapid.SliceOfN(crossing, 0, 15).Draw(t, "crossings"), o)
		}
		var failed *lens.FitError
		if err != nil {
			if !errors.As(err, &failed) {
				t.Fatalf("an error of no known kind: %v", err)
			}
			return
		}
		if s := fit.H[0] + fit.H[4] + fit.H[8] + fit.K1 + fit.CentreX; math.IsNaN(s) || math.IsInf(s, 0) {
			t.Fatalf("no finite map: %+v", fit.Model)
		}
		fit.PlusMinusMM(mat.Point{X: 1, Y: 1})
		if _, err := fit.Pose(); err != nil && !errors.As(err, &failed) {
			t.Fatalf("an error of no known kind: %v", err)
		}
	})
}
