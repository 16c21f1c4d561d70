package lens_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// leftCamera is the lens of OpenCV's sample data, read from
// left_intrinsics.yml of the package opencv-doc (640 x 480 px).
func leftCamera(tiltDeg, azimuthDeg, rollDeg float64) truth {
	c := look(535.9157, 640, 480, mat.Point{X: 100, Y: 62.5}, 330, tiltDeg, azimuthDeg, rollDeg)
	c.cx, c.cy = 342.2831, 235.5708
	c.k1, c.k2, c.p1, c.p2, c.k3 = -0.266375, -0.0385870, 0.00178395, -0.000281224, 0.238391
	return c
}

func crossings(c truth, s sheet, sigmaPx float64, random *rand.Rand) []lens.Crossing {
	var out []lens.Crossing
	for i := 0; i <= s.columns; i++ {
		for k := 0; k <= s.rows; k++ {
			u, ok := c.see(float64(i)*s.pitchMM, float64(k)*s.pitchMM, 0)
			if ok {
				out = append(out, lens.Crossing{Column: i, Row: k, At: photo.Point{
					X: u.X + sigmaPx*random.NormFloat64(), Y: u.Y + sigmaPx*random.NormFloat64(),
				}})
			}
		}
	}
	return out
}

func TestSolveCornersFlattensAWholeBoard(t *testing.T) {
	board := sheet{pitchMM: 25, columns: 8, rows: 5} // 9 x 6 crossings
	for seed, tilt := range []float64{0, 10, 20, 30} {
		random := rand.New(rand.NewPCG(uint64(seed), 5))
		c := leftCamera(tilt, float64(seed*97), float64(seed*31))
		points := crossings(c, board, 0.1, random)
		o := lens.SolveOptions{PitchMM: 25, Width: 640, Height: 480}
		fit, err := lens.SolveCorners(context.Background(), points, o)
		if err != nil {
			t.Fatal(err)
		}
		rms, worst := c.score(fit, board)
		t.Logf("tilt %g: %d crossings, %v, rms %.3f px; sheet rms %.3f worst %.3f mm, ± %.3f %.3f noise %.3f", tilt, len(points), fit.Terms, fit.RMSPx, rms, worst, fit.MedianInsideMM, fit.WorstInsideMM, fit.NoisePx)
		// A px covers about 0.6 mm here: 0.1 px of noise is 0.06 mm.
		if rms > 0.06 || worst > 0.2 {
			t.Errorf("tilt %g: sheet error rms %.3f worst %.3f mm", tilt, rms, worst)
		}
		if fit.NoisePx < 0.07 || fit.NoisePx > 0.13 {
			t.Errorf("noise %.3f px, want 0.1", fit.NoisePx)
		}
	}
}

func TestSolveCornersFromFew(t *testing.T) {
	c := overMat(26, 15, 70, 12)
	at := func(column, row int) lens.Crossing {
		u, _ := c.see(float64(column)*25.4, float64(row)*25.4, 0)
		return lens.Crossing{At: u, Column: column, Row: row}
	}
	four := []lens.Crossing{at(2, 2), at(20, 2), at(2, 15), at(20, 15)}
	eight := append(append([]lens.Crossing{}, four...), at(11, 2), at(11, 15), at(2, 8), at(20, 8))
	for _, s := range []struct {
		name      string
		crossings []lens.Crossing
		k1        float64
		terms     int
		limitMM   float64
	}{
		{"four, no bend", four, 0, 0, 1e-6},
		{"eight, no bend", eight, 0, 1, 1e-3},
	} {
		t.Run(s.name, func(t *testing.T) {
			fit, err := lens.SolveCorners(context.Background(), s.crossings, options(c))
			if err != nil {
				t.Fatal(err)
			}
			if len(fit.Terms) != s.terms {
				t.Errorf("terms %v", fit.Terms)
			}
			if _, worst := c.score(fit, inchMat); worst > s.limitMM {
				t.Errorf("worst error %g mm", worst)
			}
		})
	}
	t.Run("eight of a bent picture", func(t *testing.T) {
		c.k1 = -0.05
		bent := make([]lens.Crossing, len(eight))
		for i, e := range eight {
			bent[i] = at(e.Column, e.Row)
		}
		fit, err := lens.SolveCorners(context.Background(), bent, options(c))
		if err != nil {
			t.Fatal(err)
		}
		if rms, worst := c.score(fit, inchMat); rms > 0.05 || worst > 0.3 {
			t.Errorf("rms %.3f worst %.3f mm", rms, worst)
		}
		flat, err := lens.SolveCorners(context.Background(), bent[:4], options(c))
		if err != nil {
			t.Fatal(err)
		}
		// Four crossings cannot show the bend; the ± must own up to it.
		middle := mat.Point{X: 11 * 25.4, Y: 8.5 * 25.4}
		u, _ := c.see(middle.X, middle.Y, 0)
		p, _ := flat.ToMat(u)
		if e, claim := math.Hypot(p.X-middle.X, p.Y-middle.Y), flat.PlusMinusMM(middle); e > claim {
			t.Errorf("error %.2f mm, claimed ± %.2f", e, claim)
		}
	})
}

func TestSolveCornersRefuses(t *testing.T) {
	c := overMat(26, 15, 70, 12)
	at := func(column, row int) lens.Crossing {
		u, _ := c.see(float64(column)*25.4, float64(row)*25.4, 0)
		return lens.Crossing{At: u, Column: column, Row: row}
	}
	moved := at(9, 9)
	moved.At = at(0, 0).At
	lost := at(9, 9)
	lost.At.X = math.NaN()
	for _, s := range []struct {
		name      string
		crossings []lens.Crossing
		stage     lens.Stage
	}{
		{"none", nil, lens.StageInput},
		{"three", []lens.Crossing{at(0, 0), at(5, 0), at(0, 5)}, lens.StageInput},
		{"in line", []lens.Crossing{at(0, 0), at(5, 0), at(9, 0), at(12, 0)}, lens.StageInput},
		{"three of four in line", []lens.Crossing{at(0, 0), at(5, 0), at(9, 0), at(5, 7)}, lens.StageInput},
		{"twice", []lens.Crossing{at(0, 0), at(5, 0), at(0, 5), at(5, 5), at(5, 5)}, lens.StageInput},
		{"same place", []lens.Crossing{at(0, 0), at(5, 0), at(0, 5), moved}, lens.StageInput},
		{"mirrored", []lens.Crossing{mirrored(at(0, 0)), mirrored(at(20, 0)), mirrored(at(0, 15)), mirrored(at(20, 15))}, lens.StageCheck},
		{"not a number", []lens.Crossing{at(0, 0), at(5, 0), at(0, 5), lost}, lens.StageInput},
	} {
		t.Run(s.name, func(t *testing.T) {
			_, err := lens.SolveCorners(context.Background(), s.crossings, options(c))
			var failed *lens.FitError
			if !errors.As(err, &failed) || failed.Stage != s.stage {
				t.Fatalf("got %v", err)
			}
			t.Log(err)
		})
	}
}

func mirrored(c lens.Crossing) lens.Crossing {
	c.Column = -c.Column
	return c
}
