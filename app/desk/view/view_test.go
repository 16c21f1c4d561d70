package view

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func drawView(t *rapid.T) View {
	return View{
		Scale:  rapid.Float64Range(0.01, 60).Draw(t, "scale"),
		Offset: Point{rapid.Float64Range(-1e4, 1e4).Draw(t, "ox"), rapid.Float64Range(-1e4, 1e4).Draw(t, "oy")},
	}
}

func drawPoint(t *rapid.T, name string) Point {
	return Point{rapid.Float64Range(-2000, 2000).Draw(t, name+"x"), rapid.Float64Range(-2000, 2000).Draw(t, name+"y")}
}

func near(a, b Point, tol float64) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) <= tol }

func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, p := drawView(t), drawPoint(t, "p")
		if got := v.ToDevice(v.ToWorld(p)); !near(got, p, 1e-6) {
			t.Fatalf("%v came back as %v", p, got)
		}
	})
}

func TestZoomKeepsThePointUnderThePointer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v, at := drawView(t), drawPoint(t, "at")
		z := v.Zoomed(rapid.Float64Range(0.1, 10).Draw(t, "factor"), at, Limits{0.02, 40})
		if z.Scale < 0.02 || z.Scale > 40 {
			t.Fatalf("scale %v left its limits", z.Scale)
		}
		if got := z.ToDevice(v.ToWorld(at)); !near(got, at, 1e-4) {
			t.Fatalf("the point under %v moved to %v", at, got)
		}
	})
}

func TestFittedShowsTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawPoint(t, "a"), drawPoint(t, "b")
		r := Rect{a, a}.With(b).Grown(1)
		v := Fitted(r, 800, 600, 20)
		p, q := v.ToDevice(r.Min), v.ToDevice(r.Max)
		if p.X < 20-1e-6 || p.Y < 20-1e-6 || q.X > 780+1e-6 || q.Y > 580+1e-6 {
			t.Fatalf("%v was put at %v to %v", r, p, q)
		}
		if math.Min(q.X-p.X-760, q.Y-p.Y-560) > 1e-6 || (q.X-p.X < 759.99 && q.Y-p.Y < 559.99) {
			t.Fatalf("%v does not fill either side: %v to %v", r, p, q)
		}
	})
}

func TestKeptNeverLosesTheWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Rect{Point{0, 0}, Point{400, 300}}
		v := drawView(t).Kept(r, 800, 600, 40)
		a, b := v.ToDevice(r.Min), v.ToDevice(r.Max)
		if b.X < 40-1e-6 || b.Y < 40-1e-6 || a.X > 760+1e-6 || a.Y > 560+1e-6 {
			t.Fatalf("lost: %v to %v", a, b)
		}
	})
}

func TestRulerStep(t *testing.T) {
	for scale, want := range map[float64]float64{1: 100, 2: 50, 3: 20, 10: 10, 0.5: 200} {
		if got := (View{Scale: scale}).RulerStep(60); math.Abs(got-want) > 1e-9 {
			t.Errorf("scale %v: %v, want %v", scale, got, want)
		}
	}
}

func TestFittedOfNothing(t *testing.T) {
	if v := Fitted(Rect{}, 800, 600, 20); v.Scale != 1 {
		t.Error(v)
	}
}

func TestInchStep(t *testing.T) {
	for scale, want := range map[float64]float64{1: 4, 2: 2, 3: 1, 10: 0.25, 0.5: 8, 40: 0.125, 1000: 0.125} {
		if got := (View{Scale: scale}).InchStep(60); math.Abs(got-want) > 1e-9 || got < 0.125 || got*25.4*scale < 60-1e-9 {
			t.Errorf("scale %v: %v, want %v", scale, got, want)
		}
	}
}
