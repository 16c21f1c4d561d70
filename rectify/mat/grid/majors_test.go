package grid

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// inkLines is the ink of lines 0 to n-1 of a family by their kind in turn,
// known to a part of sigma.
func inkLines(n int, sigma float64, rng *rand.Rand, kinds ...float64) map[int]float64 {
	out := map[int]float64{}
	for i := range n {
		out[i] = kinds[i%len(kinds)] * (1 + sigma*rng.NormFloat64())
	}
	return out
}

// The families are weighed together, each with a phase of its own; one that
// hardly tells, or has too few lines to, is overruled by the other.
func TestStrongStepOfBothFamilies(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	of := func(n int, kinds ...float64) map[int]float64 { return inkLines(n, 0.03, rng, kinds...) }
	for _, c := range []struct {
		name       string
		cols, rows map[int]float64
		tries      []int
		m          int
		phase      [2]int
	}{
		{"all alike", of(24, 1), of(18, 1), halvings, 1, [2]int{}},
		{"halves, both from elsewhere", of(24, 0.5, 1), of(18, 1, 0.5), halvings, 2, [2]int{1, 0}},
		{"halves that hardly show down", of(24, 1, 0.5), of(18, 1, 0.9), halvings, 2, [2]int{0, 0}},
		{"fifths", of(24, 1, 0.5, 0.5, 0.5, 0.5), of(18, 0.5, 0.5, 1, 0.5, 0.5), emphases, 5, [2]int{0, 2}},
		{"fifths are no halves", of(24, 1, 0.5, 0.5, 0.5, 0.5), of(18, 0.5, 0.5, 1, 0.5, 0.5), halvings, 1, [2]int{}},
		{"few rows", of(24, 1, 0.5), of(3, 1, 0.5), halvings, 2, [2]int{0, 0}},
	} {
		m, phase := strongStep([2]map[int]float64{c.cols, c.rows}, c.tries)
		if m != c.m || m > 1 && phase != c.phase {
			t.Errorf("%s: every %d from %v, want %d from %v", c.name, m, phase, c.m, c.phase)
		}
	}
}

// Lines a little heavier all the way are told from those that are so by
// chance.
func TestAlternates(t *testing.T) {
	of := func(rng *rand.Rand, sigma float64, kinds ...float64) [2]map[int]float64 {
		return [2]map[int]float64{inkLines(24, sigma, rng, kinds...), inkLines(18, sigma, rng, kinds...)}
	}
	right, wrong := 0, 0
	const runs = 200
	for seed := range uint64(runs) {
		rng := rand.New(rand.NewPCG(seed, 9))
		if alternates(of(rng, 0.05, 1, 0.85), [2]int{}) {
			right++
		}
		if alternates(of(rng, 0.05, 1), [2]int{}) {
			wrong++
		}
	}
	if right < runs*95/100 {
		t.Errorf("thinner lines between were seen %d times of %d", right, runs)
	}
	// Of 20 coins 16 or more show heads once in 170 throws, two families with
	// parts of their own less often.
	if wrong > runs/50 {
		t.Errorf("equal lines were told apart %d times of %d", wrong, runs)
	}
	few := [2]map[int]float64{{0: 1, 1: 0.5, 2: 1}, {0: 1, 1: 0.5, 2: 1}}
	if alternates(few, [2]int{}) {
		t.Error("three lines alternate")
	}
}

// A mat whose every tenth line is heavy, of a pitch that would put the camera
// on the ceiling if each line were one, is read by its heavy lines.
func TestTheHeavyLineIsThePitchWhereTheOthersCannotBe(t *testing.T) {
	truth := over(1800, 1350, 60, 4, 8, -0.04)
	p := paint(truth, 1800, 1350, print{minors: 1, stress: 5, ground: 70, line: 190, noise: 2}, 2)
	f, err := Find(context.Background(), p, Sizes{PitchMM: 254, FocalPx: truth.ScalePx})
	if err != nil {
		t.Fatal(err)
	}
	if n := f.Grid.MaxColumn - f.Grid.MinColumn; n != 4 {
		t.Errorf("%d pitches across, want the 4 between every fifth of 24 lines", n)
	}
	if f.Grid.MinorPerPitch%5 != 0 {
		t.Errorf("%d minor divisions, want a multiple of 5", f.Grid.MinorPerPitch)
	}
}

