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
						if rms > 0.006 || worst > 0.03 {
							t.Errorf("sheet error rms %.4f mm, worst %.4f mm; want 0.006 and 0.03", rms, worst)
						}
						if math.Abs(fit.NoisePx/sigma-1) > 0.1 {
							t.Errorf("noise %.4f px, put in %.4f", fit.NoisePx, sigma)
						}
						// At 4 to 7 px a mm the left-out error is the noise of
						// the samples themselves.
						if fit.LeftOutRMSMM < sigma/8 || fit.LeftOutRMSMM > sigma/3.3 {
							t.Errorf("left out %.4f mm", fit.LeftOutRMSMM)
						}
					})
				}
			}
		}
	}
}

func solveOnce(t *testing.T, c truth, points []mat.LinePoint) *lens.Fit {
	t.Helper()
	fit, err := lens.Solve(context.Background(), points, options(c))
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// The lens of OpenCV's left camera (left_intrinsics.yml, package opencv-doc),
// drawn over the inch mat at four times its size, must come out again.
func TestSolveRecoversAPublishedLens(t *testing.T) {
	width, height := inchMat.size()
	c := look(535.9157*4, 2560, 1920, mat.Point{X: width / 2, Y: height / 2}, 450, 15, 30, 5)
	c.cx, c.cy = 342.2831*4, 235.5708*4
	c.k1, c.k2, c.p1, c.p2, c.k3 = -0.266375, -0.0385870, 0.00178395, -0.000281224, 0.238391
	points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, gross: 0.05, grossPx: 20, perSide: 10}, rand.New(rand.NewPCG(8, 8)))
	o := options(c)
	o.FocalPx = c.f
	fit, err := lens.Solve(context.Background(), points, o)
	if err != nil {
		t.Fatal(err)
	}
	if rms, worst := c.score(fit, inchMat); rms > 0.01 || worst > 0.05 {
		t.Errorf("sheet error rms %.4f worst %.4f mm", rms, worst)
	}
	if math.Abs(fit.K1-c.k1) > 0.01 || math.Abs(fit.K2-c.k2) > 0.06 || math.Abs(fit.K3-c.k3) > 0.1 {
		t.Errorf("k1 %.4f k2 %.4f k3 %.4f, want %.4f %.4f %.4f", fit.K1, fit.K2, fit.K3, c.k1, c.k2, c.k3)
	}
	if len(fit.Terms) != 5 {
		t.Errorf("terms %v; this lens has all of them", fit.Terms)
	}
}

// A bend that is not there must not call for further terms.
func TestTermsEnterOnlyOnEvidence(t *testing.T) {
	entered := 0
	for seed := range uint64(20) {
		c := overMat(26, 12, float64(seed)*40, 0)
		c.k1 = -0.05
		points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, perSide: 5}, rand.New(rand.NewPCG(seed, 1)))
		if len(solveOnce(t, c, points).Terms) > 3 {
			entered++
		}
	}
	if entered > 2 {
		t.Errorf("further terms entered %d of 20 times", entered)
	}
}

func TestOriginByWholePitchesChangesNothing(t *testing.T) {
	c := overMat(20, 18, 75, 30)
	c.k1, c.k2 = -0.1, 0.03
	points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, gross: 0.1, grossPx: 20, perSide: 4}, rand.New(rand.NewPCG(4, 4)))
	first := solveOnce(t, c, points)
	rapid.Check(t, func(r *rapid.T) {
		columns, rows := rapid.IntRange(-50, 50).Draw(r, "columns"), rapid.IntRange(-50, 50).Draw(r, "rows")
		moved := make([]mat.LinePoint, len(points))
		for i, p := range points {
			if p.Family == mat.Columns {
				p.Index += columns
			} else {
				p.Index += rows
			}
			moved[i] = p
		}
		fit, err := lens.Solve(context.Background(), moved, options(c))
		if err != nil {
			r.Fatal(err)
		}
		dx, dy := float64(columns)*25.4, float64(rows)*25.4
		for _, at := range []mat.Point{{X: 10, Y: 20}, {X: 300, Y: 200}, {X: 550, Y: 420}} {
			a, b := first.ToPhoto(at), fit.ToPhoto(mat.Point{X: at.X + dx, Y: at.Y + dy})
			if math.Hypot(a.X-b.X, a.Y-b.Y) > 1e-4 {
				r.Fatalf("%v seen at %v and %v", at, a, b)
			}
		}
	})
}

