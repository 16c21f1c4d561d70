package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// coverPieces lays pieces that hide a given part of the crossings in the
// frame. The mat is cut into cells; pieces fill them one by one until enough
// is hidden. Where much is to be hidden they are big sheets, pale or dark.
func coverPieces(s *Spec, o RandomOptions) []Piece {
	rng := s.extra(0xc0fe)
	want := min(o.Coverage, 0.75)
	cells := cellsOf(rng, s, 5+rng.IntN(6))
	rng.Shuffle(len(cells), func(i, j int) { cells[i], cells[j] = cells[j], cells[i] })
	crossings := s.crossingsSeen()
	name := tapeNames[rng.IntN(len(tapeNames))]
	var out []Piece
	hidden := 0
	for _, c := range cells {
		missing := want*float64(len(crossings)) - float64(hidden)
		if missing < 0.5 {
			break
		}
		ring := c.filled(rng, want, missing, crossings)
		n := countIn(ring.points, crossings)
		if n == 0 {
			continue
		}
		hidden += n
		p := randomPiece(rng, s, len(out), ring, name)
		if want >= sheetsFrom {
			p.Tape = cardOf(standOut(shaded(rng, tones[rng.IntN(len(tones))]), s.Mat.Colour))
		}
		out = append(out, p)
	}
	thicken(out, s, o.ThicknessMM)
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

// cell is an upright rectangle of the mat.
type cell struct{ x0, y0, x1, y1 float64 }

func (c cell) area() float64 { return (c.x1 - c.x0) * (c.y1 - c.y0) }

// cellsOf cuts the mat's grid into n cells, always the largest by its longer
// side.
func cellsOf(rng *rand.Rand, s *Spec, n int) []cell {
	w, h := s.Mat.SizeMM()
	edge := 0.3 * s.Mat.BorderMM
	out := []cell{{-edge, -edge, w + edge, h + edge}}
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

// filled is a piece within the cell that hides about as many crossings as are
// missing, or as the cell has: a sheet with nearly straight sides where much
// of the mat is to be hidden, else any shape.
func (c cell) filled(rng *rand.Rand, want, missing float64, crossings []mat.Point) cut {
	c = cell{c.x0 + 2, c.y0 + 2, c.x1 - 2, c.y1 - 2}
	shape := sheetLike(rng)
	if want < sheetsFrom {
		shape = shapeKinds[rng.IntN(len(shapeKinds))](rng, 100)
	}
	best, miss := cut{}, math.Inf(1)
	for k := 1.0; k > 0.25; k -= 0.05 {
		ring := c.fit(shape, k)
		if d := math.Abs(float64(countIn(ring.points, crossings)) - missing); d < miss {
			best, miss = ring, d
		}
	}
	return best
}

// sheetLike is a rectangle of size 2 with sides that bow a little.
func sheetLike(rng *rand.Rand) cut {
	sag := func() float64 { return between(rng, -0.03, 0.01) }
	return cut{shapeOutline: begin(-1, -1).bow(1, -1, sag()).bow(1, 1, sag()).bow(-1, 1, sag()).bow(-1, -1, sag()).close()}
}

// fit is a shape drawn out to the part k of the cell's width and height.
func (c cell) fit(shape cut, k float64) cut {
	b := boundsOf(shape.points)
	mid := mat.Point{X: (c.x0 + c.x1) / 2, Y: (c.y0 + c.y1) / 2}
	sx, sy := k*(c.x1-c.x0)/(b.maxX-b.minX), k*(c.y1-c.y0)/(b.maxY-b.minY)
	place := func(ps []mat.Point) []mat.Point {
		out := make([]mat.Point, len(ps))
		for i, p := range ps {
			out[i] = mat.Point{X: mid.X + sx*(p.X-(b.minX+b.maxX)/2), Y: mid.Y + sy*(p.Y-(b.minY+b.maxY)/2)}
		}
		return out
	}
	out := cut{shapeOutline: shapeOutline{place(shape.points), place(shape.corners)}}
	for _, o := range shape.openings {
		out.openings = append(out.openings, shapeOutline{place(o.points), place(o.corners)})
	}
	return out
}
