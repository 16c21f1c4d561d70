package curve

import (
	"errors"
	"math"
	"math/rand"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/mat"
)

// checkPath fails when a fit is not a finite chain without gaps.
func checkPath(t interface{ Fatalf(string, ...any) }, p Path) {
	n := len(p.Segments)
	if n == 0 {
		t.Fatalf("no segments")
	}
	for i, s := range p.Segments {
		for _, q := range []mat.Point{s.P0, s.P1, s.P2, s.P3} {
			if !finite(q) {
				t.Fatalf("segment %d has a point at %v", i, q)
			}
		}
		if i+1 < n && dist(s.P3, p.Segments[i+1].P0) > 1e-9 {
			t.Fatalf("gap after segment %d", i)
		}
	}
	if p.Closed && dist(p.Segments[n-1].P3, p.Segments[0].P0) > 1e-9 {
		t.Fatalf("the path does not close")
	}
}

// TestFitNeverBreaks fits loops of every silly kind.
func TestFitNeverBreaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 400).Draw(t, "n")
		r := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		kind := rapid.SampledFrom([]string{"walk", "star", "line", "dots", "bridged", "grid"}).Draw(t, "kind")
		var samples []Sample
		at := mat.Point{}
		for i := range n {
			a := float64(i) / float64(max(1, n)) * 2 * math.Pi
			sigma := 0.04
			switch kind {
			case "walk":
				at = add(at, pt(r.NormFloat64()*0.3, r.NormFloat64()*0.3))
			case "star":
				k := 20 + 15*math.Cos(9*a)
				at = pt(k*math.Cos(a), k*math.Sin(a))
			case "line":
				at = pt(float64(i)*0.25, 0)
			case "dots":
				at = pt(float64(r.Intn(3)), float64(r.Intn(2)))
			case "bridged":
				at, sigma = pt(20*math.Cos(a), 20*math.Sin(a)), 2
			case "grid":
				at = add(at, [...]mat.Point{pt(0.3, 0), pt(0, 0.3), pt(-0.3, 0), pt(0, -0.3)}[r.Intn(4)])
			}
			samples = append(samples, Sample{at, sigma})
		}
		for _, fit := range []func([]Sample, FitOptions) (Path, FitReport, error){FitClosed, FitOpen} {
			p, _, err := fit(samples, FitOptions{})
			if err == nil {
				checkPath(t, p)
			}
		}
	})
}

func TestFitRefuses(t *testing.T) {
	if _, _, err := FitClosed(nil, FitOptions{}); err == nil {
		t.Error("nothing was fitted")
	}
	samples := spoil(resample(circle(10).Flatten(0.01), 0.3), noise{sigmaMM: 0.03}, rand.New(rand.NewSource(1)))
	samples[40].At.Y = math.NaN()
	var e *SampleError
	if _, _, err := FitClosed(samples, FitOptions{}); !errors.As(err, &e) || e.Index != 40 {
		t.Errorf("not a number: %v", err)
	}
}
