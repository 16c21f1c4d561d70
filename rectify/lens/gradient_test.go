package lens

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/diff/fd"
	"pgregory.net/rapid"

	"flatwright/rectify/photo"
)

func drawParams(t *rapid.T) params {
	in := func(name string, reach float64) float64 { return rapid.Float64Range(-reach, reach).Draw(t, name) }
	return params{
		0.5 + in("h11", 0.1), in("h12", 0.1), in("h13", 0.1),
		in("h21", 0.1), 0.5 + in("h22", 0.1), in("h23", 0.1),
		in("h31", 0.2), in("h32", 0.2),
		in("k1", 0.2), in("k2", 0.1), in("k3", 0.02),
		in("p1", 0.002), in("p2", 0.002),
		in("cx", 0.02), in("cy", 0.02),
	}
}

// The analytic derivative of a sample's distance must be that of the distance
// itself, foot point and all, far from the line as well as near.
func TestGradientIsTheDerivativeOfTheDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawParams(t)
		c := camera{frame: scaledFrame{unitMM: 1}, scalePx: 3000, middle: photo.Point{X: 2000, Y: 1500}}
		o := observation{kind: observationKind(rapid.IntRange(0, 1).Draw(t, "kind")), weight: 1}
		o.x = rapid.Float64Range(-0.8, 0.8).Draw(t, "x")
		o.y = rapid.Float64Range(-0.8, 0.8).Draw(t, "y")
		m := newProjector(&c, &p)
		q, ok := m.project(o.x, o.y)
		if !ok {
			return
		}
		off := rapid.Float64Range(-30, 30).Draw(t, "off")
		o.at = photo.Point{X: q.at.X + off, Y: q.at.Y - off/3}
		settled := func(p *params) (float64, params) {
			m, o := newProjector(&c, p), o
			var r, nu, nv float64
			for range 10 {
				r, nu, nv, q, _ = m.residual(&o)
			}
			var j params
			m.gradient(&q, o.x, o.y, nu, nv, &j)
			return r, j
		}
		_, j := settled(&p)
		got := fd.Gradient(nil, func(x []float64) float64 {
			r, _ := settled((*params)(x))
			return -r
		}, p[:], &fd.Settings{Formula: fd.Central, Step: 1e-6})
		for i := range got {
			if math.Abs(got[i]-j[i]) > 1e-3+1e-5*math.Abs(j[i]) {
				t.Fatalf("parameter %d: analytic %.6f, differences %.6f px", i, j[i], got[i])
			}
		}
	})
}

// The residual must be the distance to the curve itself: no point of the
// projected line may be nearer.
func TestResidualIsTheLeastDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawParams(t)
		c := camera{frame: scaledFrame{unitMM: 1}, scalePx: 3000, middle: photo.Point{X: 2000, Y: 1500}}
		m := newProjector(&c, &p)
		x := rapid.Float64Range(-0.8, 0.8).Draw(t, "x")
		y := rapid.Float64Range(-0.8, 0.8).Draw(t, "y")
		q, ok := m.project(x, y)
		if !ok {
			return
		}
		o := observation{
			kind: onColumn, x: x, y: y + rapid.Float64Range(-0.02, 0.02).Draw(t, "slip"), weight: 1,
			at: photo.Point{X: q.at.X + rapid.Float64Range(-5, 5).Draw(t, "du"), Y: q.at.Y + rapid.Float64Range(-5, 5).Draw(t, "dv")},
		}
		r, _, _, _, ok := m.residual(&o)
		if !ok {
			return
		}
		least := math.Inf(1)
		for i := -20000; i <= 20000; i++ {
			q, ok := m.project(x, y+float64(i)*1e-6)
			if ok {
				least = min(least, math.Hypot(q.at.X-o.at.X, q.at.Y-o.at.Y))
			}
		}
		// The steps of the scan are 2e-3 px, so its least is 1e-3 px off at
		// the very worst, on a sample that lies on the line.
		if math.Abs(math.Abs(r)-least) > 1.5e-3 {
			t.Fatalf("distance %.6f px, least found %.6f px", r, least)
		}
	})
}

func TestQuickSelect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(0, 5), 1, 100).Draw(t, "z")
		k := rapid.IntRange(0, len(z)-1).Draw(t, "k")
		v := quickSelect(z, k)
		below, same := 0, 0
		for _, x := range z {
			if x < v {
				below++
			} else if x == v {
				same++
			}
		}
		if below > k || below+same <= k {
			t.Fatalf("%g is not number %d", v, k)
		}
	})
}
