package rectify

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// tilted is a camera of 3000 px focal length over a point of the mat, in a
// photograph of 4032 x 3024 px.
func tilted(deg, x, y, distanceMM float64) lens.Model {
	s, c := math.Sincos(deg * math.Pi / 180)
	return lens.Model{
		H:       [9]float64{c, 0, -c * x, 0, 1, -y, s, 0, distanceMM - s*x},
		ScalePx: 3000, CentreX: 2025, CentreY: 1500, K1: -0.05, K2: 0.02,
	}
}

// drawnMat squares up a mat of 20 x 14 squares whose lines are truly so far
// apart, taken for what the options say.
func drawnMat(t *testing.T, m lens.Model, trueX, trueY float64, o Options, r *rand.Rand) *Squared {
	t.Helper()
	var g mat.Grid
	for family, lines := range [2]int{20, 14} {
		for i := 0; i <= lines; i++ {
			for k := 0.125; k < float64(34-lines); k += 0.25 {
				at := mat.Point{X: float64(i) * trueX, Y: k * trueY}
				if family == 1 {
					at = mat.Point{X: k * trueX, Y: float64(i) * trueY}
				}
				u := m.ToPhoto(at)
				u.X, u.Y = u.X+0.08*r.NormFloat64(), u.Y+0.08*r.NormFloat64()
				g.Points = append(g.Points, mat.LinePoint{Family: mat.Family(family), Index: i, Along: k, At: u, SigmaPx: 0.08})
			}
		}
	}
	p := &photo.Photo{Name: "drawn.jpg", Width: 4032, Height: 3024}
	o.Scale = o.Scale.whole()
	fit, err := lens.Solve(context.Background(), g.Points, o.solver(p))
	if err != nil {
		t.Fatal(err)
	}
	return o.squared(p, g, fit)
}

// Lengths at all places and angles, on mats printed off by 0.1 % (1 sigma) in
// each direction and measured, or not, with errors of the size claimed, their
// ends set with errors too: two standard errors must hold 95 % of them.
func TestLengthsLieWithinTheirPlusMinus(t *testing.T) {
	for name, sigma := range map[string]float64{"as printed": 0, "steel rule": 0.0004, "mat profile": 0.0002} {
		within, all := 0, 0
		for trial := range uint64(25) {
			r := rand.New(rand.NewPCG(trial, 3))
			x, y := 1+printSigma*r.NormFloat64(), 1+printSigma*r.NormFloat64()
			o := Options{PitchMM: 25.4}
			if sigma > 0 {
				o.Scale = Scale{X: x + sigma*r.NormFloat64(), Y: y + sigma*r.NormFloat64(), SigmaX: sigma, SigmaY: sigma, Source: FromRule}
			}
			m := tilted(25*r.Float64(), 250, 180, 550)
			s := drawnMat(t, m, 25.4*x, 25.4*y, o, r)
			for range 12 {
				a := mat.Point{X: 40 + 420*r.Float64(), Y: 30 + 300*r.Float64()}
				b := mat.Point{X: 40 + 420*r.Float64(), Y: 30 + 300*r.Float64()}
				from, to := m.ToPhoto(a), m.ToPhoto(b)
				for _, p := range [2]*photo.Point{&from, &to} {
					px := setSigmaPart * diagonal(s.Photo)
					p.X, p.Y = p.X+px*r.NormFloat64(), p.Y+px*r.NormFloat64()
				}
				c, err := s.CheckDistance(from, to, math.Hypot(b.X-a.X, b.Y-a.Y))
				if err != nil {
					t.Fatal(err)
				}
				all++
				if c.Agrees() {
					within++
				}
			}
		}
		part := float64(within) / float64(all)
		t.Logf("%s: %.1f %% of %d lengths agree", name, 100*part, all)
		if part < 0.93 || part > 0.975 {
			t.Errorf("%s: %.1f %% of lengths agree, want about 95", name, 100*part)
		}
	}
}

// Each part alone is what a calculation by hand gives.
func TestPartsOfALength(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	m := tilted(0, 250, 180, 600) // 5 px a mm where the lens does not bend
	m.K1, m.K2 = 0, 0
	s := drawnMat(t, m, 25.4, 25.4, Options{PitchMM: 25.4, Scale: Scale{X: 1, Y: 1, SigmaX: 0.0005, Source: FromRule}}, r)
	across := func(sigmaPx float64) DistanceCheck {
		c, err := s.CheckDistanceOf(m.ToPhoto(mat.Point{X: 100, Y: 180}), m.ToPhoto(mat.Point{X: 300, Y: 180}), 200, sigmaPx)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	down, err := s.CheckDistanceOf(m.ToPhoto(mat.Point{X: 100, Y: 80}), m.ToPhoto(mat.Point{X: 100, Y: 280}), 200, 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string][2]float64{
		"scale across, measured to 0.05 %": {across(0).ScaleMM, 2 * 0.0005 * 200},
		"scale down, as printed":           {down.ScaleMM, 2 * printSigma * 200},
		"ends set to 1.5 px":               {across(1.5).PointsMM, 2 * 1.5 * math.Sqrt2 / 5},
		"ends set without error":           {across(0).PointsMM, 0},
	} {
		if math.Abs(v[0]-v[1]) > 0.005*v[1] {
			t.Errorf("%s: ± %.4f mm, want %.4f", name, v[0], v[1])
		}
	}
	if c := across(0); !(c.MapMM > 0 && c.MapMM < 0.02) {
		t.Errorf("a length of 200 mm among 35 lines: ± %.4f mm of the map", c.MapMM)
	}
}

func TestVerdictOfALength(t *testing.T) {
	for _, c := range []struct {
		known, measured, plusMinus float64
		agrees                     bool
		says                       string
	}{
		{100, 100.2, 0.3, true, "agrees: 0.2 mm off, within ± 0.3 mm"},
		{100, 100.7, 0.3, false, "0.7 mm too long, 0.4 mm more than the ± 0.3 mm allows"},
		{100, 99.3, 0.3, false, "0.7 mm too short, 0.4 mm more than the ± 0.3 mm allows"},
		{100, 140, math.Inf(1), true, "within ± many mm"},
	} {
		d := DistanceCheck{KnownMM: c.known, MeasuredMM: c.measured, PlusMinusMM: c.plusMinus}
		if d.Agrees() != c.agrees || !strings.Contains(d.Verdict(), c.says) {
			t.Errorf("%g against %g: agrees %v, says %q", c.measured, c.known, d.Agrees(), d.Verdict())
		}
	}
}

// However many lines were read, a place is no better known than what their
// readings share.
func TestPlusMinusHoldsWhatReadingsShare(t *testing.T) {
	m := tilted(0, 250, 180, 600)
	m.K1, m.K2 = 0, 0
	s := drawnMat(t, m, 25.4, 25.4, Options{PitchMM: 25.4}, rand.New(rand.NewPCG(1, 2)))
	at := mat.Point{X: 250, Y: 180}
	want := math.Hypot(2*readingBiasPx/5, s.Fit.PlusMinusMM(at)) // 5 px a mm
	if got := s.PlusMinusMM(at); math.Abs(got-want) > 0.01*want {
		t.Errorf("± %.4f mm, want %.4f", got, want)
	}
	s.Scale.Source = FromRectangle
	if got := s.readingPlusMinusMM(at); got != 0 {
		t.Errorf("± %.4f mm of lines' readings on a sheet without lines", got)
	}
}
