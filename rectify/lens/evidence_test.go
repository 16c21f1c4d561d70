package lens

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/diff/fd"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// The principal point is believed in the middle to 1 % of the photograph's
// longer side, 1 sigma, whatever scale the lens terms have.
func TestCentreIsBelievedToAHundredth(t *testing.T) {
	for _, o := range []SolveOptions{
		{PitchMM: 25.4, Width: 4032, Height: 3024},
		{PitchMM: 25.4, Width: 3024, Height: 4032, FocalPx: 3000},
	} {
		pr := o.newProblem(scaledFrame{unitMM: 1})
		n := pr.evaluate(&params{0: 1, 4: 1}, 1)
		for _, i := range []int{iCX, iCY} {
			if px := pr.scalePx / math.Sqrt(n.a[i][i]); math.Abs(px-40.32) > 1e-6 {
				t.Errorf("%d x %d: parameter %d is believed to %.3f px, want 40.32", o.Width, o.Height, i, px)
			}
		}
	}
}

// The right side of the normal equations is the slope of the cost that is
// searched: Jacobian, loss, weights and priors put together rightly, for
// lines and for crossings.
func TestNormalEquationsAreTheSlopeOfTheCost(t *testing.T) {
	for name, kinds := range map[string][]observationKind{"lines": {onColumn, onRow}, "crossings": {onPoint}} {
		r := rand.New(rand.NewPCG(4, 4))
		o := SolveOptions{PitchMM: 25.4, Width: 4032, Height: 3024}
		pr := o.newProblem(scaledFrame{unitMM: 1})
		p := params{0.5, 0.02, 0.01, -0.03, 0.45, 0.02, 0.1, -0.05, -0.1, 0.03, 0.005, 0.0005, -0.0004, 0.006, -0.004}
		m := newProjector(&pr.camera, &p)
		for i := range 60 {
			ob := observation{kind: kinds[i%len(kinds)], x: 1.6*r.Float64() - 0.8, y: 1.2*r.Float64() - 0.6, weight: 1 + r.Float64()}
			q, ok := m.project(ob.x, ob.y)
			if !ok {
				t.Fatal("not seen")
			}
			ob.at = photo.Point{X: q.at.X + 2*r.NormFloat64(), Y: q.at.Y + 2*r.NormFloat64()}
			pr.obs = append(pr.obs, ob)
		}
		settle := func(p params) *normal {
			// The foot of every perpendicular is found anew, to the end.
			for range 10 {
				pr.evaluate(&p, 1.3)
			}
			return pr.evaluate(&p, 1.3)
		}
		n := settle(p)
		slope := fd.Gradient(nil, func(x []float64) float64 { return settle(params(x)).cost }, p[:], &fd.Settings{Formula: fd.Central, Step: 1e-6})
		for i := range slope {
			if d := math.Abs(slope[i]/2 + n.g[i]); d > 1e-3*(1+math.Abs(n.g[i])) {
				t.Errorf("%s: parameter %d: %.5f, half the cost falls by %.5f", name, i, n.g[i], -slope[i]/2)
			}
		}
	}
}

// K3 and the tangential terms enter where the lines speak for them: a lens
// with much of one is fitted with it in most photographs, and comes out right.
func TestTermsEnterOnEvidence(t *testing.T) {
	o := SolveOptions{PitchMM: 25.4, Width: 4032, Height: 3024}
	base := Model{
		H: [9]float64{0.95, 0, -290, 0, 1, -228, 0.3, 0.05, 480}, ScalePx: 3000, CentreX: 2010, CentreY: 1520, K1: -0.06, K2: 0.02,
	}
	for name, set := range map[string]func(*Model){
		"k3":         func(m *Model) { m.K3 = 0.03 },
		"tangential": func(m *Model) { m.P1, m.P2 = 0.002, -0.0015 },
	} {
		entered := 0
		for seed := range uint64(6) {
			m := base
			set(&m)
			fit, err := Solve(t.Context(), drawnLines(m, o, rand.New(rand.NewPCG(seed, 2))), o)
			if err != nil {
				t.Fatal(err)
			}
			for _, term := range fit.Terms {
				if term == name {
					entered++
				}
			}
		}
		if entered < 5 {
			t.Errorf("%s entered %d of 6 times", name, entered)
		}
	}
}

// drawnLines are samples of 24 x 18 squares, as far as they are in the
// photograph, read to 0.05 px.
func drawnLines(m Model, o SolveOptions, r *rand.Rand) (points []mat.LinePoint) {
	for family, lines := range [2]int{24, 18} {
		for i := 0; i <= lines; i++ {
			for along := 0.1; along < float64(42-lines); along += 0.2 {
				at := o.pitch().At(float64(i), along)
				if family == 1 {
					at = o.pitch().At(along, float64(i))
				}
				u := m.ToPhoto(at)
				if !(u.X > 0 && u.Y > 0 && u.X < float64(o.Width) && u.Y < float64(o.Height)) {
					continue
				}
				u.X, u.Y = u.X+0.05*r.NormFloat64(), u.Y+0.05*r.NormFloat64()
				points = append(points, mat.LinePoint{Family: mat.Family(family), Index: i, Along: along, At: u, SigmaPx: 0.05})
			}
		}
	}
	return points
}
