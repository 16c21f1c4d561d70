package grid

import (
	"context"
	"errors"
	"math"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// plain is a usual mat: pale lines on a dark ground.
var plain = print{minors: 2, ground: 70, line: 190, noise: 2}

func TestFindReadsThePitch(t *testing.T) {
	for name, tc := range map[string]struct {
		print      print
		w, h       int
		px         float64
		turn, tilt float64
		k1         float64
	}{
		"no minors":           {print{minors: 1, ground: 70, line: 190, noise: 2}, 1500, 1100, 48, 3, 10, -0.05},
		"halves":              {plain, 1500, 1100, 48, 8, 15, -0.05},
		"quarters":            {print{minors: 4, ground: 70, line: 190, noise: 2}, 1900, 1400, 64, 0, 5, -0.03},
		"eighths, large":      {print{minors: 8, ground: 70, line: 190, noise: 2}, 3800, 2800, 130, -12, 8, -0.03},
		"dark on pale":        {print{minors: 2, ground: 200, line: 60, noise: 2}, 1500, 1100, 48, 20, 12, 0},
		"faint":               {print{minors: 1, ground: 100, line: 122, noise: 2}, 1500, 1100, 48, 5, 8, -0.05},
		"upside down":         {plain, 1500, 1100, 48, 180, 10, -0.05},
		"on its side":         {plain, 1500, 1100, 48, 91, 10, -0.05},
		"askew":               {plain, 1500, 1100, 44, 44, 10, -0.05},
		"wide lens":           {plain, 1500, 1100, 46, 5, 12, -0.18},
		"steep":               {plain, 1500, 1100, 44, 10, 25, -0.05},
		"fifth line stressed": {print{minors: 1, stress: 5, ground: 70, line: 190, noise: 2}, 1500, 1100, 48, 5, 8, -0.05},
		"mostly covered":      {print{minors: 2, ground: 70, line: 190, noise: 2, cover: 0.9}, 1500, 1100, 48, 5, 8, -0.05},
		"noisy":               {print{minors: 2, ground: 70, line: 150, noise: 9}, 1500, 1100, 48, 5, 8, -0.05},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			truth := over(tc.w, tc.h, tc.px, tc.turn, tc.tilt, tc.k1)
			p := paint(truth, tc.w, tc.h, tc.print, 1)
			f, err := Find(context.Background(), p, Sizes{PitchMM: printMM, FocalPx: truth.ScalePx})
			if err != nil {
				t.Fatal(err)
			}
			g := f.Grid
			for _, at := range [][2]int{{g.MinColumn, g.MinRow}, {g.MaxColumn, g.MinRow}, {g.MaxColumn, g.MaxRow}, {g.MinColumn, g.MaxRow}} {
				if d := offLattice(truth, f.Steps, at[0], at[1]); d > 0.02 {
					t.Errorf("crossing %v lies %.3f pitches from any of the mat's", at, d)
				}
			}
			a, _ := truth.ToMat(f.Steps.ToPhoto(mat.Point{X: float64(g.MinColumn), Y: float64(g.MinRow)}))
			b, _ := truth.ToMat(f.Steps.ToPhoto(mat.Point{X: float64(g.MaxColumn), Y: float64(g.MinRow)}))
			if d := math.Hypot(b.X-a.X, b.Y-a.Y) / printMM / float64(g.MaxColumn-g.MinColumn); math.Abs(d-1) > 0.01 {
				t.Errorf("a column is %.3f pitches wide", d)
			}
			if m := max(tc.print.minors, 1); g.MinorPerPitch != m && m != 8 {
				t.Errorf("%d minor divisions, want %d", g.MinorPerPitch, m)
			}
			rms := rmsOffLinePx(truth, f)
			t.Logf("%d points, off the print's lines by rms %.3f px; %d x %d", len(g.Points), rms, g.MaxColumn-g.MinColumn, g.MaxRow-g.MinRow)
			if limit := 0.05 + 0.02*tc.print.noise; rms > limit {
				t.Errorf("points lie rms %.3f px off the print's lines, want at most %.2f", rms, limit)
			}
		})
	}
}

// rmsOffLinePx returns how far the measured points lie from the nearest line
// of the print, in pixels of the photograph.
func rmsOffLinePx(truth lens.Model, f *Found) float64 {
	sum := 0.0
	for _, p := range f.Grid.Points {
		at, ok := truth.ToMat(p.At)
		if !ok {
			return math.Inf(1)
		}
		// The found families may be the print's turned by a quarter.
		dx := math.Abs(at.X/printMM-math.Round(at.X/printMM)) * printMM
		dy := math.Abs(at.Y/printMM-math.Round(at.Y/printMM)) * printMM
		d := math.Min(dx, dy) / truth.ScaleMMPerPx(at)
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(f.Grid.Points)))
}

