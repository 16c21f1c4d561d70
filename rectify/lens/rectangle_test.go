package lens_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// card is a grid whose columns and rows stand at different distances.
type card struct {
	pitch         mat.Pitch
	columns, rows int
}

func (s card) size() (w, h float64) {
	return float64(s.columns) * s.pitch.XMM, float64(s.rows) * s.pitch.YMM
}

// edgeSamples draws perLine samples along the whole of every line, hidden at
// random in stretches of a tenth.
func (c truth) edgeSamples(s card, perLine int, sigmaPx, hidden float64, random *rand.Rand) (points []mat.LinePoint) {
	w, h := s.size()
	for family, lines := range [2]int{s.columns, s.rows} {
		for i := 0; i <= lines; i++ {
			var gone [10]bool
			for k := range gone {
				gone[k] = random.Float64() < hidden
			}
			for k := range perLine {
				part := 0.02 + 0.96*(float64(k)+0.5)/float64(perLine)
				if gone[int(10*part)] {
					continue
				}
				x, y := float64(i)*s.pitch.XMM, part*h
				along := part * float64(s.rows)
				if family == 1 {
					x, y, along = part*w, float64(i)*s.pitch.YMM, part*float64(s.columns)
				}
				u, ok := c.see(x, y, 0)
				if !ok {
					continue
				}
				points = append(points, mat.LinePoint{
					Family: mat.Family(family), Index: i, Along: along, SigmaPx: sigmaPx,
					At: photo.Point{X: u.X + sigmaPx*random.NormFloat64(), Y: u.Y + sigmaPx*random.NormFloat64()},
				})
			}
		}
	}
	return points
}

// overCard fills most of a 12 MP picture with a grid.
func overCard(s card, equivalent, tilt float64, random *rand.Rand) truth {
	const pw, ph = 4032, 3024
	f := equivalent / 43.27 * math.Hypot(pw, ph)
	w, h := s.size()
	away := f * math.Max(w/3100, h/2200)
	c := look(f, pw, ph, mat.Point{X: w / 2, Y: h / 2}, away, tilt, 360*random.Float64(), 20*random.Float64()-10)
	c.cx += 20 * random.NormFloat64()
	c.cy += 20 * random.NormFloat64()
	return c
}

// A plain sheet gives two lines each way, its four sides, and a grid may be
// stretched along one axis: the ± must be honest for both, over the whole
// sheet and a little round it.
func TestPlusMinusOfUnequalPitchesIsHonest(t *testing.T) {
	for _, s := range []struct {
		name string
		grid card
		per  int
	}{
		{"two samples to a side", card{mat.Pitch{XMM: 297, YMM: 210}, 1, 1}, 2},
		{"three samples to a side", card{mat.Pitch{XMM: 297, YMM: 210}, 1, 1}, 3},
		{"six samples to a side", card{mat.Pitch{XMM: 297, YMM: 210}, 1, 1}, 6},
		{"four sides of an A4 sheet", card{mat.Pitch{XMM: 297, YMM: 210}, 1, 1}, 60},
		{"four sides of a long strip", card{mat.Pitch{XMM: 600, YMM: 150}, 1, 1}, 60},
		{"three lines and two", card{mat.Pitch{XMM: 150, YMM: 210}, 2, 1}, 60},
		{"a stretched inch mat", card{mat.Pitch{XMM: 25.5, YMM: 25.2}, 20, 14}, 60},
		{"a grid of oblongs", card{mat.Pitch{XMM: 50, YMM: 20}, 10, 17}, 60},
	} {
		t.Run(s.name, func(t *testing.T) {
			var cover coverage
			bent := 0
			for seed := range uint64(40) {
				random := rand.New(rand.NewPCG(seed, 71))
				c := overCard(s.grid, 18+17*random.Float64(), 20*random.Float64(), random)
				c.k1, c.k2 = 0.03*random.NormFloat64(), 0.02*random.NormFloat64()
				hidden := 0.2
				if s.per < 10 {
					hidden = 0
				}
				points := c.edgeSamples(s.grid, s.per, 0.1, hidden, random)
				fit, err := lens.Solve(context.Background(), points, lens.SolveOptions{
					PitchMM: s.grid.pitch.XMM, RowPitchMM: s.grid.pitch.YMM, Width: c.width, Height: c.height,
				})
				if err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				if slices.Contains(fit.Terms, "k1") {
					bent++
				}
				w, h := s.grid.size()
				for range 12 {
					at := mat.Point{X: w * (1.1*random.Float64() - 0.05), Y: h * (1.1*random.Float64() - 0.05)}
					u, ok := c.see(at.X, at.Y, 0)
					if !ok {
						continue
					}
					p, ok := fit.ToMat(u)
					claim := fit.PlusMinusMM(at)
					d := math.Hypot(p.X-at.X, p.Y-at.Y)
					cover.all++
					cover.ratio += 4 * d * d / (claim * claim)
					if ok && d <= claim {
						cover.within++
					}
				}
			}
			if want := map[bool]int{true: 40}[s.per > 2]; bent != want {
				t.Errorf("k1 in %d of 40, want %d", bent, want)
			}
			cover.check(t, 0.87, 1)
		})
	}
}
