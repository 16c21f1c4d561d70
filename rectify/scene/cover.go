package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// coverPieces lays pieces that hide a given part of the crossings in the
// frame. The mat is cut into cells, a piece to each: big sheets, pale or dark,
// where much is to be hidden. Spread out, all are of one size against their
// cells; packed, they fill one cell after the other until enough is hidden.
func coverPieces(s *Spec, o RandomOptions) []Piece {
	rng := s.extra(0xc0fe)
	want := min(o.Coverage, 0.75)
	cells := cellsOf(rng, s, 5+rng.IntN(6))
	rng.Shuffle(len(cells), func(i, j int) { cells[i], cells[j] = cells[j], cells[i] })
	for i := range cells {
		cells[i].drawShape(rng, want)
	}
	crossings := s.crossingsSeen()
	var shapes []cut
	if o.Packed {
		shapes = packed(cells, want, crossings)
	} else {
		shapes = spread(cells, want, crossings)
	}
	name := tapeNames[rng.IntN(len(tapeNames))]
	var out []Piece
	for _, c := range shapes {
		p := randomPiece(rng, s, len(out), c, name)
		if want >= sheetsFrom {
			p.Tape = cardOf(standOut(shaded(rng, tones[rng.IntN(len(tones))]), s.Mat.Colour))
		}
		out = append(out, p)
	}
	thicken(out, s, o.ThicknessMM)
	return out
}

// packed fills cells until enough crossings are hidden; the last piece is cut
// down to what is missing.
func packed(cells []cell, want float64, crossings []mat.Point) []cut {
	var out []cut
	missing := want * float64(len(crossings))
	for _, c := range cells {
		if missing < 0.5 {
			break
		}
		best, hides := cut{}, 0
		for k := 1.0; k > 0.25; k -= 0.05 {
			shape := c.fit(k)
			n := countIn(shape.points, crossings)
			if hides == 0 || math.Abs(float64(n)-missing) < math.Abs(float64(hides)-missing) {
				best, hides = shape, n
			}
		}
		if hides > 0 {
			out = append(out, best)
			missing -= float64(hides)
		}
	}
	return out
}

// spread gives every cell a piece, all as large against their cells as it
// takes to hide enough crossings.
func spread(cells []cell, want float64, crossings []mat.Point) []cut {
	lay := func(k float64) (out []cut, hidden int) {
		for _, c := range cells {
			shape := c.fit(min(k*c.share, 1))
			hidden += countIn(shape.points, crossings)
			out = append(out, shape)
		}
		return out, hidden
	}
	lo, hi := 0.1, 1.3
	for range 30 {
		k := (lo + hi) / 2
		if _, hidden := lay(k); float64(hidden) < want*float64(len(crossings)) {
			lo = k
		} else {
			hi = k
		}
	}
	out, _ := lay(hi)
	return out
}

// sheetsFrom is the coverage from which on big sheets do the hiding.
const sheetsFrom = 0.3

// tones are the colours of card and foam sheets.
var tones = []Colour{{0xe8, 0xe5, 0xdc}, {0x24, 0x24, 0x27}, {0xb3, 0x90, 0x66}, {0xf0, 0xf0, 0xf0}, {0x3a, 0x36, 0x33}}

// cardOf is a plain sheet of a colour.
func cardOf(c Colour) Tape {
	return Tape{Colour: c, StripMM: 2000, Opacity: 1, Wrinkles: 0.1, Rim: 0.8}
}

// crossingsSeen are the crossings of the major lines in the frame.
func (s *Spec) crossingsSeen() []mat.Point {
	x, y := s.Mat.PitchXY()
	v := s.Camera.View()
	var out []mat.Point
	for i := range s.Mat.Columns + 1 {
		for j := range s.Mat.Rows + 1 {
			p := mat.Point{X: float64(i) * x, Y: float64(j) * y}
			if inFrame(v.ToPhoto(p), s.Width, s.Height, 0) {
				out = append(out, p)
			}
		}
	}
	return out
}