// Whole lines counted wrongly, or text taken for a line, must be set aside.
func TestMiscountedLinesAreSetAside(t *testing.T) {
	c := overMat(26, 15, 30, 10)
	c.k1 = -0.08
	points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, perSide: 6}, rand.New(rand.NewPCG(5, 5)))
	for i := range points {
		p := &points[i]
		switch {
		case p.Family == mat.Columns && p.Index == 20:
			p.Index = 30
		case p.Family == mat.Rows && p.Index == 3:
			p.Index = -1
		}
	}
	fit := solveOnce(t, c, points)
	if rms, worst := c.score(fit, inchMat); rms > 0.01 || worst > 0.05 {
		t.Errorf("sheet error rms %.4f worst %.4f mm", rms, worst)
	}
	whole := 0
	for _, l := range fit.Lines {
		bad := l.Family == mat.Columns && l.Index == 30 || l.Family == mat.Rows && l.Index == -1
		if bad != (l.Count == 0) {
			t.Errorf("line %+v", l)
		}
		if bad {
			whole += l.Rejected
		}
	}
	if whole == 0 || whole > len(fit.Rejected) {
		t.Errorf("%d samples of wrong lines among %d rejected", whole, len(fit.Rejected))
	}
}

// Few lines in a narrow part of the picture: the answer must stay tame, and
// own up to what it does not know further out.
func TestNarrowFieldStaysTame(t *testing.T) {
	c := overMat(26, 0, 0, 0)
	c = look(c.f, c.width, c.height, mat.Point{X: 250, Y: 180}, 550, 15, 30, 10)
	c.k1, c.k2 = -0.05, 0.01
	for _, few := range []sheet{{25.4, 3, 3}, {25.4, 1, 1}, {25.4, 6, 2}} {
		for seed := range uint64(5) {
			points := c.samples(few, noise{sigmaPx: 0.05, perSide: 10}, rand.New(rand.NewPCG(seed, 6)))
			fit := solveOnce(t, c, points)
			if _, worst := c.score(fit, few); worst > 0.1 {
				t.Errorf("%v: worst error %.3f mm among the lines themselves", few, worst)
			}
			for _, at := range []mat.Point{{X: 100, Y: 100}, {X: 200, Y: 150}, {X: 400, Y: 300}} {
				u, ok := c.see(at.X, at.Y, 0)
				if !ok {
					continue
				}
				p, ok := fit.ToMat(u)
				claim := fit.PlusMinusMM(at)
				if ok && math.Hypot(p.X-at.X, p.Y-at.Y) > 1.5*claim {
					t.Errorf("%v: off by %.2f mm at %v, claimed ± %.2f", few, math.Hypot(p.X-at.X, p.Y-at.Y), at, claim)
				}
			}
		}
	}
}

func TestPlusMinusGrowsOutside(t *testing.T) {
	c := overMat(26, 15, 30, 10)
	part := sheet{25.4, 8, 6}
	points := c.samples(part, noise{sigmaPx: 0.05, perSide: 6}, rand.New(rand.NewPCG(6, 6)))
	fit := solveOnce(t, c, points)
	last := fit.PlusMinusMM(mat.Point{X: 100, Y: 75})
	for _, x := range []float64{220, 300, 380, 460, 540} {
		now := fit.PlusMinusMM(mat.Point{X: x, Y: 75 + x/3})
		if now <= last {
			t.Errorf("± %.4f mm at x = %g, %.4f further in", now, x, last)
		}
		last = now
	}
	if !fit.InsideHull(mat.Point{X: 100, Y: 75}) || fit.InsideHull(mat.Point{X: 220, Y: 75}) {
		t.Error("hull does not bound the lines")
	}
	if fit.MedianInsideMM <= 0 || fit.WorstInsideMM < fit.MedianInsideMM || fit.WorstInsideMM > last {
		t.Errorf("summary ± %.4f / %.4f mm", fit.MedianInsideMM, fit.WorstInsideMM)
	}
	if v := (&lens.Fit{}).PlusMinusMM(mat.Point{}); !math.IsInf(v, 1) {
		t.Errorf("an empty fit claims ± %g", v)
	}
}