// From a rough model of a few crossings the whole mat is read in their
// numbering; a model that puts the lines elsewhere finds nothing.
func TestFindFrom(t *testing.T) {
	truth := over(1600, 1200, 52, 10, 15, -0.08)
	p := paint(truth, 1600, 1200, print{minors: 1, ground: 70, line: 190, noise: 2, cover: 0.3}, 8)
	steps := truth.Stretch(printMM, printMM)
	anchors := [][2]int{{8, 6}, {14, 6}, {14, 12}, {8, 12}}
	var clicks []lens.Crossing
	rng := rand.New(rand.NewPCG(1, 1))
	for _, a := range anchors {
		at := steps.ToPhoto(mat.Point{X: float64(a[0]), Y: float64(a[1])})
		at.X, at.Y = at.X+2*rng.NormFloat64(), at.Y+2*rng.NormFloat64()
		clicks = append(clicks, lens.Crossing{Column: a[0], Row: a[1], At: at, SigmaPx: 2})
	}
	start, err := lens.SolveCorners(context.Background(), clicks, lens.SolveOptions{PitchMM: 1, Width: p.Width, Height: p.Height, FocalPx: truth.ScalePx})
	if err != nil {
		t.Fatal(err)
	}
	f, err := FindFrom(context.Background(), p, start.Model, anchors)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range [][2]int{{0, 0}, {24, 0}, {24, 18}, {0, 18}} {
		got := f.Steps.ToPhoto(mat.Point{X: float64(at[0]), Y: float64(at[1])})
		want := steps.ToPhoto(mat.Point{X: float64(at[0]), Y: float64(at[1])})
		// The model is a first one, of a pitch of 52 px.
		if d := math.Hypot(got.X-want.X, got.Y-want.Y) / 52; d > 0.02 {
			t.Errorf("crossing %v lies %.3f pitches off", at, d)
		}
	}
	var missing *NotFoundError
	askew := over(1600, 1200, 52, 33, 15, -0.08).Stretch(printMM, printMM)
	if _, err := FindFrom(context.Background(), p, askew, anchors); !errors.As(err, &missing) {
		t.Errorf("from a model that is askew: %v", err)
	}
}

// Every refusal says which photograph, where, and what to do.
func TestRefusalsSayWhatToDo(t *testing.T) {
	for _, err := range []error{
		&NotFoundError{Photo: "a.jpg"},
		&NotFoundError{Photo: "a.jpg", Lines: 5, Spans: 12},
		&SlipError{Photo: "a.jpg"},
		&TwoGridsError{Photo: "a.jpg"},
		&KindError{Photo: "a.jpg", Asked: 3, Seen: 2},
	} {
		if s := fmt.Sprint(err); len(s) < 40 || !strings.Contains(s, "a.jpg") || !strings.Contains(s, ": ") {
			t.Errorf("%T: %q", err, s)
		}
	}
}

// Faint lines that are all alike, their ink known to a fifth, are not grouped:
// the best of all groupings and phases always shows some difference.
func TestEqualFaintLinesAreNotGrouped(t *testing.T) {
	grouped := 0
	const runs = 1500
	for seed := range uint64(runs) {
		rng := rand.New(rand.NewPCG(seed, 21))
		inks := [2]map[int]float64{inkLines(28, 0.2, rng, 1), inkLines(18, 0.2, rng, 1)}
		if m, _ := strongStep(inks, halvings); m > 1 {
			grouped++
		}
	}
	if grouped > runs/100 {
		t.Errorf("equal lines were grouped %d times of %d", grouped, runs)
	}
}

// Lines at 10 mm across and 7.3 mm down make no mat, whatever the pitch.
func TestOblongCellsAreRefused(t *testing.T) {
	truth := over(1500, 1100, 48, 5, 10, -0.04)
	rng := rand.New(rand.NewPCG(3, 3))
	p := paintPlane(truth, 1500, 1100, 2, rng, func(x, y float64) float64 {
		return print{ground: 70, line: 190}.at(min(max(x, 0), 24), min(max(y/0.73, 0), 18), nil)
	})
	var shape *ShapeError
	if f, err := Find(context.Background(), p, Sizes{PitchMM: printMM, FocalPx: truth.ScalePx}); !errors.As(err, &shape) {
		t.Errorf("cells of 10 by 7.3 mm: %v, %v", f, err)
	} else if r := math.Max(shape.Aspect, 1/shape.Aspect); math.Abs(r*0.73-1) > 0.02 {
		t.Errorf("the cells are taken to be 1 to %.3f, not 1 to %.3f", r, 1/0.73)
	}
}
