package rectify_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// A good photograph of a measured mat asks for no advice; a mat taken as
// printed asks to be measured, and for nothing else.
func TestNoAdviceOnAGoodPhotograph(t *testing.T) {
	for _, seed := range []uint64{9500, 9501} {
		spec := scene.Random(seed, scene.RandomOptions{Megapixels: 2})
		p := shoot(t, spec)
		x, y := spec.Mat.PitchMM*float64(spec.Mat.Columns), spec.Mat.PitchMM*float64(spec.Mat.Rows)
		scale, err := rectify.ScaleFromSpans(spec.Mat.PitchMM,
			rectify.Span{Squares: float64(spec.Mat.Columns), LengthMM: x}, rectify.Span{Squares: float64(spec.Mat.Rows), LengthMM: y})
		if err != nil {
			t.Fatal(err)
		}
		for name, o := range map[string]rectify.Options{"measured": {Scale: scale}, "as printed": {}} {
			o.PitchMM = spec.Mat.PitchMM
			s, err := rectify.SquareUp(context.Background(), p, o)
			if err != nil {
				t.Fatal(err)
			}
			want := map[string]int{"measured": 0, "as printed": 1}[name]
			if a := s.Advice(); len(a) != want || want == 1 && !strings.Contains(a[0].Text, "steel rule") {
				t.Errorf("seed %d, %s: %v", seed, name, a)
			}
		}
	}
}

// rubbedOff takes the print off a part of the photograph, in parts of it, but
// for the mat's rim and the table.
func rubbedOff(s scene.Spec, p *photo.Photo, x0, x1 float64) *photo.Photo {
	q := *p
	q.RGB, q.Luma = append([]byte(nil), p.RGB...), append([]byte(nil), p.Luma...)
	w, h := s.Mat.SizeMM()
	c, view := s.Mat.Colour, s.Camera.View()
	repaint(&s, &q, func(at mat.Point) bool {
		seen := view.ToPhoto(at)
		x := seen.X / float64(p.Width)
		return x > x0 && x < x1 && at.X > -5 && at.Y > -5 && at.X < w+5 && at.Y < h+5
	}, func(px []byte) { px[0], px[1], px[2] = c.R, c.G, c.B })
	return &q
}

// What is wrong with a photograph is said in words, with its place and a
// number, and what to do; the most serious first.
func TestAdviceInWords(t *testing.T) {
	tilt := 20.0
	spec := scene.Random(9502, scene.RandomOptions{Megapixels: 2, TiltDeg: &tilt, MatColour: "green"})
	spec.Pieces, spec.Objects, spec.Light.Shadows = nil, nil, nil
	p := shoot(t, spec)
	steep := spec
	steep.Camera.TiltDeg = 42
	for name, tc := range map[string]struct {
		photo *photo.Photo
		times float64 // the pitch
		spoil func(*rectify.Squared)
		says  []string
	}{
		"left bare": {rubbedOff(spec, p, 0, 0.5), 1, nil, []string{"left third of the mat is not covered by lines; the error there is up to", "mm", "Hold the phone higher, over the middle"}},
		"a big mat": {p, 2.5, nil, []string{"A pixel covers", "Photograph from nearer"}},
		"steep":     {shoot(t, steep), 1, nil, []string{"tilted by 4", "degrees", "30 degrees at most"}},
		"unsharp":   {p, 1, func(s *rectify.Squared) { s.Fit.NoisePx = 0.6 }, []string{"scatter by 0.60 px", "focus"}},
		"left out":  {p, 1, func(s *rectify.Squared) { s.Fit.LeftOutRMSMM = 0.5 }, []string{"by every other line, the rest are missed by 0.5 mm", "check the pitch"}},
		"few lines": {p, 1, func(s *rectify.Squared) { s.Fit.Lines = s.Fit.Lines[:3] }, []string{"Only 0 rows of the mat's lines were found", "uncovered"}},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := rectify.SquareUp(context.Background(), tc.photo, rectify.Options{PitchMM: spec.Mat.PitchMM * tc.times})
			if err != nil {
				t.Fatal(err)
			}
			if tc.spoil != nil {
				tc.spoil(s)
			}
			list := s.Advice()
			text := ""
			for i, a := range list {
				text += a.Text + "\n"
				if !strings.HasSuffix(a.Text, ".") || strings.Count(a.Text, ". ") < 1 || !(a.MM > 0) {
					t.Errorf("%+v", a)
				}
				if i > 0 && i < len(list)-1 && a.MM > list[i-1].MM {
					t.Errorf("%.2f mm after %.2f mm", a.MM, list[i-1].MM)
				}
			}
			t.Log(text)
			for _, says := range tc.says {
				if !strings.Contains(text, says) {
					t.Errorf("advice does not say %q", says)
				}
			}
		})
	}
}

// A swell of the mat: a small one is told of, with its place, a large one
// refused.
func TestBentMat(t *testing.T) {
	tilt := 12.0
	for _, tc := range []struct {
		highMM  float64
		refused bool
	}{{0.4, false}, {1, true}, {4, true}} {
		spec := scene.Random(2, scene.RandomOptions{Megapixels: 2, TiltDeg: &tilt})
		spec.Pieces, spec.Objects = nil, nil
		w, h := spec.Mat.SizeMM()
		spec.Mat.Bump = scene.Bump{At: mat.Point{X: 0.85 * w, Y: 0.6 * h}, AmplitudeMM: tc.highMM, RadiusMM: 0.2 * w}
		p := shoot(t, spec)
		near := spec.Camera.ToPhoto(spec.Mat.Bump.At)
		s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: spec.Mat.PitchMM})
		if tc.refused {
			var bent *rectify.BentError
			if !errors.As(err, &bent) || !strings.Contains(err.Error(), p.Name) || !strings.Contains(err.Error(), "press it flat") {
				t.Errorf("a swell of %g mm: %v", tc.highMM, err)
				continue
			}
			t.Log(err)
			continue
		}
		if err != nil {
			t.Errorf("a swell of %g mm: %v", tc.highMM, err)
			continue
		}
		a := s.Advice()
		if len(a) == 0 || !strings.Contains(a[0].Text, "does not lie quite flat") {
			t.Errorf("a swell of %g mm: %v", tc.highMM, a)
			continue
		}
		t.Log(a[0].Text)
		at := s.Fit.ToPhoto(a[0].At)
		if d := math.Hypot(at.X-near.X, at.Y-near.Y); d > 0.3*float64(p.Width) {
			t.Errorf("the swell is said to be %.0f px from where it is", d)
		}
	}
}
