package report

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"

	"pgregory.net/rapid"
)

// squared is a mat of 12 by 9 squares under a camera that looks down on it at
// a slant, as a perfect picture would show it.
func squared(t *testing.T, scale rectify.Scale) *rectify.Squared {
	t.Helper()
	p := &photo.Photo{
		Name: "mat.jpg", Width: 2000, Height: 1500,
		RGB: bytes.Repeat([]byte{90}, 3*2000*1500), Luma: bytes.Repeat([]byte{90}, 2000*1500),
	}
	pitch := mat.Pitch{XMM: 25.4 * scale.X, YMM: 25.4 * scale.Y}
	camera := lens.Model{
		H:       [9]float64{1.0 / 300, 0, -0.5, 0, 1.0 / 300, -0.4, 0, 1e-4, 1},
		ScalePx: 1500, CentreX: 999.5, CentreY: 749.5,
	}
	var all []lens.Crossing
	for r := 0; r <= 9; r++ {
		for c := 0; c <= 12; c++ {
			if at := camera.ToPhoto(pitch.At(float64(c), float64(r))); p.Inside(at, 0) {
				all = append(all, lens.Crossing{At: at, Column: c, Row: r})
			}
		}
	}
	fit, err := lens.SolveCorners(context.Background(), all, lens.SolveOptions{PitchMM: pitch.XMM, RowPitchMM: pitch.YMM, Width: p.Width, Height: p.Height})
	if err != nil {
		t.Fatal(err)
	}
	return &rectify.Squared{
		Photo: p, PitchMM: 25.4, Pitch: pitch, Scale: scale, Fit: fit,
		Grid: mat.Grid{MaxColumn: 20, MaxRow: 9, MinorPerPitch: 2, Kinds: []mat.LineKind{{EveryPitch: 1}, {EveryPitch: 0.5}}},
	}
}

func TestScaleNotes(t *testing.T) {
	for name, tc := range map[string]struct {
		scale   rectify.Scale
		percent float64 // 0: null
		note    string
	}{
		"pitch": {rectify.Scale{X: 1, Y: 1, Source: rectify.FromPitch}, 0, "taken as true, 25.4 mm a square"},
		"rule": {
			rectify.Scale{X: 1.001, Y: 0.998, SigmaX: 0.0004, SigmaY: 0.0006, Source: rectify.FromRule},
			0.12,
			"steel rule: a square is 25.425 mm across and 25.349 mm down, good to ± 0.12 %.",
		},
		"rule across alone": {
			rectify.Scale{X: 1.001, Y: 1, SigmaX: 0.0004, Source: rectify.FromRule},
			0.08,
			"good to ± 0.08 % across; down it was not measured.",
		},
		"rule down alone": {
			rectify.Scale{X: 1, Y: 1.001, SigmaY: 0.0004, Source: rectify.FromRule},
			0.08,
			"good to ± 0.08 % down; across it was not measured.",
		},
		"profile": {
			rectify.Scale{X: 1.002, Y: 1.002, SigmaX: 0.0004, SigmaY: 0.0004, Source: rectify.FromProfile, Name: "big\ngreen"},
			0.08,
			`Scale from the mat "big green" as once measured: a square is 25.451 mm, good to ± 0.08 %.`,
		},
		"profile not measured": {rectify.Scale{X: 1, Y: 1, Source: rectify.FromProfile, Name: "plain"}, 0, `"plain", whose printing is taken as true`},
		"rectangle":            {rectify.Scale{X: 1, Y: 1, SigmaX: 0.0002, SigmaY: 0.0001, Source: rectify.FromRectangle, Name: "A4"}, 0.04, "Scale from the sides of the sheet A4, 25.4 × 25.4 mm, good to ± 0.04 %."},
		"rectangle, no name":   {rectify.Scale{X: 1, Y: 1, Source: rectify.FromRectangle}, 0, "the sides of a rectangle of known size, 25.4 × 25.4 mm."},
	} {
		c := CalibrationOf(squared(t, tc.scale), nil)
		pitchMM := 25.4
		if tc.scale.Source == rectify.FromRectangle {
			pitchMM = 0
		}
		if c.PitchMM != pitchMM || c.Scale.Source != string(tc.scale.Source) || math.Abs(c.Scale.PitchXMM-25.4*tc.scale.X) > 1e-9 || c.Scale.YFactor != tc.scale.Y {
			t.Errorf("%s: %+v", name, c.Scale)
		}
		if k := c.PrintedSpacingsMM; (pitchMM == 0) != (len(k) == 0) || len(k) > 0 && (k[0] != 25.4 || k[1] != 12.7) {
			t.Errorf("%s: printed spacings %v", name, k)
		}
		if !strings.Contains(c.Scale.Note, tc.note) {
			t.Errorf("%s: said %q, want %q", name, c.Scale.Note, tc.note)
		}
		switch p := c.Scale.PlusMinusPercent; {
		case tc.percent == 0 && p != nil, tc.percent != 0 && (p == nil || math.Abs(*p-tc.percent) > 1e-9):
			t.Errorf("%s: ± %v, want %g", name, p, tc.percent)
		}
	}
}

