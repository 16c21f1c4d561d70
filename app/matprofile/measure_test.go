package matprofile

import (
	"context"
	"testing"
	"time"

	"flatwright/rectify"
	"flatwright/rectify/scene"
)

// bench draws a photograph of a bare mat of 12 by 9 inches and squares it up.
// The camera stands distanceMM off.
func bench(t *testing.T, name string, distanceMM, rollDeg float64) *rectify.Squared {
	t.Helper()
	spec := scene.Random(77, scene.RandomOptions{Megapixels: 1.6, MatColour: name, MinFocal35MM: 26, MaxFocal35MM: 26, MaxTiltDeg: 6, MaxPieces: 5})
	spec.Mat.PitchMM, spec.Mat.Columns, spec.Mat.Rows = 25.4, 12, 9
	spec.Mat.BorderMM, spec.Mat.MinorPerPitch, spec.Mat.MajorMM = 12, 2, 0.7
	spec.Mat.Diagonals, spec.Objects, spec.Pieces, spec.Light.Shadows = nil, nil, nil, nil
	spec.Camera.TargetX, spec.Camera.TargetY = 6*25.4, 4.5*25.4
	spec.Camera.DistanceMM, spec.Camera.RollDeg = distanceMM, rollDeg
	p, err := scene.Shoot(context.Background(), spec)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: 25.4})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The colours of drawn mats are met, light and camera forgiven, and each mat
// is known among all by its colour.
func TestColoursOfDrawnMats(t *testing.T) {
	var known []Profile
	for _, c := range scene.MatColours {
		base := Colour(c.Base)
		known = append(known, Profile{Name: c.Name, PitchMM: 25.4, Ground: &base})
	}
	for _, c := range scene.MatColours {
		s := bench(t, c.Name, 420, 0)
		ground, line, ok := Colours(s)
		if !ok {
			t.Errorf("%s: no colour", c.Name)
			continue
		}
		first := Suggest(known, 25.4, ground)[0]
		t.Logf("%s: ground %v (drawn %v), line %v; first match %s at %.1f, clear %v", c.Name, ground, Colour(c.Base), line, first.Profile.Name, first.DeltaE, first.Clear)
		if first.Profile.Name != c.Name {
			t.Errorf("%s is taken for %s", c.Name, first.Profile.Name)
		}
		if DeltaE(ground, line) < 10 {
			t.Errorf("%s: ground %v and line %v are alike", c.Name, ground, line)
		}
	}
}

// The whole mat's size is told when the table shows all round it, and not
// when the photograph ends before the next line would come.
func TestWholeMat(t *testing.T) {
	for name, tc := range map[string]struct {
		distanceMM, rollDeg float64
		columns, rows       int
	}{
		"all in view":    {460, 0, 12, 9},
		"turned":         {560, 90, 9, 12},
		"too near":       {250, 0, 0, 0},
		"one side short": {270, 0, 0, 0},
	} {
		s := bench(t, "green", tc.distanceMM, tc.rollDeg)
		columns, rows, ok := WholeMat(s)
		t.Logf("%s: grid %+v to %d, %d", name, s.Grid.MinColumn, s.Grid.MaxColumn, s.Grid.MaxRow)
		if columns != tc.columns || rows != tc.rows || ok != (tc.columns > 0) {
			t.Errorf("%s: %d x %d squares, %v; want %d x %d", name, columns, rows, ok, tc.columns, tc.rows)
		}
		p := Of(s, "mine", 0, time.Date(2026, 11, 25, 23, 0, 0, 0, time.UTC))
		if p.Columns != tc.columns || p.MeasuredOn != "2026-11-25" || p.XFactor != 1 || p.Ground == nil || p.Measured() {
			t.Errorf("%s: %+v", name, p)
		}
		if _, err := p.check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}
