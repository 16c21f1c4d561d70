package scene

import (
	"math"
	"math/rand/v2"
)

// RandomOptions bound a random scene; zero values mean the full range. What a
// zero value leaves as it is does not change the scene that a seed draws.
type RandomOptions struct {
	// Megapixels of the photograph; 0 draws from 12, 16, 24 and 48.
	Megapixels float64
	// MaxTiltDeg is the largest tilt; 0 means 25. TiltDeg, when not nil, is the
	// tilt itself.
	MaxTiltDeg float64
	TiltDeg    *float64
	// AnyRoll turns the camera by any angle about its axis; otherwise it is
	// held square to the mat within 10 degrees.
	AnyRoll bool
	// MinFocal35MM and MaxFocal35MM bound the lens; 0 means 16 and 35.
	MinFocal35MM, MaxFocal35MM float64
	// CornerBend, when not nil, is by what part of its radius the lens shifts
	// the picture's corner by k1 alone (below 0 barrel); other terms stay small.
	CornerBend *float64
	// SidesOut is the number of the mat's sides, 1 to 3, that lie wholly out of
	// the frame; 0 draws as a maker would.
	SidesOut int
	// MaxPieces bounds the number of pieces; 0 means 16.
	MaxPieces int
	// Coverage is the part of the crossings in the frame, up to 0.75, that lie
	// under pieces: big sheets where it is large. They may run out of the
	// frame. 0 draws pieces as a maker lays them. They are spread over the mat
	// unless Packed, which leaves a part of it free and the rest all but
	// covered.
	Coverage float64
	Packed   bool
	// ThicknessMM makes every piece foam of this thickness; 0 means tape.
	ThicknessMM float64
	// MatColour picks one of MatColours by name; empty draws one.
	MatColour string
	// PitchMM is the distance of the mat's lines; 0 draws inches or
	// centimetres.
	PitchMM float64
	// MinorPerPitch is the number of divisions of a pitch, 8 for eighths of an
	// inch; 0 draws.
	MinorPerPitch int
	// LineContrast is the difference of the lines' printed grey level from the
	// mat's; 0 draws lines as mats have them.
	LineContrast float64
	// Isoluminant lines differ from the mat in colour, but hardly in grey
	// level: by LineContrast, or 4 where that is 0.
	Isoluminant bool
	// AllDiagonals prints every guide line there is.
	AllDiagonals bool
	// TiledFloor lays the mat on a floor of square tiles.
	TiledFloor bool
	// StretchX, StretchY and Bump are the mat's.
	StretchX, StretchY float64
	Bump               Bump
	// Noise is the sensor's in grey levels; 0 draws.
	Noise float64
}

func (o RandomOptions) filled(rng *rand.Rand) RandomOptions {
	sizes := []float64{12.2, 12.2, 16, 24, 48.8}
	drawn := sizes[rng.IntN(len(sizes))]
	if o.Megapixels <= 0 {
		o.Megapixels = drawn
	}
	if o.MaxTiltDeg <= 0 {
		o.MaxTiltDeg = 25
	}
	if o.MinFocal35MM <= 0 {
		o.MinFocal35MM = 16
	}
	if o.MaxFocal35MM <= 0 {
		o.MaxFocal35MM = max(35, o.MinFocal35MM)
	}
	if o.MaxPieces <= 0 {
		o.MaxPieces = 16
	}
	return o
}

// extra is a source of its own for what the options add, so that the scene's
// other draws stay what they are.
func (s *Spec) extra(what uint64) *rand.Rand { return rand.New(rand.NewPCG(s.Seed, what)) }

// printMat changes a drawn mat to the options.
func (o RandomOptions) printMat(s *Spec) {
	m := &s.Mat
	rng := s.extra(0x9717)
	if o.PitchMM > 0 && o.PitchMM != m.PitchMM {
		w, h := m.SizeMM()
		m.PitchMM = o.PitchMM
		m.Columns, m.Rows = max(int(math.Round(w/o.PitchMM)), 2), max(int(math.Round(h/o.PitchMM)), 2)
		m.HeavyEvery = 0
		m.lines(rng)
	}
	if o.MinorPerPitch > 0 {
		m.MinorPerPitch = o.MinorPerPitch
		m.MinorMM = min(m.MinorMM, 0.06*m.PitchMM/float64(o.MinorPerPitch)+0.03)
	}
	if o.Isoluminant {
		m.Line = isoluminant(m.Colour, orElse(o.LineContrast, 4))
	} else if o.LineContrast > 0 {
		m.Line = contrasting(m.Colour, m.Line, o.LineContrast)
	}
	m.StretchX, m.StretchY, m.Bump = o.StretchX, o.StretchY, o.Bump
	if o.TiledFloor {
		m.Table = tiledFloor
		m.Table.TileMM, m.Table.TileDeg = between(rng, 60, 200), between(rng, -45, 45)
	}
	if o.AllDiagonals {
		m.Diagonals = nil
		for _, deg := range guideAngles {
			m.Diagonals = append(m.Diagonals, m.guideLine(deg))
		}
	} else if len(m.Diagonals) > 0 && (o.PitchMM > 0 || o.StretchX > 0 || o.StretchY > 0) {
		m.Diagonals = guideLines(rng, m) // the mat has another size
	}
}

func orElse(v, other float64) float64 {
	if v > 0 {
		return v
	}
	return other
}

// finish changes what the options say about the picture as a whole.
func (o RandomOptions) finish(s *Spec) {
	if o.Noise > 0 {
		s.Sensor.Noise = o.Noise
	}
}

func (c Colour) luma() float64 { return 0.299*float64(c.R) + 0.587*float64(c.G) + 0.114*float64(c.B) }

// contrasting is a line's colour drawn nearer to the mat's, or further, until
// the grey levels differ by steps.
func contrasting(base, line Colour, steps float64) Colour {
	have := line.luma() - base.luma()
	if math.Abs(have) < 5 {
		line = Colour{255, 255, 255}
		have = line.luma() - base.luma()
	}
	k := steps / math.Abs(have)
	f := func(a, b uint8) uint8 {
		return uint8(min(max(math.Round(float64(a)+k*(float64(b)-float64(a))), 0), 255))
	}
	return Colour{f(base.R, line.R), f(base.G, line.G), f(base.B, line.B)}
}

// isoluminant is the colour furthest from the mat's, of a few strong ones,
// that is steps of grey lighter than it.
func isoluminant(base Colour, steps float64) Colour {
	want := base.luma() + steps
	best, far := base, -1
	for _, c := range []Colour{{230, 60, 50}, {60, 170, 70}, {60, 90, 220}, {210, 180, 40}, {200, 60, 190}, {40, 190, 200}} {
		c = ofLuma(c, want)
		dr, dg, db := int(c.R)-int(base.R), int(c.G)-int(base.G), int(c.B)-int(base.B)
		if d := dr*dr + dg*dg + db*db; d > far && math.Abs(c.luma()-want) < 1.5 {
			best, far = c, d
		}
	}
	return best
}

// ofLuma scales a colour to a grey level, adding white where a channel is
// full.
func ofLuma(c Colour, luma float64) Colour {
	k := luma / c.luma()
	full := float64(max(c.R, c.G, c.B)) * k
	white := 0.0
	if full > 255 { // mix in white: k c (1-w) + 255 w has the luma asked for
		k *= 255 / full
		have := c.luma() * k
		white = (luma - have) / (255 - have)
	}
	f := func(v uint8) uint8 {
		return uint8(min(max(math.Round(float64(v)*k*(1-white)+255*white), 0), 255))
	}
	return Colour{f(c.R), f(c.G), f(c.B)}
}
