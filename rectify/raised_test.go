package rectify_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// bareScene is a mat with nothing on it, seen at a tilt.
func bareScene(seed uint64, tiltDeg float64) scene.Spec {
	s := scene.Random(seed, scene.RandomOptions{Megapixels: 2, TiltDeg: &tiltDeg, MinFocal35MM: 24, MaxFocal35MM: 26, MatColour: "green"})
	s.Pieces, s.Objects = nil, nil
	return s
}

// upperError is the error of the upper face over the whole mat, in mm: best
// turn and shift taken out, neither scale nor mirror.
func upperError(truth scene.Truth, m scene.Mapping, heightMM float64) (rmsMM, worstMM float64) {
	errs := scene.CameraErrorsAt(truth, m, heightMM)
	if len(errs) == 0 {
		return math.Inf(1), math.Inf(1)
	}
	for _, e := range errs {
		off := math.Hypot(e.OffMM.X, e.OffMM.Y)
		rmsMM += off * off / float64(len(errs))
		worstMM = max(worstMM, off)
	}
	return math.Sqrt(rmsMM), worstMM
}

// Pieces 10 mm thick: by tilt, by the tag, or by a measured height, the upper
// face comes out to within the ± that is stated; left as it is, it would be
// off by millimetres. With none of the three the height is asked for.
func TestRaised(t *testing.T) {
	const thickMM = 10
	type view struct {
		truth scene.Truth
		photo *photo.Photo
	}
	shot := func(tiltDeg float64) view {
		spec := bareScene(9500, tiltDeg)
		p := shoot(t, spec)
		if p.FocalPx == 0 {
			p.FocalPx = spec.Camera.FocalPx * 1.02
		}
		return view{spec.Truth(), p}
	}
	tilted, straight := shot(22), shot(1)
	untagged := func(v view) view {
		q := *v.photo
		q.FocalPx = 0
		return view{v.truth, &q}
	}
	for name, tc := range map[string]struct {
		view
		cameraMM float64
		from     lens.PoseSource
	}{
		"by tilt":            {untagged(tilted), 0, lens.FromPhotograph},
		"by tilt and tag":    {tilted, 0, ""},
		"by the tag":         {straight, 0, lens.FromTag},
		"by measured height": {untagged(straight), straight.truth.HeightMM + 5, lens.FromCameraHeight},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := rectify.SquareUp(context.Background(), tc.photo, rectify.Options{
				PitchMM: tc.truth.PitchMM, Raised: rectify.Raised{ThicknessMM: thickMM, CameraHeightMM: tc.cameraMM},
			})
			if err != nil {
				t.Fatal(err)
			}
			upper, ok := s.Upper()
			if !ok || s.Pose == nil {
				t.Fatal("no upper face")
			}
			_, flatWorst := upperError(tc.truth, s.Fit, thickMM)
			rms, worst := upperError(tc.truth, upper, thickMM)
			claimed := 0.0
			for _, c := range s.Fit.Hull {
				claimed = max(claimed, s.PlusMinusMM(c))
			}
			t.Logf("camera %.0f mm up (truth %.0f), from %s ± %.0f mm; upper face rms %.3f mm, worst %.3f mm, ± %.3f mm at worst; uncorrected %.2f mm",
				s.Pose.HeightMM, tc.truth.HeightMM, s.Pose.From, 2*s.Pose.HeightSigmaMM, rms, worst, claimed, flatWorst)
			if flatWorst < 2 {
				t.Errorf("uncorrected only %.2f mm off: the test tests nothing", flatWorst)
			}
			if worst > claimed || worst > flatWorst/5 {
				t.Errorf("upper face %.3f mm off at worst, ± %.3f mm; uncorrected %.2f mm", worst, claimed, flatWorst)
			}
			if tc.from != "" && s.Pose.From != tc.from {
				t.Errorf("the pose rests on %q, want %q", s.Pose.From, tc.from)
			}
			if at := s.Fit.Hull[0]; s.PlusMinusMM(at) <= s.Fit.PlusMinusMM(at) {
				t.Error("the height is not in the ±")
			}
		})
	}
	t.Run("not known", func(t *testing.T) {
		v := untagged(straight)
		_, err := rectify.SquareUp(context.Background(), v.photo, rectify.Options{PitchMM: v.truth.PitchMM, Raised: rectify.Raised{ThicknessMM: thickMM}})
		var unknown *rectify.HeightError
		if !errors.As(err, &unknown) || !(unknown.WorstMM > 0.5) {
			t.Fatalf("%v", err)
		}
		for _, says := range []string{v.photo.Name, "measure the height of the lens", "tilt of 15 to 30 degrees"} {
			if !strings.Contains(err.Error(), says) {
				t.Errorf("%q does not say %q", err, says)
			}
		}
	})
	t.Run("contradicted", func(t *testing.T) {
		v := untagged(tilted)
		_, err := rectify.SquareUp(context.Background(), v.photo, rectify.Options{
			PitchMM: v.truth.PitchMM, Raised: rectify.Raised{ThicknessMM: thickMM, CameraHeightMM: 0.5 * v.truth.HeightMM},
		})
		if err == nil || !strings.Contains(err.Error(), v.photo.Name) {
			t.Errorf("half the height: %v", err)
		}
	})
	t.Run("flat", func(t *testing.T) {
		s := squareUp(t, straight.photo, straight.truth.PitchMM)
		if _, ok := s.Upper(); ok || s.Pose != nil {
			t.Error("tape has an upper face")
		}
	})
}

// Heights that cannot be are refused before any work is done.
func TestRaisedRefused(t *testing.T) {
	p := &photo.Photo{Name: "grey.png", Width: 300, Height: 200, RGB: make([]byte, 3*300*200), Luma: make([]byte, 300*200)}
	for _, r := range []rectify.Raised{
		{ThicknessMM: -1},
		{ThicknessMM: math.NaN()},
		{ThicknessMM: math.Inf(1)},
		{ThicknessMM: 10, CameraHeightMM: 10},
		{ThicknessMM: 10, CameraHeightMM: -600},
		{ThicknessMM: 10, CameraHeightMM: math.NaN()},
		{ThicknessMM: 10, CameraHeightMM: math.Inf(1)},
		{CameraHeightMM: math.NaN()},
	} {
		var refused *rectify.HeightError
		_, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: 25.4, Raised: r})
		if !errors.As(err, &refused) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v", r, err)
		}
	}
}
