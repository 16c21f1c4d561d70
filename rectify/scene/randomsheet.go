package scene

import (
	"fmt"
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// RandomSheet is a scene drawn by a seed without a mat: a plain sheet on a
// table, pieces on it and beside it (and, now and then, across its edge), its
// four corners free and in the frame. Of the options those of the mat have no meaning here.
func RandomSheet(seed uint64, sheet Sheet, o RandomOptions) Spec {
	rng := rand.New(rand.NewPCG(seed, 0x54ee7))
	o = o.filled(rng)
	s := Spec{Seed: seed, Name: fmt.Sprintf("sheet-%d.jpg", seed), Kind: PlainSheet, Sheet: sheet}
	turned := s.size(rng, o)
	// The camera and the layout are given the stretch of table that the
	// photograph is of as if it were a mat.
	long, short := max(sheet.WidthMM, sheet.HeightMM), min(sheet.WidthMM, sheet.HeightMM)
	w, h := max(long*between(rng, 1.3, 1.6), short*2.2), long*between(rng, 1.12, 1.3)
	s.Mat = Mat{PitchMM: 10, Columns: int(w / 10), Rows: int(h / 10), BorderMM: 5, Table: randomTableUnderSheet(rng)}
	s.Mat.Colour = s.Mat.Table.Colour
	s.laySheet(rng)
	o.SidesOut = 0
	s.Camera = randomCamera(rng, o, &s, turned)
	corners := s.Sheet.Corners()
	for !s.visible(s.Camera.View(), corners[:], 0, 0.01*float64(s.Width)) {
		s.Camera.DistanceMM *= 1.03
	}
	s.Sensor = randomSensor(rng, s.Camera, s.Width, s.Height)
	s.Light = randomLight(rng, &s)
	s.Pieces = sheetPieces(rng, &s, o, min(5+rng.IntN(8), o.MaxPieces))
	s.Mat = Mat{Table: s.Mat.Table}
	o.finish(&s)
	return s
}

// size draws the photograph's size; true when it is upright.
func (s *Spec) size(rng *rand.Rand, o RandomOptions) bool {
	s.Width = 8 * int(math.Round(math.Sqrt(o.Megapixels*1e6*4/3)/8))
	s.Height = 8 * int(math.Round(float64(s.Width)*0.75/8))
	turned := rng.IntN(4) == 0
	if turned {
		s.Width, s.Height = s.Height, s.Width
	}
	return turned
}

// laySheet puts the sheet to the left or right on the stretch of table, lying
// or standing, a little turned.
func (s *Spec) laySheet(rng *rand.Rand) {
	w, h := s.Mat.SizeMM()
	sh := &s.Sheet
	sh.AngleDeg = clipped(rng, 4, 9)
	wide, high := sh.WidthMM, sh.HeightMM
	if wide > high { // stood up
		sh.AngleDeg += 90
		wide, high = high, wide
	}
	centre := mat.Point{X: wide*0.5 + 0.06*w, Y: h / 2}
	if rng.IntN(2) == 0 {
		centre.X = w - centre.X
	}
	centre = add(centre, mat.Point{X: w * between(rng, 0, 0.02), Y: h * between(rng, -0.01, 0.01)})
	half := turn(sh.AngleDeg).apply(mat.Point{X: sh.WidthMM / 2, Y: sh.HeightMM / 2})
	sh.At = sub(centre, half)
}

// randomTableUnderSheet is a table that a white sheet stands out from.
func randomTableUnderSheet(rng *rand.Rand) Table {
	tops := []Table{
		{Colour: Colour{0xb9, 0x93, 0x68}, Grain: 1},
		{Colour: Colour{0x7a, 0x57, 0x3c}, Grain: 0.9},
		{Colour: Colour{0x4a, 0x4a, 0x4c}},
		{Colour: Colour{0x3c, 0x55, 0x49}},
		tiledFloor,
	}
	return tops[rng.IntN(len(tops))]
}

// tiledFloor has joints that look like a lattice themselves.
var tiledFloor = Table{Colour: Colour{0xa8, 0x8d, 0x78}, TileMM: 150, GroutMM: 4, TileDeg: 17, Grout: Colour{0x5a, 0x55, 0x50}}

// sheetPieces lays pieces on the sheet and beside it by turns, every fourth
// where it likes.
func sheetPieces(rng *rand.Rand, s *Spec, o RandomOptions, n int) []Piece {
	l := newLayout(rng, s)
	l.thicknessMM = o.ThicknessMM
	ring := s.Sheet.Corners()
	for _, c := range ring {
		l.take(aroundPoint(c, 14)) // corners stay free
	}
	size := 0.42 * min(s.Sheet.WidthMM, s.Sheet.HeightMM)
	var out []Piece
	for tries := 0; len(out) < n && tries < 14*n; tries++ {
		if tries%(3*n) == 3*n-1 {
			size *= 0.85
		}
		want := len(out)
		l.only = func(piece []mat.Point) bool {
			switch want % 4 {
			case 0, 2:
				return within(piece, ring[:])
			case 1:
				return minGap(resample(ring[:], 3), piece, 6) >= 5
			}
			return true
		}
		c, ok := l.place(l.shape(size * between(rng, 0.7, 1.3)))
		if !ok {
			continue
		}
		l.take(c.points)
		p := randomPiece(rng, s, len(out), c, tapeNames[rng.IntN(len(tapeNames))])
		p.Tape.Colour = tellApart(rng, p.Tape.Colour, s.Sheet.Colour, s.Mat.Table.Colour)
		out = append(out, p)
	}
	thicken(out, s, o.ThicknessMM)
	return out
}

// within reports whether a ring lies in another, 5 mm clear of its edge.
func within(inner, outer []mat.Point) bool {
	for _, p := range inner {
		if !contains(outer, p) || dist(p, nearestOnRing(outer, p)) < 5 {
			return false
		}
	}
	return true
}

func aroundPoint(c mat.Point, half float64) []mat.Point {
	return []mat.Point{
		{X: c.X - half, Y: c.Y - half},
		{X: c.X + half, Y: c.Y - half},
		{X: c.X + half, Y: c.Y + half},
		{X: c.X - half, Y: c.Y + half},
	}
}

// tellApart is a tape's colour if a person can tell it from both grounds, else
// another tape's.
func tellApart(rng *rand.Rand, c, a, b Colour) Colour {
	for range 40 {
		if farApart(c, a) && farApart(c, b) {
			return c
		}
		c = shaded(rng, tapes[tapeNames[rng.IntN(len(tapeNames))]].Colour)
	}
	return Colour{0x52, 0x95, 0xcc}
}

func farApart(a, b Colour) bool {
	dr, dg, db := int(a.R)-int(b.R), int(a.G)-int(b.G), int(a.B)-int(b.B)
	return dr*dr+dg*dg+db*db > 80*80
}
