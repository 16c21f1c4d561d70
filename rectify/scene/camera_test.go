package scene_test

import (
	"math"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"

	"pgregory.net/rapid"
)

var _ lens.Mapping = scene.Camera{}

func TestCameraStraightDown(t *testing.T) {
	// From the pinhole's proportion alone: px = focal * mm / distance.
	c := scene.Camera{FocalPx: 3000, CentreX: 2000, CentreY: 1500, TargetX: 300, TargetY: 200, DistanceMM: 600}
	for _, tc := range []struct {
		at   mat.Point
		want photo.Point
	}{
		{mat.Point{X: 300, Y: 200}, photo.Point{X: 2000, Y: 1500}},
		{mat.Point{X: 400, Y: 200}, photo.Point{X: 2500, Y: 1500}},
		{mat.Point{X: 300, Y: 100}, photo.Point{X: 2000, Y: 1000}},
	} {
		if got := c.ToPhoto(tc.at); math.Hypot(got.X-tc.want.X, got.Y-tc.want.Y) > 1e-9 {
			t.Errorf("%v is seen at %v, want %v", tc.at, got, tc.want)
		}
	}
}

func TestCameraTiltAndRoll(t *testing.T) {
	// Leaning 20 degrees away towards +x, the point d mm towards the camera
	// lies at depth D - d sin and d cos across the axis.
	c := scene.Camera{FocalPx: 1000, DistanceMM: 500, TiltDeg: 20}
	s, k := math.Sincos(20 * math.Pi / 180)
	got := c.ToPhoto(mat.Point{X: 80})
	if want := 1000 * 80 * k / (500 - 80*s); math.Abs(got.X-want) > 1e-9 || math.Abs(got.Y) > 1e-9 {
		t.Errorf("seen at %v, want x %v", got, want)
	}
	// The camera turned by +90 degrees sees the mat turned the other way.
	c = scene.Camera{FocalPx: 1000, DistanceMM: 500, RollDeg: 90}
	if got := c.ToPhoto(mat.Point{X: 50}); math.Abs(got.X) > 1e-9 || math.Abs(got.Y+100) > 1e-9 {
		t.Errorf("rolled camera sees x at %v, want (0, -100)", got)
	}
}

func TestCameraLensTerms(t *testing.T) {
	// Zhang 2000, section 3.3, by hand at x = 0.2, y = 0.1 (r² = 0.05).
	c := scene.Camera{FocalPx: 1000, DistanceMM: 1000, K1: -0.1, K2: 0.02, P1: 0.001, P2: -0.002}
	k := 1 - 0.1*0.05 + 0.02*0.0025
	want := photo.Point{
		X: 1000 * (0.2*k + 2*0.001*0.02 - 0.002*(0.05+2*0.04)),
		Y: 1000 * (0.1*k + 0.001*(0.05+2*0.01) - 2*0.002*0.02),
	}
	if got := c.ToPhoto(mat.Point{X: 200, Y: 100}); math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-9 {
		t.Errorf("seen at %v, want %v", got, want)
	}
}

func TestCameraRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := scene.Random(rapid.Uint64().Draw(t, "seed"), scene.RandomOptions{MaxPieces: 1})
		p := photo.Point{
			X: rapid.Float64Range(0, float64(s.Width-1)).Draw(t, "x"),
			Y: rapid.Float64Range(0, float64(s.Height-1)).Draw(t, "y"),
		}
		m, ok := s.Camera.ToMat(p)
		if !ok {
			t.Fatalf("no point of the mat at %v through %+v", p, s.Camera)
		}
		if q := s.Camera.ToPhoto(m); !(math.Hypot(q.X-p.X, q.Y-p.Y) < 1e-9) {
			t.Fatalf("%v came back %g px off", p, math.Hypot(q.X-p.X, q.Y-p.Y))
		}
		back, ok := s.Camera.ToMat(s.Camera.ToPhoto(m))
		if !ok || !(math.Hypot(back.X-m.X, back.Y-m.Y) < 1e-9) {
			t.Fatalf("%v came back %g mm off", m, math.Hypot(back.X-m.X, back.Y-m.Y))
		}
	})
}

func TestCameraFolds(t *testing.T) {
	// k1 = -0.3 turns back at r = sqrt(1/0.9) = 1.054 focal lengths, where the
	// image stands 1.054 (1 - 0.3*1.111) = 0.7027 focal lengths out.
	c := scene.Camera{FocalPx: 1000, DistanceMM: 500, K1: -0.3}
	if _, ok := c.ToMat(photo.Point{X: 710}); ok {
		t.Error("a place beyond the lens's fold was mapped")
	}
	if _, ok := c.ToMat(photo.Point{X: 695}); !ok {
		t.Error("a place inside the lens's fold was not mapped")
	}
	if q := c.ToPhoto(mat.Point{X: 600}); !math.IsNaN(q.X) {
		t.Errorf("a point beyond the fold is seen at %v", q)
	}
}

func TestCameraHorizon(t *testing.T) {
	c := scene.Camera{FocalPx: 1000, DistanceMM: 500, TiltDeg: 60}
	// The axis leans to -x; 30 degrees further lies the horizon.
	if _, ok := c.ToMat(photo.Point{X: -600}); ok {
		t.Error("a place above the horizon was mapped")
	}
	if _, ok := c.ToMat(photo.Point{X: -500}); !ok {
		t.Error("a place below the horizon was not mapped")
	}
}
