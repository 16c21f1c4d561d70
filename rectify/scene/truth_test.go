package scene

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// plainScene has one piece with straight edges, no noise, no shadow, no
// sharpening: what is left is geometry and lens blur.
func plainScene() Spec {
	shape := begin(30, 28).line(93, 33).line(88, 70).line(26, 66).close()
	return Spec{
		Seed: 1, Width: 640, Height: 480, Name: "plain",
		Mat: Mat{
			PitchMM: 25.4, Columns: 5, Rows: 4, BorderMM: 10, Colour: Colour{0x2c, 0x69, 0x52},
			Line: Colour{0xf0, 0xf0, 0xf0}, MajorMM: 0.7, MinorMM: 0.3, MinorPerPitch: 1,
			Table: Table{Colour: Colour{0x80, 0x80, 0x80}},
		},
		Camera: Camera{
			FocalPx: 470, CentreX: 324, CentreY: 236, K1: -0.06, K2: 0.02, P1: 0.001, P2: -0.0007,
			TargetX: 63, TargetY: 50, DistanceMM: 150, TiltDeg: 19, AzimuthDeg: 130, RollDeg: 6,
		},
		Light:  Light{Level: 0.9, Red: 1, Blue: 1},
		Sensor: Sensor{BlurPx: 0.8, Quality: 90},
		Pieces: []Piece{{
			ID: "A", Outline: shape.points, Corners: shape.corners,
			Tape: Tape{Colour: Colour{0xe0, 0xd8, 0xc8}, StripMM: 500, Opacity: 1},
		}},
	}
}

// lightAt undoes the tone curve: green light at a position, by bilinear
// interpolation.
func lightAt(p *photo.Photo, at photo.Point) float64 {
	x, y := math.Floor(at.X), math.Floor(at.Y)
	u, v := at.X-x, at.Y-y
	g := func(i, j float64) float64 {
		e := float64(p.RGB[3*(int(y+j)*p.Width+int(x+i))+1]) / 255
		if e <= 0.04045 {
			return e / 12.92
		}
		return math.Pow((e+0.055)/1.055, 2.4)
	}
	return (g(0, 0)*(1-u)+g(1, 0)*u)*(1-v) + (g(0, 1)*(1-u)+g(1, 1)*u)*v
}

// acrossMM samples light along a line across an edge, from -far to far mm on
// the mat about the place where the truth says the edge is.
func acrossMM(p *photo.Photo, c Camera, at, normal mat.Point, farMM, stepMM float64) []float64 {
	v := c.View()
	var out []float64
	for s := -farMM; s <= farMM+1e-9; s += stepMM {
		out = append(out, lightAt(p, v.ToPhoto(add(at, scale(normal, s)))))
	}
	return out
}

func TestPieceEdgesLieWhereTheTruthSays(t *testing.T) {
	s := plainScene()
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	outline := s.Truth().Pieces[0].Outline
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		along := scale(sub(b, a), 1/dist(a, b))
		normal := mat.Point{X: along.Y, Y: -along.X}
		var sum float64
		n := 0
		for d := 6.0; d < dist(a, b)-6; d += 0.13 {
			at := add(a, scale(along, d))
			if nearLine(at, s.Mat.PitchMM, 3.2) {
				continue // a printed line disturbs the profile
			}
			sum += edgeOffset(acrossMM(p, s.Camera, at, normal, 2, 0.02), 2, 0.02)
			n++
		}
		if n < 50 {
			t.Fatalf("edge %d: only %d profiles", i, n)
		}
		off := sum / float64(n)
		t.Logf("edge %d %.4f (%d)", i, off, n)
		if math.Abs(off) > 0.01 {
			t.Errorf("edge %d is drawn %.4f mm outside its truth (%d profiles)", i, off, n)
		}
	}
}

func nearLine(p mat.Point, pitch, mm float64) bool {
	return math.Abs(offLine(p.X, pitch)) < mm || math.Abs(offLine(p.Y, pitch)) < mm
}

// edgeOffset is where a bright-to-dark step lies in a profile by its area:
// free of the blur's shape as long as that is even.
func edgeOffset(profile []float64, farMM, stepMM float64) float64 {
	n := len(profile)
	bright, dark := 0.0, 0.0
	const end = 20
	for i := range end {
		bright += profile[i] / end
		dark += profile[n-1-i] / end
	}
	area := 0.0
	for i := 1; i < n; i++ {
		area += stepMM * ((profile[i-1]+profile[i])/2 - dark)
	}
	return area/(bright-dark) - farMM
}