// The map covers the grid that was seen, with numbers where the photograph
// shows it and null elsewhere, and agrees with what is asked place by place.
func TestPlusMinusMap(t *testing.T) {
	s := squared(t, rectify.Scale{X: 1, Y: 1, Source: rectify.FromPitch})
	c := CalibrationOf(s, nil)
	if len(c.PlusMinusMap) != 63 {
		t.Fatalf("%d places", len(c.PlusMinusMap))
	}
	first, last := c.PlusMinusMap[0], c.PlusMinusMap[62]
	near(t, "first x", first.X, 0, 1e-6)
	near(t, "last x", last.X, 20*25.4, 1e-6)
	near(t, "last y", last.Y, 9*25.4, 1e-6)
	nulls := 0
	for _, p := range c.PlusMinusMap {
		at := mat.Point{X: p.X, Y: p.Y}
		inside := s.Photo.Inside(s.Fit.ToPhoto(at), 0)
		if (p.PlusMinusMM != nil) != inside {
			t.Errorf("at %v, in view %v: %v", at, inside, p.PlusMinusMM)
		}
		if p.PlusMinusMM == nil {
			nulls++
			continue
		}
		near(t, "±", *p.PlusMinusMM, s.PlusMinusMM(at), 1e-12)
	}
	if nulls == 0 || nulls > 40 {
		t.Errorf("%d of 63 places are out of view", nulls)
	}
	if c.PlusMinus.NotSeen != 0 || c.PlusMinus.MedianMM <= 0 || c.MMPerPx <= 0 || len(c.Hull) < 4 {
		t.Errorf("%+v, %g mm per px, hull %v", c.PlusMinus, c.MMPerPx, c.Hull)
	}
}

// Pieces that rise above the mat come with the camera's height, and a larger ±.
func TestHeight(t *testing.T) {
	s := squared(t, rectify.Scale{X: 1, Y: 1, Source: rectify.FromPitch})
	at := []mat.Point{{X: 250, Y: 200}}
	flat := CalibrationOf(s, at)
	if flat.Height != nil {
		t.Errorf("%+v for pieces in the mat's plane", flat.Height)
	}
	s.Raised = rectify.Raised{ThicknessMM: 10, CameraHeightMM: 450}
	s.Pose = &lens.Pose{FootMM: mat.Point{X: 150, Y: 110}, HeightMM: 448, HeightSigmaMM: 10, From: lens.FromCameraHeight, FootSigmaMM: 2, FocalPx: 1500, FocalSigmaPx: math.Inf(1)}
	c := CalibrationOf(s, at)
	h := c.Height
	if h == nil || h.ThicknessMM != 10 || h.CameraHeightMM != 448 || *h.CameraHeightGivenMM != 450 || h.Source != "camera height" || *h.CameraHeightPlusMinusMM != 20 || h.FocalPlusMinusPx != nil || h.CameraFoot != (Point{150, 110}) {
		t.Fatalf("%+v", h)
	}
	if c.PlusMinus.MedianMM <= flat.PlusMinus.MedianMM {
		t.Errorf("± %g mm with the height, ± %g mm without", c.PlusMinus.MedianMM, flat.PlusMinus.MedianMM)
	}
	s.Raised.CameraHeightMM = 0
	for from, words := range map[lens.PoseSource]string{
		lens.FromPhotograph: "(from the photograph)", lens.FromTag: "(by the focal length in its tags)",
		lens.FromCameraHeight: "(as measured)", lens.FromGuess: "(by a usual lens",
	} {
		s.Pose.From, s.Pose.TagRefused = from, true
		if h := CalibrationOf(s, at).Height; h.Source != string(from) || !h.TagRefused || !strings.Contains(h.Sentence(), words) {
			t.Errorf("%+v says %q", h, h.Sentence())
		}
	}
}

