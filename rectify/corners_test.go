package rectify_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// bareMat is a mat whose print has rubbed off entirely.
func bareMat(seed uint64, megapixels float64) scene.Spec {
	s := scene.Random(seed, scene.RandomOptions{Megapixels: megapixels, MatColour: "green"})
	s.Pieces, s.Objects, s.Mat.Diagonals = nil, nil, nil
	s.Mat.Line, s.Mat.TicksPerPitch, s.Mat.Numbers, s.Mat.Scars = s.Mat.Colour, 0, false, 0
	return s
}

// clicksAt are crossings clicked by a hand that is off by sigmaPx in each
// direction.
func clicksAt(truth scene.Truth, at [][2]int, sigmaPx float64, r *rand.Rand) []rectify.Corner {
	var out []rectify.Corner
	for _, c := range at {
		seen := truth.Camera.ToPhoto(crossingMM(truth, c[0], c[1]))
		out = append(out, rectify.Corner{
			At:     photo.Point{X: seen.X + sigmaPx*r.NormFloat64(), Y: seen.Y + sigmaPx*r.NormFloat64()},
			Column: c[0], Row: c[1],
		})
	}
	return out
}

// crossingMM is where a crossing truly lies on the mat.
func crossingMM(truth scene.Truth, column, row int) mat.Point {
	x, y := truth.PitchMM, truth.PitchMM
	if truth.StretchX > 0 {
		x *= truth.StretchX
	}
	if truth.StretchY > 0 {
		y *= truth.StretchY
	}
	return mat.Point{X: x * float64(column), Y: y * float64(row)}
}

// covered is the part of the mat in view where the map errs by no more than
// its ±, and the root mean square of the error in mm.
func covered(truth scene.Truth, s *rectify.Squared) (part, rmsMM float64) {
	n, within := 0.0, 0.0
	for i := 0; i <= truth.Columns; i++ {
		for j := 0; j <= truth.Rows; j++ {
			want := crossingMM(truth, i, j)
			seen := truth.Camera.ToPhoto(want)
			if !s.Photo.Inside(seen, 0) {
				continue
			}
			at, ok := s.Fit.ToMat(seen)
			off := math.Hypot(at.X-want.X, at.Y-want.Y)
			n++
			rmsMM += off * off
			if ok && off <= s.PlusMinusMM(want) {
				within++
			}
		}
	}
	return within / n, math.Sqrt(rmsMM / n)
}

// Where no line can be read, clicks alone decide, and say how well: by hands
// off by 0.85 px in 1 megapixel (3 px in 12) and a lens that nothing is known
// of, at least nine places in ten lie within the ±.
func TestClicksAlone(t *testing.T) {
	spec := bareMat(9300, 1)
	p := shoot(t, spec)
	truth := spec.Truth()
	c, r := truth.Columns, truth.Rows
	for name, at := range map[string][][2]int{
		"four":  {{1, 1}, {c - 1, 1}, {c - 1, r - 1}, {1, r - 1}},
		"eight": {{1, 1}, {c - 1, 1}, {c - 1, r - 1}, {1, r - 1}, {c / 2, 1}, {c / 2, r - 1}, {1, r / 2}, {c - 1, r / 2}},
	} {
		random := rand.New(rand.NewPCG(7, 7))
		mean := 0.0
		const hands = 3
		for range hands {
			corners := clicksAt(truth, at, 0.85, random)
			s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: truth.PitchMM, Corners: corners})
			if err != nil {
				t.Fatal(err)
			}
			part, rms := covered(truth, s)
			t.Logf("%s clicks: rms %.2f mm, %.0f %% within the ±, which is %.2f mm in the middle of the hull", name, rms, 100*part, s.Fit.MedianInsideMM)
			mean += part / hands
			if a := s.Advice(); len(a) == 0 || !strings.Contains(a[0].Text, "No printed lines") {
				t.Errorf("%s clicks: advice %v", name, a)
			}
		}
		if mean < 0.9 {
			t.Errorf("%s clicks: %.0f %% of places within the ±, want 90", name, 100*mean)
		}
	}
}

