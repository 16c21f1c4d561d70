package lens_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Two positions worked by hand from the formulas of OpenCV's documentation,
// "Camera Calibration and 3D Reconstruction" (from memory): x' = 0.5,
// y' = -0.25, so r² = 0.3125.
func TestToPhotoFollowsTheFormula(t *testing.T) {
	for _, c := range []struct {
		name               string
		k1, k2, k3, p1, p2 float64
		u, v               float64
	}{
		{"none", 0, 0, 0, 0, 0, 1500, 250},
		// radial 1 + 0.1*0.3125 = 1.03125
		{"k1", 0.1, 0, 0, 0, 0, 1000 + 1000*0.5*1.03125, 500 - 1000*0.25*1.03125},
		// radial 1 + 0.2*0.09765625 = 1.01953125
		{"k2", 0, 0.2, 0, 0, 0, 1000 + 1000*0.5*1.01953125, 500 - 1000*0.25*1.01953125},
		// radial 1 + 0.4*0.030517578125 = 1.01220703125
		{"k3", 0, 0, 0.4, 0, 0, 1000 + 1000*0.5*1.01220703125, 500 - 1000*0.25*1.01220703125},
		// 2 p1 x y = -0.0025, p1 (r² + 2y²) = 0.01*(0.3125+0.125)
		{"p1", 0, 0, 0, 0.01, 0, 1500 - 2.5, 250 + 4.375},
		// p2 (r² + 2x²) = 0.01*(0.3125+0.5), 2 p2 x y = -0.0025
		{"p2", 0, 0, 0, 0, 0.01, 1500 + 8.125, 250 - 2.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := lens.Model{
				H: [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 100}, ScalePx: 1000, CentreX: 1000, CentreY: 500,
				K1: c.k1, K2: c.k2, K3: c.k3, P1: c.p1, P2: c.p2,
			}
			u := m.ToPhoto(mat.Point{X: 50, Y: -25})
			if math.Hypot(u.X-c.u, u.Y-c.v) > 1e-9 {
				t.Errorf("got %.6f %.6f, want %.6f %.6f", u.X, u.Y, c.u, c.v)
			}
		})
	}
}

// A realistic camera: 16 to 50 mm-equivalent, tilted up to 40 degrees, turned
// any way, bent as much as lenses are without folding inside the picture.
func drawTruth(t *rapid.T) truth {
	c := overMat(rapid.Float64Range(16, 50).Draw(t, "equivalent"),
		rapid.Float64Range(0, 40).Draw(t, "tilt"),
		rapid.Float64Range(0, 360).Draw(t, "azimuth"),
		rapid.Float64Range(-180, 180).Draw(t, "roll"))
	c.cx += rapid.Float64Range(-40, 40).Draw(t, "cx")
	c.cy += rapid.Float64Range(-40, 40).Draw(t, "cy")
	c.k1 = rapid.Float64Range(-0.3, 0.1).Draw(t, "k1")
	c.k2 = rapid.Float64Range(-0.05, 0.1).Draw(t, "k2")
	c.k3 = rapid.Float64Range(-0.01, 0.01).Draw(t, "k3")
	c.p1 = rapid.Float64Range(-0.001, 0.001).Draw(t, "p1")
	c.p2 = rapid.Float64Range(-0.001, 0.001).Draw(t, "p2")
	return c
}

func drawSheetPoint(t *rapid.T) mat.Point {
	w, h := inchMat.size()
	return mat.Point{X: rapid.Float64Range(-50, w+50).Draw(t, "x"), Y: rapid.Float64Range(-50, h+50).Draw(t, "y")}
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawTruth(t)
		at := drawSheetPoint(t)
		m := c.model()
		want, seen := c.see(at.X, at.Y, 0)
		if !seen || c.nearFold(at) {
			return
		}
		u := m.ToPhoto(at)
		if math.Hypot(u.X-want.X, u.Y-want.Y) > 1e-8 {
			t.Fatalf("ToPhoto %v, the independent camera sees it at %v", u, want)
		}
		back, ok := m.ToMat(u)
		if !ok {
			t.Fatalf("ToMat sees nothing at %v", u)
		}
		again := m.ToPhoto(back)
		if d := math.Hypot(again.X-u.X, again.Y-u.Y); !(d < 1e-6) {
			t.Fatalf("round trip misses by %g px", d)
		}
		if d := math.Hypot(back.X-at.X, back.Y-at.Y); !(d < 1e-6) {
			t.Fatalf("round trip misses by %g mm", d)
		}
	})
}

func TestSlopesAreDerivatives(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawTruth(t)
		at := drawSheetPoint(t)
		m := c.model()
		u, seen := c.see(at.X, at.Y, 0)
		if !seen || c.nearFold(at) {
			return
		}
		s, ok := m.SlopeToPhoto(at)
		if !ok {
			t.Fatal("no slope where the point is seen")
		}
		const h = 1e-3
		for i, d := range []mat.Point{{X: h}, {Y: h}} {
			a := m.ToPhoto(mat.Point{X: at.X + d.X, Y: at.Y + d.Y})
			b := m.ToPhoto(mat.Point{X: at.X - d.X, Y: at.Y - d.Y})
			if math.Hypot((a.X-b.X)/(2*h)-s[0][i], (a.Y-b.Y)/(2*h)-s[1][i]) > 1e-5 {
				t.Fatalf("slope %v by axis %d, differences give %g %g", s, i, (a.X-b.X)/(2*h), (a.Y-b.Y)/(2*h))
			}
		}
		inv, ok := m.SlopeToMat(u)
		if !ok {
			t.Fatal("no inverse slope")
		}
		one := inv[0][0]*s[0][0] + inv[0][1]*s[1][0]
		zero := inv[0][0]*s[0][1] + inv[0][1]*s[1][1]
		if math.Abs(one-1) > 1e-6 || math.Abs(zero) > 1e-6 {
			t.Fatalf("slopes are not inverse: %g %g", one, zero)
		}
		area := math.Abs(s[0][0]*s[1][1] - s[0][1]*s[1][0])
		if k := m.ScaleMMPerPx(at); math.Abs(k*k*area-1) > 1e-9 {
			t.Fatalf("scale %g mm a px does not match an area of %g px²", k, area)
		}
	})
}

func TestMovingTheFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawTruth(t)
		at := drawSheetPoint(t)
		if _, seen := c.see(at.X, at.Y, 0); !seen || c.nearFold(at) {
			return
		}
		m := c.model()
		want := m.ToPhoto(at)
		origin := mat.Point{X: 127, Y: -76.2}
		shifted := m.Shift(origin).ToPhoto(mat.Point{X: at.X - origin.X, Y: at.Y - origin.Y})
		if math.Hypot(shifted.X-want.X, shifted.Y-want.Y) > 1e-7 {
			t.Fatalf("shifted %v want %v", shifted, want)
		}
		// One quarter turn: new (X, Y) is old (-Y, X).
		turned := m.Rotate(1).ToPhoto(mat.Point{X: at.Y, Y: -at.X})
		if math.Hypot(turned.X-want.X, turned.Y-want.Y) > 1e-7 {
			t.Fatalf("turned %v want %v", turned, want)
		}
		n := rapid.IntRange(-9, 9).Draw(t, "turns")
		same := m.Rotate(n).Rotate(-n).ToPhoto(at)
		if math.Hypot(same.X-want.X, same.Y-want.Y) > 1e-7 {
			t.Fatalf("turned there and back %v want %v", same, want)
		}
	})
}

func TestNothingIsSeenBeyondTheHorizonOrTheFold(t *testing.T) {
	level := overMat(26, 60, 90, 0).model() // its top looks over the horizon
	folding := lens.Model{H: [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 100}, ScalePx: 1000, K1: -0.3}
	// 1 - 0.9 r² = 0 at r = 1.0541: the bent radius there is 0.7027.
	if r := folding.FoldRadiusPx(); math.Abs(r-1054.0926) > 1e-3 {
		t.Errorf("fold at %.4f px, want 1054.0926", r)
	}
	for _, c := range []struct {
		name  string
		model lens.Model
		at    photo.Point
		seen  bool
	}{
		{"inside the fold", folding, photo.Point{X: 702}, true},
		{"outside the fold", folding, photo.Point{X: 703.5}, false},
		{"far outside the fold", folding, photo.Point{X: 5000, Y: 5000}, false},
		{"below the horizon", level, photo.Point{X: 2000, Y: 1512}, true},
		{"not a number", folding, photo.Point{X: math.NaN()}, false},
	} {
		if _, ok := c.model.ToMat(c.at); ok != c.seen {
			t.Errorf("%s: seen %v, want %v", c.name, ok, c.seen)
		}
	}
	if u := folding.ToPhoto(mat.Point{X: 106}); !math.IsNaN(u.X) {
		t.Errorf("a point outside the fold is seen at %v", u)
	}
	// Points of the mat behind the camera are seen nowhere, and positions
	// whose ray rises from the mat see nothing, in every direction.
	nowhere, nothing := 0, 0
	for i := range 360 {
		s, c := math.Sincos(float64(i) * math.Pi / 180)
		if u := level.ToPhoto(mat.Point{X: 1e5 * c, Y: 1e5 * s}); math.IsNaN(u.X) {
			nowhere++
		}
		if _, ok := level.ToMat(photo.Point{X: 2015 + 9e4*c, Y: 1511 + 9e4*s}); !ok {
			nothing++
		}
	}
	if nowhere < 170 || nowhere > 190 || nothing < 170 || nothing > 190 {
		t.Errorf("%d of 360 far points unseen, %d of 360 far positions empty; about half is right", nowhere, nothing)
	}
}

func TestMappingAllocatesNothing(t *testing.T) {
	c := overMat(20, 20, 30, 10)
	c.k1, c.k2 = -0.1, 0.02
	var m lens.Mapping = c.model()
	n := testing.AllocsPerRun(100, func() {
		p, _ := m.ToMat(photo.Point{X: 100, Y: 200})
		m.ToPhoto(p)
	})
	if n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func BenchmarkToMat(b *testing.B) {
	c := overMat(20, 20, 30, 10)
	c.k1, c.k2 = -0.1, 0.02
	m := c.model()
	for i := range b.N {
		m.ToMat(photo.Point{X: float64(i % 4000), Y: float64(i % 3000)})
	}
}

func BenchmarkToPhoto(b *testing.B) {
	c := overMat(20, 20, 30, 10)
	c.k1, c.k2 = -0.1, 0.02
	m := c.model()
	for i := range b.N {
		m.ToPhoto(mat.Point{X: float64(i % 600), Y: float64(i % 450)})
	}
}

// Stretch names the same places in other units.
func TestStretch(t *testing.T) {
	m := lens.Model{H: [9]float64{1, 0.1, -3, -0.2, 1.1, 4, 0.001, 0.002, 500}, ScalePx: 3000, CentreX: 2000, CentreY: 1500, K1: -0.1}
	s := m.Stretch(25.4, 0.5)
	for _, p := range []mat.Point{{}, {X: 4, Y: 30}, {X: -2, Y: 100}} {
		want := m.ToPhoto(mat.Point{X: 25.4 * p.X, Y: 0.5 * p.Y})
		if got := s.ToPhoto(p); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-9 {
			t.Errorf("%v is seen at %v, want %v", p, got, want)
		}
	}
}