// HiddenPart returns the part of the crossings in the frame that lie under
// pieces, 0 when there are none.
func (s Spec) HiddenPart() float64 {
	crossings := s.crossingsSeen()
	hidden := 0
	for i := range s.Pieces {
		hidden += countIn(s.Pieces[i].Outline, crossings)
	}
	return float64(hidden) / float64(max(len(crossings), 1))
}

func countIn(ring, ps []mat.Point) int {
	box := boundsOf(ring)
	n := 0
	for _, p := range ps {
		if p.X >= box.minX && p.X <= box.maxX && p.Y >= box.minY && p.Y <= box.maxY && contains(ring, p) {
			n++
		}
	}
	return n
}

// cell is an upright rectangle of the mat, and what is to lie in it: a shape,
// where it stands in the room it leaves (0..1 both ways), and its size against
// other cells' pieces.
type cell struct {
	x0, y0, x1, y1 float64
	shape          cut
	asideX, asideY float64
	share          float64
}

func (c *cell) area() float64 { return (c.x1 - c.x0) * (c.y1 - c.y0) }

// drawShape gives the cell a sheet with nearly straight sides where much of
// the mat is to be hidden, else any shape.
func (c *cell) drawShape(rng *rand.Rand, want float64) {
	c.shape = sheetLike(rng)
	if want < sheetsFrom {
		c.shape = shapeKinds[rng.IntN(len(shapeKinds))](rng, 100)
	}
	c.asideX, c.asideY, c.share = rng.Float64(), rng.Float64(), between(rng, 0.9, 1.1)
}

// cellsOf cuts the mat's grid into n cells, always the largest by its longer
// side.
func cellsOf(rng *rand.Rand, s *Spec, n int) []cell {
	w, h := s.Mat.SizeMM()
	edge := 0.3 * s.Mat.BorderMM
	out := []cell{{x0: -edge, y0: -edge, x1: w + edge, y1: h + edge}}
	for len(out) < n {
		big := 0
		for i := range out {
			if out[i].area() > out[big].area() {
				big = i
			}
		}
		c, d := out[big], out[big]
		t := between(rng, 0.35, 0.65)
		if c.x1-c.x0 > c.y1-c.y0 {
			c.x1 = c.x0 + t*(c.x1-c.x0)
			d.x0 = c.x1
		} else {
			c.y1 = c.y0 + t*(c.y1-c.y0)
			d.y0 = c.y1
		}
		out[big] = c
		out = append(out, d)
	}
	return out
}

// sheetLike is a rectangle of size 2 with sides that bow a little.
func sheetLike(rng *rand.Rand) cut {
	sag := func() float64 { return between(rng, -0.03, 0.01) }
	return cut{shapeOutline: begin(-1, -1).bow(1, -1, sag()).bow(1, 1, sag()).bow(-1, 1, sag()).bow(-1, -1, sag()).close()}
}

// fit is the cell's shape drawn out to the part k of the cell's width and
// height, less a gap to the neighbours.
func (c *cell) fit(k float64) cut {
	const gapMM = 2
	b := boundsOf(c.shape.points)
	wide, high := c.x1-c.x0-2*gapMM, c.y1-c.y0-2*gapMM
	sx, sy := k*wide/(b.maxX-b.minX), k*high/(b.maxY-b.minY)
	left, top := c.x0+gapMM+(1-k)*wide*c.asideX, c.y0+gapMM+(1-k)*high*c.asideY
	place := func(ps []mat.Point) []mat.Point {
		out := make([]mat.Point, len(ps))
		for i, p := range ps {
			out[i] = mat.Point{X: left + sx*(p.X-b.minX), Y: top + sy*(p.Y-b.minY)}
		}
		return out
	}
	out := cut{shapeOutline: shapeOutline{place(c.shape.points), place(c.shape.corners)}}
	for _, o := range c.shape.openings {
		out.openings = append(out.openings, shapeOutline{place(o.points), place(o.corners)})
	}
	return out
}