// Squaring has the report's own keys, and all it holds is finite.
func TestSquaring(t *testing.T) {
	s := squared(t, rectify.Scale{X: 1, Y: 1, Source: rectify.FromPitch})
	c := CalibrationOf(s, nil)
	check, err := s.CheckDistance(s.Fit.ToPhoto(mat.Point{X: 25.4, Y: 25.4}), s.Fit.ToPhoto(mat.Point{X: 127, Y: 25.4}), 101)
	if err != nil {
		t.Fatal(err)
	}
	c.Checks = []Check{CheckOf(check)}
	var b bytes.Buffer
	if err := WriteSquaring(&b, Squaring{Photo: Photo{Name: "mat.jpg"}, Calibration: c, Timings: []Timing{{"square up", 12.34}}}); err != nil {
		t.Fatal(err)
	}
	var r map[string]any
	if err := json.Unmarshal(b.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"photo.name", "calibration.scale.note", "calibration.plus_minus_map.0.x_mm", "calibration.checks.0.difference_mm", "timings.0.ms"} {
		if !has(r, key) {
			t.Errorf("no %s", key)
		}
	}
	if h, ok := r["calibration"].(map[string]any)["height"]; !ok || h != nil {
		t.Errorf("height is %v, want null", h)
	}
	b.Reset()
	if err := TextSquaring(&b, Squaring{Photo: Photo{Name: "mat.jpg"}, Calibration: c}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"crossings placed by hand", "over the mat", "Check: 101.60 mm where 101.00 mm is known, +0.60 mm, more than the ± 0."} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in:\n%s", want, b.String())
		}
	}
	c.RMSPx = math.Inf(1)
	b.Reset()
	if err := WriteSquaring(&b, Squaring{Calibration: c}); err == nil || b.Len() > 0 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

// Whatever the camera and wherever the places lie, all numbers are finite: the
// report can be written.
func TestReportCanAlwaysBeWritten(t *testing.T) {
	p := &photo.Photo{
		Name: "mat.jpg", Width: 800, Height: 600,
		RGB: bytes.Repeat([]byte{90}, 3*800*600), Luma: bytes.Repeat([]byte{90}, 800*600),
	}
	rapid.Check(t, func(t *rapid.T) {
		slant := func(name string) float64 { return rapid.Float64Range(-0.0015, 0.0015).Draw(t, name) }
		turn := rapid.Float64Range(-0.3, 0.3).Draw(t, "turn")
		camera := lens.Model{
			H: [9]float64{
				math.Cos(turn) / 300, -math.Sin(turn) / 300, -0.4, math.Sin(turn) / 300, math.Cos(turn) / 300, -0.3, slant("x"), slant("y"), 1,
			},
			ScalePx: 600, CentreX: 399.5, CentreY: 299.5, K1: rapid.Float64Range(-0.1, 0.1).Draw(t, "k1"),
		}
		var all []lens.Crossing
		n := rapid.IntRange(1, 6).Draw(t, "squares")
		for r := range n + 1 {
			for c := range n + 1 {
				if at := camera.ToPhoto(mat.Point{X: 25.4 * float64(c), Y: 25.4 * float64(r)}); p.Inside(at, 0) {
					all = append(all, lens.Crossing{At: at, Column: c, Row: r})
				}
			}
		}
		fit, err := lens.SolveCorners(context.Background(), all, lens.SolveOptions{PitchMM: 25.4, Width: p.Width, Height: p.Height})
		if err != nil {
			t.Skip("these crossings do not make a camera")
		}
		s := &rectify.Squared{
			Photo: p, PitchMM: 25.4, Pitch: mat.Square(25.4), Scale: rectify.Scale{X: 1, Y: 1, Source: rectify.FromPitch}, Fit: fit,
			Grid: mat.Grid{MaxColumn: n, MaxRow: n, MinorPerPitch: 1},
		}
		s.Raised.ThicknessMM = rapid.SampledFrom([]float64{0, 5, 50}).Draw(t, "thickness")
		if pose, err := fit.Pose(); err == nil && pose.HeightMM > s.Raised.ThicknessMM {
			s.Pose = &pose
		}
		place := rapid.Custom(func(t *rapid.T) mat.Point {
			return mat.Point{X: rapid.Float64Range(-3000, 3000).Draw(t, "X"), Y: rapid.Float64Range(-3000, 3000).Draw(t, "Y")}
		})
		c := CalibrationOf(s, rapid.SliceOfN(place, 0, 5).Draw(t, "places"))
		if err := WriteSquaring(&bytes.Buffer{}, Squaring{Calibration: c}); err != nil {
			t.Fatalf("%v in %+v", err, c)
		}
		if err := Write(&bytes.Buffer{}, Report{Calibration: c}); err != nil {
			t.Fatal(err)
		}
	})
}
