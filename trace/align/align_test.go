package align_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
	"flatwright/trace/align"
	"flatwright/trace/curve"
)

func point(t *rapid.T, name string) mat.Point {
	return mat.Point{X: rapid.Float64Range(-300, 300).Draw(t, name+"x"), Y: rapid.Float64Range(-300, 300).Draw(t, name+"y")}
}

// A motion is found again from points that it moved, to rounding.
func TestRigidFindsTheMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.Float64Range(-179, 179).Draw(t, "turn")
		m := curve.Rotation(mat.Point{}, turn*math.Pi/180).Then(curve.Translation(point(t, "shift")))
		from := []mat.Point{{X: 0, Y: 0}, {X: rapid.Float64Range(5, 300).Draw(t, "apart"), Y: 0}}
		for range rapid.IntRange(0, 5).Draw(t, "more") {
			from = append(from, point(t, "p"))
		}
		var to []mat.Point
		for _, p := range from {
			to = append(to, m.Apply(p))
		}
		f, err := align.Rigid(from, to)
		if err != nil {
			t.Fatal(err)
		}
		if f.WorstMM > 1e-9 || math.Abs(math.Remainder(f.TurnDeg-turn, 360)) > 1e-7 || math.Abs(f.Stretch-1) > 1e-9 {
			t.Errorf("residual %g mm, turn %g for %g, stretch %g", f.WorstMM, f.TurnDeg, turn, f.Stretch)
		}
	})
}

// No small change of the motion makes the sum of squares less, and it neither
// scales nor mirrors.
func TestRigidIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var from, to []mat.Point
		for range rapid.IntRange(3, 8).Draw(t, "n") {
			p := point(t, "p")
			from = append(from, p)
			to = append(to, mat.Point{X: p.X + rapid.Float64Range(-2, 2).Draw(t, "ex"), Y: p.Y + rapid.Float64Range(-2, 2).Draw(t, "ey")})
		}
		f, err := align.Rigid(from, to)
		if errors.Is(err, align.ErrOnePlace) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if det := f.Motion.A*f.Motion.E - f.Motion.B*f.Motion.D; math.Abs(det-1) > 1e-9 {
			t.Errorf("determinant %g", det)
		}
		sum := func(m curve.Transform) float64 {
			s := 0.0
			for i := range from {
				q := m.Apply(from[i])
				s += (q.X-to[i].X)*(q.X-to[i].X) + (q.Y-to[i].Y)*(q.Y-to[i].Y)
			}
			return s
		}
		least := sum(f.Motion)
		for _, turn := range []float64{-1e-3, 0, 1e-3} {
			for _, d := range []mat.Point{{X: 0.05}, {X: -0.05}, {Y: 0.05}, {Y: -0.05}, {}} {
				if s := sum(f.Motion.Then(curve.Rotation(to[0], turn)).Then(curve.Translation(d))); s < least-1e-9 {
					t.Errorf("turned %g and shifted %v the sum is %g, not %g", turn, d, s, least)
				}
			}
		}
	})
}

func TestRigidTellsAnotherScale(t *testing.T) {
	from := []mat.Point{{X: 0}, {X: 200}}
	to := []mat.Point{{X: 0}, {X: 201}}
	f, err := align.Rigid(from, to)
	if err != nil || math.Abs(f.WorstMM-0.5) > 1e-9 || math.Abs(f.RMSMM-0.5) > 1e-9 || math.Abs(f.Stretch-1.005) > 1e-9 || f.SpanMM != 201 {
		t.Errorf("%+v %v", f, err)
	}
}

func TestRigidRefuses(t *testing.T) {
	one := []mat.Point{{X: 3, Y: 4}}
	if _, err := align.Rigid(one, one); !errors.Is(err, align.ErrFew) {
		t.Error(err)
	}
	if _, err := align.Rigid(append(one, mat.Point{}), one); !errors.Is(err, align.ErrFew) {
		t.Error(err)
	}
	if _, err := align.Rigid([]mat.Point{one[0], one[0]}, []mat.Point{{}, {X: 9}}); !errors.Is(err, align.ErrOnePlace) {
		t.Error(err)
	}
}
