package scene

import (
	"bytes"
	"context"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// clean takes noise, shadows and slopes of light out of a scene, so that
// places can be measured in its picture.
func clean(s Spec) Spec {
	s.Light = Light{Level: 0.8, Red: 1, Blue: 1}
	s.Sensor = Sensor{BlurPx: 0.7, Quality: 90}
	return s
}

func mustDraw(t *testing.T, s Spec) *photo.Photo {
	t.Helper()
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestSheetLiesWhereTheTruthSays(t *testing.T) {
	s := RandomSheet(4, SheetLetter, RandomOptions{Megapixels: 0.6})
	truth := s.Truth().Sheet
	if truth == nil || truth.WidthMM != 215.9 || truth.HeightMM != 279.4 {
		t.Fatalf("the truth's sheet is %+v", truth)
	}
	for i, c := range truth.CornersMM {
		next := truth.CornersMM[(i+1)%4]
		if want := []float64{215.9, 279.4}[i%2]; math.Abs(dist(c, next)-want) > 1e-9 {
			t.Errorf("side %d is %.3f mm long", i, dist(c, next))
		}
		got, want := truth.CornersPx[i], projected(s.Camera, c, 0)
		if math.Hypot(got.X-want.X, got.Y-want.Y) > 1e-7 || !inFrame(got, s.Width, s.Height, 5) {
			t.Errorf("corner %d is said to be at %v, is seen at %v", i, got, want)
		}
	}
	if signedArea(truth.CornersMM[:]) <= 0 {
		t.Error("the corners run the wrong way round")
	}
	bare := clean(s)
	bare.Pieces = nil
	bare.Mat.Table.Grain, bare.Mat.Table.TileMM = 0, 0
	p := mustDraw(t, bare)
	for i, c := range truth.CornersMM {
		off := edgeOffMM(p, &bare, [2]mat.Point{c, truth.CornersMM[(i+1)%4]}, 0, 2)
		if math.Abs(off) > 0.02 {
			t.Errorf("side %d is drawn %.4f mm outside its truth", i, off)
		}
	}
}

func TestSheetScenesHavePiecesOnAndBeside(t *testing.T) {
	for seed := range uint64(9) {
		s := RandomSheet(seed, []Sheet{SheetA4, SheetLetter, SheetA3}[seed%3], RandomOptions{Megapixels: 0.5})
		if err := s.check(); err != nil {
			t.Fatal(err)
		}
		ring := s.Sheet.Corners()
		on, beside := 0, 0
		for _, p := range s.Pieces {
			in := 0
			for _, q := range p.Outline {
				if contains(ring[:], q) {
					in++
				}
			}
			switch in {
			case len(p.Outline):
				on++
			case 0:
				beside++
			}
			for _, c := range ring {
				if !inFrame(s.Camera.ToPhoto(c), s.Width, s.Height, 4) {
					t.Errorf("scene %d: a corner of the sheet is out of the frame", seed)
				}
				if contains(p.Outline, c) {
					t.Errorf("scene %d: piece %s hides a corner of the sheet", seed, p.ID)
				}
			}
			if colourDistance(p.Tape.Colour, s.Sheet.Colour) < 60 || colourDistance(p.Tape.Colour, s.Mat.Table.Colour) < 60 {
				t.Errorf("scene %d: piece %s cannot be told from what it lies on", seed, p.ID)
			}
		}
		if on < 1 || beside < 1 || len(s.Pieces) < 4 {
			t.Errorf("scene %d has %d pieces on the sheet and %d beside it", seed, on, beside)
		}
		truth := s.Truth()
		if rms, _ := CameraError(truth, s.Camera); rms > 1e-9 {
			t.Errorf("scene %d: the true camera is %g mm wrong", seed, rms)
		}
		if rms, _ := CameraError(truth, shifted{s.Camera, motion{cos: 1}, 1.01}); rms < 0.5 {
			t.Errorf("scene %d: a camera 1 %% wrong is only %g mm wrong", seed, rms)
		}
	}
}

func TestCameraErrorsAgainstTheLines(t *testing.T) {
	truth := plainScene().Truth()
	worst := func(m Mapping) (rigid, lines float64) {
		for _, e := range CameraErrors(truth, m) {
			rigid = max(rigid, math.Hypot(e.OffMM.X, e.OffMM.Y))
			lines = max(lines, math.Hypot(e.OffLinesMM.X, e.OffLinesMM.Y))
		}
		return rigid, lines
	}
	// Whole pitches and quarter turns are no error, 0.3 mm is one of the lines.
	if r, l := worst(shifted{truth.Camera, motion{sin: 1, dx: 3 * 25.4, dy: -25.4}, 1}); r > 1e-8 || l > 1e-8 {
		t.Errorf("another origin counts as %g and %g mm", r, l)
	}
	if r, l := worst(shifted{truth.Camera, motion{sin: 1, dx: 0.3}, 1}); r > 1e-8 || math.Abs(l-0.3) > 1e-8 {
		t.Errorf("0.3 mm beside the lines count as %g and %g mm", r, l)
	}
}

// raised is the true camera over the plane that lies high above the mat, by
// the rule that a point z up hides the mat at C + (X - C) / (1 - z / C_z).
type raised struct {
	Camera
	highMM float64
}

func (r raised) ToMat(p photo.Point) (mat.Point, bool) {
	m, ok := r.Camera.ToMat(p)
	foot := r.FootMM()
	return add(foot, scale(sub(m, foot), 1-r.highMM/r.HeightMM())), ok
}

func TestCameraErrorsOfAPlaneAboveTheMat(t *testing.T) {
	truth := plainScene().Truth()
	worst := func(m Mapping) (off float64) {
		for _, e := range CameraErrorsAt(truth, m, 10) {
			off = max(off, math.Hypot(e.OffLinesMM.X, e.OffLinesMM.Y))
		}
		return off
	}
	if off := worst(raised{truth.Camera, 10}); off > 1e-8 {
		t.Errorf("the true camera over the plane is %g mm wrong", off)
	}
	if off := worst(truth.Camera); off < 3 {
		t.Errorf("10 mm of height left out of account cost only %g mm", off)
	}
}

// lineOffMM is how far from its place a line through at, in a direction, is
// drawn: the centroid of the light it adds, over many profiles that are
// mapped to the photograph by seen.
func lineOffMM(p *photo.Photo, seen func(mat.Point) photo.Point, from, to mat.Point, skip func(mat.Point) bool) float64 {
	u := scale(sub(to, from), 1/dist(from, to))
	normal := mat.Point{X: -u.Y, Y: u.X}
	var sum, weight float64
	for d := 4.0; d < dist(from, to)-4; d += 0.41 {
		at := add(from, scale(u, d))
		if skip(at) {
			continue
		}
		var profile []float64
		const step = 0.05
		for q := -2.0; q < 2.001; q += step {
			profile = append(profile, lightAt(p, seen(add(at, scale(normal, q)))))
		}
		n := len(profile)
		for i, v := range profile {
			floor := profile[0] + (profile[n-1]-profile[0])*float64(i)/float64(n-1)
			sum += (v - floor) * (-2 + step*float64(i))
			weight += v - floor
		}
	}
	return sum / weight
}

func TestStretchedPrint(t *testing.T) {
	s := plainScene()
	s.Pieces = nil
	s.Mat.StretchX, s.Mat.StretchY = 1.012, 0.985
	p := mustDraw(t, s)
	w, h := 25.4*1.012*5, 25.4*0.985*4
	for i := range 6 {
		x := 25.4 * 1.012 * float64(i)
		off := lineOffMM(p, s.Camera.View().ToPhoto, mat.Point{X: x}, mat.Point{X: x, Y: h},
			func(m mat.Point) bool { return math.Abs(offLine(m.Y, 25.4*0.985)) < 3 })
		if math.Abs(off) > 0.012 {
			t.Errorf("column %d is drawn %.4f mm off", i, off)
		}
	}
	for i := range 5 {
		y := 25.4 * 0.985 * float64(i)
		off := lineOffMM(p, s.Camera.View().ToPhoto, mat.Point{Y: y}, mat.Point{X: w, Y: y},
			func(m mat.Point) bool { return math.Abs(offLine(m.X, 25.4*1.012)) < 3 })
		if math.Abs(off) > 0.012 {
			t.Errorf("row %d is drawn %.4f mm off", i, off)
		}
	}
	truth := s.Truth()
	if truth.PitchMM != 25.4 || truth.StretchX != 1.012 || truth.StretchY != 0.985 {
		t.Errorf("the truth says %g by %g, %g", truth.PitchMM, truth.StretchX, truth.StretchY)
	}
}

func TestBentMat(t *testing.T) {
	for name, b := range map[string]Bump{
		"swell": {At: mat.Point{X: 66, Y: 48}, AmplitudeMM: 6, RadiusMM: 45},
		"ridge": {At: mat.Point{X: 66, Y: 48}, AmplitudeMM: -4, RadiusMM: 35, Ridge: true, AngleDeg: 70},
	} {
		s := plainScene()
		s.Pieces, s.Mat.Bump = nil, b
		p := mustDraw(t, s)
		// By hand: a point of the print, z up, is seen where the pinhole puts it.
		seen := func(m mat.Point) photo.Point { return projected(s.Camera, m, b.HeightMM(m)) }
		moved := 0.0
		for i := 1; i < 5; i++ {
			x := 25.4 * float64(i)
			skip := func(m mat.Point) bool { return nearLine(mat.Point{X: 12, Y: m.Y}, 25.4, 3) }
			from, to := mat.Point{X: x, Y: 2}, mat.Point{X: x, Y: 99}
			if off := lineOffMM(p, seen, from, to, skip); math.Abs(off) > 0.012 {
				t.Errorf("%s: column %d is drawn %.4f mm off", name, i, off)
			}
			moved = max(moved, math.Abs(lineOffMM(p, s.Camera.View().ToPhoto, from, to, skip)))
		}
		if moved < 0.1 {
			t.Errorf("%s: no line is seen elsewhere than on a flat mat", name)
		}
	}
	s := plainScene()
	s.Mat.Bump = Bump{AmplitudeMM: 30, RadiusMM: 20}
	if _, err := Render(context.Background(), s); err == nil {
		t.Error("a bump steeper than any mat was drawn")
	}
	s = slabScene()
	s.Mat.Bump = Bump{AmplitudeMM: 2, RadiusMM: 40}
	if _, err := Render(context.Background(), s); err == nil {
		t.Error("a thick piece was drawn on a bent mat")
	}
}

func TestBumpHeight(t *testing.T) {
	b := Bump{At: mat.Point{X: 10, Y: 20}, AmplitudeMM: 8, RadiusMM: 40}
	for _, tc := range []struct{ x, want float64 }{{10, 8}, {30, 4}, {50, 0}, {90, 0}} {
		if got := b.HeightMM(mat.Point{X: tc.x, Y: 20}); math.Abs(got-tc.want) > 1e-12 {
			t.Errorf("at x %g the bump is %g mm high, want %g", tc.x, got, tc.want)
		}
	}
}

func TestGroundComesBackFromJSON(t *testing.T) {
	s := RandomSheet(3, SheetA4, RandomOptions{Megapixels: 0.5})
	s.Mat.Bump = Bump{AmplitudeMM: 2, RadiusMM: 40}
	truth := s.Truth()
	var buf bytes.Buffer
	if err := truth.WriteJSON(&buf); err != nil {
		t.Fatal(err)
	}
	back, err := ReadTruth(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if *back.Sheet != *truth.Sheet || *back.Bump != *truth.Bump {
		t.Errorf("%+v and %+v came back", back.Sheet, back.Bump)
	}
	for _, bad := range []func(*Spec){
		func(s *Spec) { s.Sheet.WidthMM = 0 },
		func(s *Spec) { s.Kind = "carpet" },
		func(s *Spec) { s.Kind, s.Mat = GriddedMat, Mat{PitchMM: 10, Columns: 2, Rows: 2, StretchX: -1} },
	} {
		s := s
		bad(&s)
		if s.check() == nil {
			t.Error("a scene that cannot be drawn was let through")
		}
	}
}
