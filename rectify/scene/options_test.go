package scene

import (
	"math"
	"testing"

	"flatwright/rectify/mat"
)

func value(v float64) *float64 { return &v }

func TestOptionsOfTheMat(t *testing.T) {
	for seed := range uint64(5) {
		name := MatColours[seed].Name
		low := Random(seed, RandomOptions{Megapixels: 3, MaxPieces: 1, MatColour: name, LineContrast: 12}).Mat
		if d := math.Abs(low.Line.luma() - low.Colour.luma()); math.Abs(d-12) > 1.5 {
			t.Errorf("%s: asked for 12 grey levels, got %.1f", name, d)
		}
		iso := Random(seed, RandomOptions{Megapixels: 3, MaxPieces: 1, MatColour: name, Isoluminant: true}).Mat
		d, c := math.Abs(iso.Line.luma()-iso.Colour.luma()), colourDistance(iso.Line, iso.Colour)
		if d > 6 || c < 35 {
			t.Errorf("%s: lines %v on %v differ by %.1f grey levels and %.0f steps of colour", name, iso.Line, iso.Colour, d, c)
		}
		m := Random(seed, RandomOptions{
			Megapixels: 3, MaxPieces: 1, PitchMM: 25.4, MinorPerPitch: 8, AllDiagonals: true, TiledFloor: true,
			StretchX: 1.01, StretchY: 0.99,
		}).Mat
		if m.PitchMM != 25.4 || m.MinorPerPitch != 8 || m.MinorMM > 0.25 || len(m.Diagonals) != len(guideAngles) ||
			m.Table.TileMM < 60 || m.StretchX != 1.01 || m.StretchY != 0.99 {
			t.Errorf("seed %d: the mat is %+v", seed, m)
		}
		if half := Random(seed, RandomOptions{Megapixels: 3, MaxPieces: 1, PitchMM: 12.7}).Mat; half.PitchMM != 12.7 || half.Columns < 20 {
			t.Errorf("seed %d: asked for half inches, got %d columns of %g mm", seed, half.Columns, half.PitchMM)
		}
	}
}

func TestOptionsOfTheCamera(t *testing.T) {
	rolls := 0
	for seed := range uint64(8) {
		s := Random(seed, RandomOptions{
			Megapixels: 3, MaxPieces: 1, TiltDeg: value(0), AnyRoll: true, CornerBend: value(-0.1), Noise: 4,
			MinFocal35MM: 24, MaxFocal35MM: 24,
		})
		c := s.Camera
		r := math.Hypot(float64(s.Width), float64(s.Height)) / 2 / c.FocalPx
		if c.TiltDeg != 0 || math.Abs(c.K1*r*r+0.1) > 1e-12 || s.Sensor.Noise != 4 {
			t.Errorf("seed %d: tilt %g, bend %g, noise %g", seed, c.TiltDeg, c.K1*r*r, s.Sensor.Noise)
		}
		if off := math.Abs(offLine(c.RollDeg, 90)); off > 12 {
			rolls++
		}
		if fullness(c, &s) > 1.2 {
			t.Errorf("seed %d: the mat reaches %.2f of the way to the frame", seed, fullness(c, &s))
		}
	}
	if rolls < 3 {
		t.Errorf("%d of 8 cameras are turned by more than 12 degrees", rolls)
	}
}

func TestCoverage(t *testing.T) {
	for _, want := range []float64{0.1, 0.4, 0.7} {
		for seed := range uint64(5) {
			s := Random(seed, RandomOptions{Megapixels: 3, MaxPieces: 1, Coverage: want, Packed: seed%2 == 0})
			if got := s.HiddenPart(); math.Abs(got-want) > 0.05 {
				t.Errorf("seed %d: asked for %.0f %% hidden, got %.1f", seed, 100*want, 100*got)
			}
			for i := range s.Pieces {
				for j := range i {
					if g := minGap(resample(s.Pieces[i].Outline, 5), resample(s.Pieces[j].Outline, 5), 10); g < 1 {
						t.Errorf("seed %d: pieces %d and %d are %.2f mm apart", seed, j, i, g)
					}
				}
			}
		}
	}
}

func TestSidesOut(t *testing.T) {
	for n := 1; n <= 3; n++ {
		for seed := range uint64(6) {
			s := Random(seed, RandomOptions{Megapixels: 3, MaxPieces: 1, SidesOut: n})
			if got := sidesOut(s.Camera, &s); got != n {
				t.Errorf("seed %d: %d sides are out, want %d", seed, got, n)
			}
			if part := float64(len(s.crossingsSeen())) / float64((s.Mat.Columns+1)*(s.Mat.Rows+1)); part < 0.4 {
				t.Errorf("seed %d: with %d sides out only %.0f %% of the crossings are in the frame", seed, n, 100*part)
			}
		}
	}
}

func TestTiledFloor(t *testing.T) {
	s := Spec{Mat: Mat{Table: Table{Colour: Colour{200, 180, 160}, TileMM: 100, GroutMM: 4, TileDeg: 30, Grout: Colour{40, 40, 40}}}}
	top := newTableTop(&s)
	dark := 0
	const n = 4000
	for i := range n {
		p := turn(30).apply(mat.Point{X: float64(i) * 0.25})
		if luma601(top.colour(spot{p.X, p.Y, 0.2})[0], 0, 0) < 0.1*luma601(1, 0, 0) {
			dark++
		}
	}
	// Along one direction of the tiles a twenty-fifth is joint.
	if part := float64(dark) / n; math.Abs(part-0.04) > 0.005 {
		t.Errorf("%.1f %% of the way over the tiles is joint, want 4", 100*part)
	}
}