func TestFindRefusesWhatIsNoGrid(t *testing.T) {
	var missing *NotFoundError
	stripes := paint(over(1200, 900, 40, 5, 5, 0), 1200, 900, print{ground: 70, line: 190, rowsOnly: true}, 1)
	if _, err := Find(context.Background(), stripes, Sizes{}); !errors.As(err, &missing) {
		t.Errorf("stripes: %v", err)
	}
	dot := &photo.Photo{Name: "dot.png", Width: 1, Height: 1, Luma: []byte{9}}
	if _, err := Find(context.Background(), dot, Sizes{}); !errors.As(err, &missing) {
		t.Errorf("one pixel: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Find(ctx, paint(over(1200, 900, 40, 5, 5, 0), 1200, 900, plain, 1), Sizes{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestStrongPhase(t *testing.T) {
	// Ink that falls from one side of the mat to the other, as in a shadow.
	inks := func(kinds ...float64) map[int]float64 {
		out := map[int]float64{}
		for i := -20; i < 20; i++ {
			out[i] = kinds[((i%len(kinds))+len(kinds))%len(kinds)] * (1 + 0.02*float64(i))
		}
		return out
	}
	for name, tc := range map[string]struct {
		ink          map[int]float64
		every, phase int
	}{
		"all alike":        {inks(1), 1, 0},
		"halves":           {inks(1, 0.6), 2, 0},
		"halves, other":    {inks(0.6, 1), 2, 1},
		"hardly weaker":    {inks(1, 0.95), 1, 0},
		"eighths":          {inks(1, 0.3, 0.4, 0.3, 0.6, 0.3, 0.4, 0.3), 8, 0},
		"fifths are no 2s": {inks(1, 0.5, 0.5, 0.5, 0.5), 1, 0},
		"too few":          {map[int]float64{0: 1, 1: 0.5}, 1, 0},
	} {
		if every, phase := strongOf(tc.ink, halvings); every != tc.every || phase != tc.phase {
			t.Errorf("%s: every %d from %d, want %d from %d", name, every, phase, tc.every, tc.phase)
		}
	}
	if every, phase := strongOf(inks(0.5, 0.5, 1, 0.5, 0.5), emphases); every != 5 || phase != 2 {
		t.Errorf("fifths: every %d from %d, want 5 from 2", every, phase)
	}
}

func TestLongestRun(t *testing.T) {
	bools := func(s string) (out []bool) {
		for _, r := range s {
			out = append(out, r == 'x')
		}
		return out
	}
	for in, want := range map[string][2]int{
		"":            {0, -1},
		"...":         {0, -1},
		"xxx":         {0, 2},
		".xx.xx.":     {1, 5},
		"x..xxxx":     {3, 6},
		"xxxx...xx..": {0, 3},
		"xxxx...xxx.": {0, 9},
		"xxx.....xxx": {0, 2},
	} {
		if a, b := longestRun(bools(in)); a != want[0] || b != want[1] {
			t.Errorf("%q: %d to %d, want %v", in, a, b, want)
		}
	}
}

// The centroid of a symmetric line lies at its middle wherever that is
// between the samples, on a slope of light too.
func TestCentroidHasNoBias(t *testing.T) {
	for shift := -0.5; shift <= 0.5; shift += 0.1 {
		buf := make([]float64, 61)
		at := 30 + shift
		for i := range buf {
			d := (float64(i) - at) / 3
			buf[i] = 50 + 0.3*float64(i) + 100*math.Exp(-d*d/2)
		}
		got := 30.0
		for range 4 {
			var ok bool
			if got, _, _, ok = centroid(buf, got, 8); !ok {
				t.Fatal("no centroid")
			}
		}
		if math.Abs(got-at) > 0.01 {
			t.Errorf("line at %.2f found at %.4f", at, got)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	p := paint(over(4000, 3000, 130, 5, 12, -0.05), 4000, 3000, plain, 1)
	b.ResetTimer()
	for b.Loop() {
		if _, err := Find(context.Background(), p, Sizes{}); err != nil {
			b.Fatal(err)
		}
	}
}

// strongOf is strongBoth where the other family has no lines to tell by.
func strongOf(ink map[int]float64, tries []int) (every, phase int) {
	e, p := strongBoth([2]map[int]float64{ink, nil}, tries, nil)
	return e[0], p[0]
}