func TestSolveRefuses(t *testing.T) {
	c := overMat(26, 15, 30, 10)
	random := rand.New(rand.NewPCG(7, 7))
	good := c.samples(inchMat, noise{sigmaPx: 0.05, perSide: 3}, random)
	var columns, chaos, mirrored []mat.LinePoint
	for _, p := range good {
		if p.Family == mat.Columns {
			columns = append(columns, p)
		}
		q := p
		if q.Family == mat.Rows {
			q.Index = -q.Index
		}
		mirrored = append(mirrored, q)
		p.Index = random.IntN(20)
		chaos = append(chaos, p)
	}
	noPitch := options(c)
	noPitch.PitchMM = 0
	small := options(c)
	small.Width = 0
	for _, s := range []struct {
		name   string
		points []mat.LinePoint
		o      lens.SolveOptions
		stage  lens.Stage
	}{
		{"nothing", nil, options(c), lens.StageInput},
		{"one family", columns, options(c), lens.StageInput},
		{"chaos", chaos, options(c), lens.StageStart},
		{"mirrored", mirrored, options(c), lens.StageCheck},
		{"no pitch", good, noPitch, lens.StageInput},
		{"no size", good, small, lens.StageInput},
	} {
		t.Run(s.name, func(t *testing.T) {
			_, err := lens.Solve(context.Background(), s.points, s.o)
			var failed *lens.FitError
			if !errors.As(err, &failed) || failed.Stage != s.stage {
				t.Fatalf("got %v", err)
			}
			t.Log(err)
		})
	}
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if _, err := lens.Solve(ctx, good, options(c)); !errors.Is(err, context.Canceled) {
			t.Errorf("got %v", err)
		}
	})
	t.Run("bad numbers are set aside", func(t *testing.T) {
		bad := append([]mat.LinePoint{}, good...)
		bad[3].At.X, bad[9].At.Y, bad[20].SigmaPx = math.NaN(), math.Inf(1), math.NaN()
		fit, err := lens.Solve(context.Background(), bad, options(c))
		if err != nil {
			t.Fatal(err)
		}
		if _, worst := c.score(fit, inchMat); worst > 0.03 {
			t.Errorf("worst error %g mm", worst)
		}
	})
}

func TestSolveFromFourClickedCorners(t *testing.T) {
	c := overMat(26, 20, 30, 10)
	c.k1, c.k2 = -0.06, 0.02
	var clicked []lens.Crossing
	for _, at := range [][2]int{{4, 3}, {20, 3}, {4, 15}, {20, 15}} {
		u, _ := c.see(float64(at[0])*25.4, float64(at[1])*25.4, 0)
		clicked = append(clicked, lens.Crossing{At: u, Column: at[0], Row: at[1]})
	}
	start, err := lens.SolveCorners(context.Background(), clicked, options(c))
	if err != nil {
		t.Fatal(err)
	}
	if _, worst := c.score(start, inchMat); worst < 1 {
		t.Fatalf("the start is good to %.2f mm already; the test shows nothing", worst)
	}
	points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, gross: 0.1, grossPx: 30, perSide: 5}, rand.New(rand.NewPCG(1, 3)))
	o := options(c)
	o.FocalPx = c.f * 1.03 // another scale than the start's
	fit, err := lens.SolveFrom(context.Background(), start.Model, points, o)
	if err != nil {
		t.Fatal(err)
	}
	if rms, worst := c.score(fit, inchMat); rms > 0.006 || worst > 0.03 {
		t.Errorf("sheet error rms %.4f worst %.4f mm", rms, worst)
	}
	var failed *lens.FitError
	for i := range start.H {
		start.H[i] = -start.H[i]
	}
	if _, err := lens.SolveFrom(context.Background(), start.Model, points, o); !errors.As(err, &failed) || failed.Stage != lens.StageStart {
		t.Errorf("a start from behind: %v", err)
	}
}

// A tag that no lens can have must not spoil the scale of the lens terms.
func TestAbsurdTagIsIgnored(t *testing.T) {
	c := overMat(26, 20, 30, 10)
	c.k1 = -0.06
	points := c.samples(inchMat, noise{sigmaPx: 0.05, hidden: 0.5, perSide: 5}, rand.New(rand.NewPCG(2, 3)))
	for _, tag := range []float64{1, 1e9, math.Inf(1), math.NaN(), -5} {
		o := options(c)
		o.FocalPx = tag
		fit, err := lens.Solve(context.Background(), points, o)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(fit.ScalePx-0.8*4032) > 1e-6 {
			t.Errorf("tag %g px: scale %g", tag, fit.ScalePx)
		}
		if _, worst := c.score(fit, inchMat); worst > 0.03 {
			t.Errorf("tag %g px: worst error %g mm", tag, worst)
		}
	}
}
