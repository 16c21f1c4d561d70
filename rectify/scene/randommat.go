package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// MatColours are the five colours of mats, with the lines printed on them.
var MatColours = []struct {
	Name  string
	Base  Colour
	Lines []Colour
}{
	{"green", Colour{0x2c, 0x69, 0x52}, []Colour{{0xe9, 0xe2, 0xb8}, {0xf2, 0xf2, 0xec}, {0xe0, 0xd0, 0x55}}},
	{"blue", Colour{0x27, 0x48, 0x82}, []Colour{{0xee, 0xf0, 0xf2}, {0xe8, 0xe2, 0xc4}, {0xa9, 0xb8, 0xd0}}},
	{"black", Colour{0x2a, 0x2c, 0x2f}, []Colour{{0xe6, 0xe6, 0xe4}, {0xd9, 0xc2, 0x4a}, {0x9a, 0x9e, 0xa2}}},
	{"grey", Colour{0x80, 0x86, 0x89}, []Colour{{0x26, 0x27, 0x29}, {0xf0, 0xf0, 0xee}, {0x3c, 0x42, 0x48}}},
	{"pink", Colour{0xd0, 0x82, 0x9c}, []Colour{{0xf6, 0xf0, 0xf0}, {0x4a, 0x2c, 0x38}, {0xfa, 0xee, 0xdc}}},
}

// matSizes are common mats, inches and centimetres.
var matSizes = []struct {
	pitchMM       float64
	columns, rows int
}{
	{25.4, 18, 12},
	{25.4, 24, 18},
	{25.4, 36, 24},
	{10, 45, 30},
	{10, 60, 45},
	{10, 90, 60},
}

// randomMat is a mat of a size that gives 0.15 to 0.4 mm a pixel when it
// fills a frame of widthPx, or the nearest to that.
func randomMat(rng *rand.Rand, o RandomOptions, widthPx int) Mat {
	var m Mat
	best := math.Inf(1)
	for _, i := range rng.Perm(len(matSizes)) {
		size := matSizes[i]
		perPx := size.pitchMM * float64(size.columns) / (0.9 * float64(widthPx))
		if miss := max(0.15-perPx, perPx-0.4, 0); miss < best {
			best = miss
			m.PitchMM, m.Columns, m.Rows = size.pitchMM, size.columns, size.rows
		}
	}
	k := rng.IntN(len(MatColours))
	for i, c := range MatColours {
		if c.Name == o.MatColour {
			k = i
		}
	}
	c := MatColours[k]
	m.Colour = shaded(rng, c.Base)
	m.Line = c.Lines[rng.IntN(len(c.Lines))]
	m.BorderMM = between(rng, 9, 20)
	m.Numbers, m.Wear, m.Scars = rng.IntN(5) > 0, between(rng, 0, 0.7), rng.IntN(90)
	m.lines(rng)
	if rng.IntN(3) > 0 {
		m.Diagonals = guideLines(rng, &m)
	}
	m.Table = randomTable(rng)
	return m
}

// lines chooses line widths and divisions fitting the pitch.
func (m *Mat) lines(rng *rand.Rand) {
	m.MinorMM = between(rng, 0.18, 0.3)
	if m.PitchMM > 20 {
		m.MajorMM = between(rng, 0.45, 0.9)
		m.MinorPerPitch = []int{1, 2, 2, 4}[rng.IntN(4)]
		m.TicksPerPitch = []int{0, 8, 8, 16}[rng.IntN(4)]
		return
	}
	m.MajorMM = between(rng, 0.3, 0.5)
	m.MinorPerPitch = []int{1, 1, 1, 2}[rng.IntN(4)]
	m.TicksPerPitch = []int{0, 10, 10, 2}[rng.IntN(4)]
	if rng.IntN(2) == 0 {
		m.HeavyEvery, m.HeavyMM = []int{5, 10}[rng.IntN(2)], m.MajorMM*between(rng, 1.4, 2)
	}
}

// guideLines are diagonals at 45 and 60 degrees from crossings.
func guideLines(rng *rand.Rand, m *Mat) []Diagonal {
	var out []Diagonal
	for _, deg := range guideAngles {
		if rng.IntN(2) == 0 {
			out = append(out, m.guideLine(deg))
		}
	}
	return out
}

// guideAngles are those of the guide lines printed on mats.
var guideAngles = []float64{-45, -60, -30, -135, -120}

// guideLine runs from a lower corner of the grid at an angle.
func (m *Mat) guideLine(deg float64) Diagonal {
	w, h := m.SizeMM()
	d := turn(deg).apply(mat.Point{X: 1})
	t := min(w/math.Abs(d.X), h/math.Abs(d.Y))
	from := mat.Point{X: 0, Y: h}
	if d.X < 0 {
		from.X = w
	}
	return Diagonal{from, add(from, scale(d, t)), m.MinorMM * 1.2}
}

// randomTable is a worktop: white, wood, dark or card.
func randomTable(rng *rand.Rand) Table {
	tops := []Table{
		{Colour: Colour{0xb9, 0x93, 0x68}, Grain: 1},
		{Colour: Colour{0x7a, 0x57, 0x3c}, Grain: 0.9},
		{Colour: Colour{0xd6, 0xd3, 0xcc}, Grain: 0},
		{Colour: Colour{0x4a, 0x4a, 0x4c}, Grain: 0},
		{Colour: Colour{0xc9, 0xb5, 0x92}, Grain: 0.5},
	}
	return tops[rng.IntN(len(tops))]
}

// shaded is a colour made a little lighter or darker.
func shaded(rng *rand.Rand, c Colour) Colour {
	k := between(rng, 0.88, 1.1)
	f := func(v uint8) uint8 { return uint8(min(255, float64(v)*k)) }
	return Colour{f(c.R), f(c.G), f(c.B)}
}
