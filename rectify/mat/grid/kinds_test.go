package grid_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"flatwright/rectify/mat/grid"
	"flatwright/rectify/scene"
)

// An inch mat with lines every eighth, looked at with every choice of lines:
// each spacing is found, and counts in its own pitch.
func TestKinds(t *testing.T) {
	spec := scene.Random(812, scene.RandomOptions{Megapixels: 4, PitchMM: 25.4, MinorPerPitch: 4, MatColour: "green", MaxTiltDeg: 10, MaxPieces: 3, MinFocal35MM: 26, MaxFocal35MM: 26})
	p, err := scene.Shoot(context.Background(), spec)
	if err != nil {
		t.Fatal(err)
	}
	usual, err := grid.Find(context.Background(), p, grid.Sizes{PitchMM: 25.4, FocalPx: p.FocalPx})
	if err != nil {
		t.Fatal(err)
	}
	kinds := usual.Grid.Kinds
	t.Logf("kinds %v, minors %d, %d x %d squares", kinds, usual.Grid.MinorPerPitch, usual.Grid.MaxColumn, usual.Grid.MaxRow)
	if len(kinds) < 2 {
		t.Fatalf("kinds %v", kinds)
	}
	for i, k := range kinds {
		if i > 0 && k.EveryPitch >= kinds[i-1].EveryPitch {
			t.Errorf("kinds %v do not grow finer", kinds)
		}
		f, err := grid.Find(context.Background(), p, grid.Sizes{PitchMM: 25.4 * k.EveryPitch, FocalPx: p.FocalPx, Kind: i + 1})
		if err != nil {
			t.Fatalf("kind %d: %v", i+1, err)
		}
		// The same stretch of mat is that many squares wide.
		want := float64(usual.Grid.MaxColumn) / k.EveryPitch
		if got := float64(f.Grid.MaxColumn); math.Abs(got-want) > 1+0.1*want {
			t.Errorf("kind %d, every %g pitches: %g squares across, want about %g", i+1, k.EveryPitch, got, want)
		}
		if e := f.Grid.Kinds[i].EveryPitch; math.Abs(e-1) > 1e-9 {
			t.Errorf("kind %d counts in %g of itself", i+1, e)
		}
	}
	var kind *grid.KindError
	if _, err := grid.Find(context.Background(), p, grid.Sizes{PitchMM: 25.4, Kind: 9}); !errors.As(err, &kind) || kind.Seen != len(kinds) {
		t.Errorf("the ninth kind: %v", err)
	}
}

// A pitch that would put the camera many metres away is refused.
func TestPitchOutOfReach(t *testing.T) {
	p, err := scene.Shoot(context.Background(), scene.Random(3, scene.RandomOptions{Megapixels: 2, PitchMM: 25.4, MatColour: "blue", MaxTiltDeg: 5, MaxPieces: 1}))
	if err != nil {
		t.Fatal(err)
	}
	var far *grid.SpacingError
	_, err = grid.Find(context.Background(), p, grid.Sizes{PitchMM: 254, FocalPx: p.FocalPx})
	if !errors.As(err, &far) || far.HeightMM < 3000 || !strings.Contains(far.Error(), "254 mm apart") {
		t.Errorf("ten times the pitch: %v", err)
	}
}