// halfLevel is the mean place, in mm out of the truth's first edge, where the
// reading passes half-way between piece and mat.
func halfLevel(s Spec, reading func(photo.Point) float64) float64 {
	outline := s.Truth().Pieces[0].Outline
	a, b := outline[0], outline[1]
	along := scale(sub(b, a), 1/dist(a, b))
	normal := mat.Point{X: along.Y, Y: -along.X}
	v := s.Camera.View()
	var sum float64
	n := 0
	for d := 6.0; d < dist(a, b)-6; d += 0.3 {
		at := add(a, scale(along, d))
		if nearLine(at, s.Mat.PitchMM, 3.2) {
			continue
		}
		value := func(t float64) float64 { return reading(v.ToPhoto(add(at, scale(normal, t)))) }
		half := (value(-1.6) + value(1.6)) / 2
		for t := -1.0; t < 1; t += 0.01 {
			if value(t) >= half && value(t+0.01) < half {
				sum, n = sum+t+0.005, n+1
				break
			}
		}
	}
	return sum / float64(n)
}

func TestWhereHalfLevelLies(t *testing.T) {
	// A sensor adds up light; sRGB values are bent. Half-way in light is the
	// edge, half-way in luminance lies a third of a pixel out of a bright piece
	// on a dark mat. With light mixed in sRGB values it is the other way round.
	for _, encoded := range []bool{false, true} {
		s := plainScene()
		s.Sensor.EncodedLight = encoded
		p, err := Render(context.Background(), s)
		if err != nil {
			t.Fatal(err)
		}
		perPx := s.Camera.DistanceMM / s.Camera.FocalPx
		light := halfLevel(s, func(q photo.Point) float64 { return lightAt(p, q) }) / perPx
		luma := halfLevel(s, p.LumaAt) / perPx
		t.Logf("light mixed in sRGB %v: half light %+.3f px out, half luminance %+.3f px out", encoded, light, luma)
		right, bent := light, luma
		if encoded {
			right, bent = luma, -light
		}
		if math.Abs(right) > 0.1 || bent < 0.12 || bent > 0.6 {
			t.Errorf("light mixed in sRGB %v: half light %+.3f px, half luminance %+.3f px", encoded, light, luma)
		}
	}
}

func TestMatLinesLieWhereTheTruthSays(t *testing.T) {
	s := plainScene()
	s.Pieces = nil
	p, err := Render(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	check := func(name string, at func(d float64) mat.Point, normal mat.Point, long float64) {
		var sum, weight float64
		for d := 4.0; d < long-4; d += 0.17 {
			if math.Abs(offLine(d, s.Mat.PitchMM)) < 3 {
				continue
			}
			profile := acrossMM(p, s.Camera, at(d), normal, 2, 0.02)
			floor := (profile[0] + profile[len(profile)-1]) / 2
			for i, v := range profile {
				sum += (v - floor) * (-2 + 0.02*float64(i))
				weight += v - floor
			}
		}
		off := sum / weight
		t.Logf("%s %.4f", name, off)
		if math.Abs(off) > 0.01 {
			t.Errorf("%s is drawn %.4f mm off", name, off)
		}
	}
	w, h := s.Mat.SizeMM()
	for i := range s.Mat.Columns + 1 {
		x := float64(i) * s.Mat.PitchMM
		check(fmt.Sprintf("column %d", i), func(d float64) mat.Point { return mat.Point{X: x, Y: d} }, mat.Point{X: 1}, h)
	}
	for i := range s.Mat.Rows + 1 {
		y := float64(i) * s.Mat.PitchMM
		check(fmt.Sprintf("row %d", i), func(d float64) mat.Point { return mat.Point{X: d, Y: y} }, mat.Point{Y: 1}, w)
	}
}

func TestTruthIsClockwiseAndComesBackFromJSON(t *testing.T) {
	truth := Demo().Truth()
	var buf bytes.Buffer
	if err := truth.WriteJSON(&buf); err != nil {
		t.Fatal(err)
	}
	back, err := ReadTruth(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if back.PitchMM != truth.PitchMM || back.Camera != truth.Camera || len(back.Pieces) != len(truth.Pieces) {
		t.Fatal("the head of the truth changed on its way through JSON")
	}
	for i, p := range back.Pieces {
		if signedArea(p.Outline) <= 0 {
			t.Errorf("piece %s runs the wrong way round", p.ID)
		}
		for _, o := range p.Openings {
			if signedArea(o) >= 0 {
				t.Errorf("an opening of piece %s runs the wrong way round", p.ID)
			}
		}
		for k, q := range p.Outline {
			if dist(q, truth.Pieces[i].Outline[k]) > 1e-4 {
				t.Fatalf("piece %s moved by %v mm", p.ID, dist(q, truth.Pieces[i].Outline[k]))
			}
		}
	}
	if _, err := ReadTruth(bytes.NewReader([]byte("{"))); err == nil {
		t.Error("half a file was read as truth")
	}
}