// Clicks that cannot be are refused with one sentence naming the photograph.
func TestClicksRefused(t *testing.T) {
	spec := bareMat(9300, 1)
	p := shoot(t, spec)
	truth := spec.Truth()
	c, r := truth.Columns, truth.Rows
	random := rand.New(rand.NewPCG(1, 1))
	good := clicksAt(truth, [][2]int{{1, 1}, {c - 1, 1}, {c - 1, r - 1}, {1, r - 1}}, 0, random)
	with := func(change func([]rectify.Corner)) []rectify.Corner {
		cs := append([]rectify.Corner(nil), good...)
		change(cs)
		return cs
	}
	var fit *lens.FitError
	var count *rectify.CountError
	for name, tc := range map[string]struct {
		corners []rectify.Corner
		target  any
		says    string
	}{
		"three":           {good[:3], &fit, "at least four"},
		"one twice":       {with(func(cs []rectify.Corner) { cs[1] = cs[0] }), &fit, "both counted"},
		"not a number":    {with(func(cs []rectify.Corner) { cs[2].At.X = math.NaN() }), &fit, "no position"},
		"three on a line": {with(func(cs []rectify.Corner) { cs[2] = rectify.Corner{At: between(cs[0], cs[1]), Column: c / 2, Row: 1} }), &fit, "line"},
		"mirrored": {with(func(cs []rectify.Corner) {
			cs[0].At, cs[1].At, cs[2].At, cs[3].At = cs[1].At, cs[0].At, cs[3].At, cs[2].At
		}), &fit, "mirrored"},
		"columns and rows mixed up": {with(func(cs []rectify.Corner) {
			for k := range cs {
				cs[k].Column = map[bool]int{true: 1, false: r - 1}[cs[k].Column == 1]
				cs[k].Row = map[bool]int{true: 1, false: c - 1}[cs[k].Row == 1]
			}
		}), &count, "check the columns and rows"},
	} {
		_, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: truth.PitchMM, Corners: tc.corners})
		if err == nil || !errors.As(err, tc.target) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if text := err.Error(); !strings.Contains(text, tc.says) || !strings.Contains(text, p.Name) || strings.Contains(text, "\n") {
			t.Errorf("%s: %q", name, text)
		}
	}
}

func between(a, b rectify.Corner) photo.Point {
	return photo.Point{X: (a.At.X + b.At.X) / 2, Y: (a.At.Y + b.At.Y) / 2}
}

// A mat printed 0.4 % long and 0.2 % short: two spans measured with a rule
// give the true scale back, whether the lines are found or started from
// clicks 5 px off. Nothing but turn and shift is taken out of the error.
func TestScaleOfAStretchedMat(t *testing.T) {
	spec := scene.Random(9400, scene.RandomOptions{Megapixels: 4, StretchX: 1.004, StretchY: 0.998})
	p := shoot(t, spec)
	truth := spec.Truth()
	c, r := truth.Columns, truth.Rows
	printed, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: truth.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	rms, worst := scene.CameraError(truth, printed.Fit)
	t.Logf("taken as printed: sheet rms %.3f mm, worst %.3f mm", rms, worst)
	if worst < 0.3 {
		t.Errorf("the stretch hardly shows, worst %.3f mm: the test tests nothing", worst)
	}
	// The photograph may lie turned: the span across it is of columns or rows.
	x := rectify.Span{Squares: float64(c), LengthMM: math.Round(truth.PitchMM*1.004*float64(c)*10) / 10}
	y := rectify.Span{Squares: float64(r), LengthMM: math.Round(truth.PitchMM*0.998*float64(r)*10) / 10}
	across, down := x, y
	if turned(truth) {
		across, down = y, x
	}
	scale, err := rectify.ScaleFromSpans(truth.PitchMM, across, down)
	if err != nil {
		t.Fatal(err)
	}
	inPlace := scale
	if turned(truth) {
		inPlace = scale.Turned() // clicks are counted along the mat's own sides
	}
	clicks := clicksAt(truth, [][2]int{{2, 2}, {c - 2, 2}, {c - 2, r - 2}, {2, r - 2}}, 5/math.Sqrt2, rand.New(rand.NewPCG(3, 3)))
	for name, o := range map[string]rectify.Options{
		"lines found": {PitchMM: truth.PitchMM, Scale: scale},
		"clicks":      {PitchMM: truth.PitchMM, Scale: inPlace, Corners: clicks},
	} {
		s, err := rectify.SquareUp(context.Background(), p, o)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		rms, worst := scene.CameraError(truth, s.Fit)
		t.Logf("%s: sheet rms %.3f mm, worst %.3f mm", name, rms, worst)
		if rms > 0.06 || worst > 0.2 {
			t.Errorf("%s: sheet rms %.3f mm, worst %.3f mm; want at most 0.06 and 0.2", name, rms, worst)
		}
		if s.Scale.Source != rectify.FromRule {
			t.Errorf("%s: scale from %q", name, s.Scale.Source)
		}
		if s.PlusMinusMM(mat.Point{}) < s.Fit.PlusMinusMM(mat.Point{}) {
			t.Errorf("%s: the rule's own error is not in the ±", name)
		}
	}
}

// turned reports whether the mat's columns run across the photograph.
func turned(truth scene.Truth) bool {
	a := truth.Camera.ToPhoto(crossingMM(truth, 1, 1))
	b := truth.Camera.ToPhoto(crossingMM(truth, truth.Columns-1, 1))
	return math.Abs(b.Y-a.Y) > math.Abs(b.X-a.X)
}
