package grid

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// A mat of quarters under sheets that leave strips narrower than a pitch
// between them is read by its minor lines, to its far corner.
func TestMinorLinesCarryOn(t *testing.T) {
	const w, h = 2400, 1800
	m := over(w, h, 88, 3, 10, -0.06)
	pr := print{minors: 4, ground: 70, line: 190}
	rng := rand.New(rand.NewPCG(2, 8))
	p := paintPlane(m, w, h, 2, rng, func(x, y float64) float64 {
		// Bare are a corner of 6 by 6 pitches and strips 0.6 wide that run
		// between its lines.
		bare := x < 6 && y < 6 || math.Mod(x+5.8, 6) < 0.6 || math.Mod(y+4.8, 5) < 0.6
		if x < -0.05 || y < -0.05 || x > 24.05 || y > 18.05 || bare {
			return pr.at(x, y, nil)
		}
		return 225
	})
	f, err := Find(context.Background(), p, Sizes{PitchMM: printMM, FocalPx: m.ScalePx})
	if err != nil {
		t.Fatal(err)
	}
	g := f.Grid
	minors := 0
	for _, q := range g.Points {
		if !q.OfPitch() {
			minors++
			if k := q.Part * float64(g.MinorPerPitch); math.Abs(k-math.Round(k)) > 1e-9 || q.Part < 0 || q.Part >= 1 {
				t.Fatalf("a minor line %g pitches beyond a line", q.Part)
			}
		}
	}
	if g.MaxColumn-g.MinColumn < 22 || g.MaxRow-g.MinRow < 16 || minors < 500 {
		t.Errorf("columns %d to %d, rows %d to %d, %d samples on minor lines", g.MinColumn, g.MaxColumn, g.MinRow, g.MaxRow, minors)
	}
	x, y, worst := crossingsOffPx(m, f)
	t.Logf("%d samples, %d on minor lines; crossings off by (%.3f, %.3f) px, the worst by %.2f", len(g.Points), minors, x, y, worst)
	if worst > 0.3 {
		t.Errorf("the worst crossing lies %.2f px off, %.3f mm", worst, worst/8.8)
	}
	// A bare mat needs no minor lines.
	f, err = Find(context.Background(), paint(over(1500, 1100, 48, 3, 5, 0), 1500, 1100, pr, 1), Sizes{PitchMM: printMM})
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range f.Grid.Points {
		if !q.OfPitch() {
			t.Fatalf("a bare mat was measured on minor lines")
		}
	}
}

// Noise around a small mat does not carry its lattice away.
func TestTheLatticeEndsWhereTheMatDoes(t *testing.T) {
	const w, h = 2400, 1800
	m := over(w, h, 40, 30, 5, -0.03)
	rng := rand.New(rand.NewPCG(4, 4))
	p := paintPlane(m, w, h, 5, rng, func(x, y float64) float64 {
		if x < 0 || y < 0 || x > 14 || y > 10 {
			return 150
		}
		return print{ground: 120, line: 100}.at(x, y, nil)
	})
	f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
	if err != nil {
		t.Fatal(err)
	}
	if c, r := f.Grid.MaxColumn-f.Grid.MinColumn, f.Grid.MaxRow-f.Grid.MinRow; max(c, r) != 14 || min(c, r) != 10 {
		t.Errorf("%d by %d pitches, want 14 by 10", c, r)
	}
}

// Ticks on one side of a mat's first line do not pull it.
func TestTicksDoNotPull(t *testing.T) {
	const w, h = 1800, 1350
	m := over(w, h, 52, 2, 12, -0.05)
	pr := print{ground: 110, line: 60}
	rng := rand.New(rand.NewPCG(6, 6))
	p := paintPlane(m, w, h, 2, rng, func(x, y float64) float64 {
		if out := math.Max(-y, y-18); out > 0.02 && out < 0.3 && x > 0 && x < 24 {
			if math.Abs(10*x-math.Round(10*x)) < 0.2 {
				return pr.line
			}
			return pr.ground
		}
		return pr.at(x, y, nil)
	})
	f, err := Find(context.Background(), p, Sizes{PitchMM: printMM})
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range f.Grid.Points {
		at, ok := m.ToMat(q.At)
		row := at.Y / printMM
		if ok && math.Abs(row-math.Round(row)) < 0.1 && (math.Round(row) == 0 || math.Round(row) == 18) {
			if off := math.Abs(row-math.Round(row)) * 52; off > 0.5 {
				t.Errorf("a sample on row %.0f lies %.2f px off", row, off)
			}
		}
	}
	if _, _, worst := crossingsOffPx(m, f); worst > 0.2 {
		t.Errorf("the worst crossing lies %.2f px off", worst)
	}
}
