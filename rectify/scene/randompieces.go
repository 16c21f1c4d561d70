package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// tapes are the kinds of tape forms are wrapped in.
var tapes = map[string]Tape{
	"white":  {Colour: Colour{0xe4, 0xe2, 0xdb}, StripMM: 48, Opacity: 0.9, Crepe: 0.3, Wrinkles: 0.6, Rim: 0.8},
	"tan":    {Colour: Colour{0xd6, 0xb8, 0x84}, StripMM: 24, Opacity: 0.88, Crepe: 1, Wrinkles: 0.7, Rim: 0.8},
	"blue":   {Colour: Colour{0x52, 0x95, 0xcc}, StripMM: 36, Opacity: 0.95, Crepe: 0.9, Wrinkles: 0.6, Rim: 0.8},
	"yellow": {Colour: Colour{0xe2, 0xc2, 0x3e}, StripMM: 30, Opacity: 0.94, Crepe: 0.7, Wrinkles: 0.5, Rim: 0.8},
	"grey":   {Colour: Colour{0xa9, 0xad, 0xb0}, StripMM: 48, Opacity: 1, Weave: 1, Wrinkles: 1, Rim: 0.8},
}

var tapeNames = []string{"white", "tan", "tan", "blue", "yellow", "grey"}

// edgeColours mark edges that want another cut.
var edgeColours = []struct {
	name   string
	colour Colour
}{
	{"blue", Colour{0x2f, 0x6f, 0xb5}},
	{"red", Colour{0xc2, 0x39, 0x32}},
	{"green", Colour{0x2e, 0x8a, 0x55}},
	{"yellow", Colour{0xe6, 0xcb, 0x45}},
}

var words = []string{"L", "R", "TOP", "BACK", "CHIN", "BROW", "CHEEK L", "CHEEK R", "NECK", "FIN", "EAR", "CROWN", "SIDE 2", "A1", "B4"}

// layout collects pieces that keep clear of each other and of things.
type layout struct {
	rng   *rand.Rand
	spec  *Spec
	view  *View
	taken [][]mat.Point // coarse outlines of what lies there already
	boxes []bounds
	// dense makes every piece lie close to another, and looks longer for room.
	dense bool
	// thicknessMM keeps the tops of thick pieces in the frame too.
	thicknessMM float64
	// only, when set, is a further condition on a piece's outline.
	only func(ring []mat.Point) bool
}

func newLayout(rng *rand.Rand, s *Spec) *layout {
	l := &layout{rng: rng, spec: s, view: s.Camera.View()}
	for i := range s.Objects {
		l.take(s.Objects[i].footprint())
	}
	return l
}

func (l *layout) take(ring []mat.Point) {
	ring = resample(ring, 3)
	l.taken = append(l.taken, ring)
	l.boxes = append(l.boxes, boundsOf(ring))
}

// gap is the distance from the nearest thing taken, at most limit.
func (l *layout) gap(ring []mat.Point, limit float64) float64 {
	best := limit
	box := boundsOf(ring).grow(limit)
	for i, t := range l.taken {
		b := l.boxes[i]
		if b.minX > box.maxX || b.maxX < box.minX || b.minY > box.maxY || b.maxY < box.minY {
			continue
		}
		best = min(best, minGap(t, ring, limit))
	}
	return best
}

// fits reports whether a shape lies on the mat, in the frame, and clear.
func (l *layout) fits(ring []mat.Point, gapMM float64) bool {
	w, h := l.spec.Mat.SizeMM()
	b := boundsOf(ring)
	edge := l.spec.Mat.BorderMM * 0.3
	if b.minX < -edge || b.minY < -edge || b.maxX > w+edge || b.maxY > h+edge {
		return false
	}
	if l.only != nil && !l.only(ring) {
		return false
	}
	margin := 0.006 * float64(l.spec.Width)
	return l.spec.visible(l.view, ring, 0, margin) &&
		(l.thicknessMM <= 0 || l.spec.visible(l.view, ring, l.thicknessMM, margin)) && l.gap(ring, gapMM+1) >= gapMM
}

// place looks for room for a shape; every third time it pushes it up against
// what lies there, leaving 2 to 4 mm.
func (l *layout) place(c cut) (cut, bool) {
	w, h := l.spec.Mat.SizeMM()
	coarse := resample(c.points, 3)
	tries := 60
	if l.dense {
		tries = 250
	}
	for range tries {
		m := turn(l.angle())
		m.dx, m.dy = w*l.rng.Float64(), h*l.rng.Float64()
		if !l.fits(m.applyAll(coarse), 5) {
			continue
		}
		if l.dense || l.rng.IntN(3) == 0 {
			m = l.push(coarse, m, between(l.rng, 2, 4))
		}
		return c.moved(m), true
	}
	return cut{}, false
}

// angle is any, but square to the mat within 4 degrees in a dense layout.
func (l *layout) angle() float64 {
	if l.dense {
		return 90*float64(l.rng.IntN(4)) + clipped(l.rng, 2, 4)
	}
	return l.rng.Float64() * 360
}

// shape draws a piece's shape: any, or mostly panels in a dense layout.
func (l *layout) shape(size float64) cut {
	kinds := shapeKinds
	if l.dense && l.rng.IntN(4) > 0 {
		kinds = []func(*rand.Rand, float64) cut{panel, dartPanel, faceplate}
	}
	return kinds[l.rng.IntN(len(kinds))](l.rng, size)
}

// push slides a shape towards a neighbour until the gap is gapMM.
func (l *layout) push(ring []mat.Point, m motion, gapMM float64) motion {
	dir := turn(l.rng.Float64() * 360).apply(mat.Point{X: 1})
	at := func(t float64) motion {
		n := m
		n.dx, n.dy = m.dx+dir.X*t, m.dy+dir.Y*t
		return n
	}
	lo := 0.0
	for step := 4.0; step > 0.05; {
		if lo < 120 && l.fits(at(lo+step).applyAll(ring), gapMM) {
			lo += step
			continue
		}
		step /= 2
	}
	if l.gap(at(lo).applyAll(ring), gapMM+1) > gapMM+0.5 {
		return m // it met the mat's border or the frame, not a neighbour
	}
	return at(lo)
}

func randomPieces(rng *rand.Rand, s *Spec, o RandomOptions, n int) []Piece {
	l := newLayout(rng, s)
	l.thicknessMM = o.ThicknessMM
	l.dense = rng.IntN(4) == 0
	w, h := s.Mat.SizeMM()
	main := tapeNames[rng.IntN(len(tapeNames))]
	size := math.Sqrt(w*h/float64(n)) * between(rng, 0.75, 1.5)
	if l.dense {
		size *= 1.25
	}
	var out []Piece
	for tries := 0; len(out) < n && tries < 12*n; tries++ {
		if tries%n == n-1 {
			size *= 0.85
		}
		c := l.shape(max(size*between(rng, 0.7, 1.3), 50))
		c, ok := l.place(c)
		if !ok {
			continue
		}
		l.take(c.points)
		name := main
		if rng.IntN(5) == 0 {
			name = tapeNames[rng.IntN(len(tapeNames))]
		}
		out = append(out, randomPiece(rng, s, len(out), c, name))
	}
	thicken(out, s, o.ThicknessMM)
	return out
}

// foamColours are those of foam sheets.
var foamColours = []Colour{{0x2b, 0x2b, 0x2d}, {0xdd, 0xdb, 0xd4}, {0x8d, 0x90, 0x92}, {0x3d, 0x62, 0xa6}, {0xd9, 0xc8, 0x9e}}

// thicken makes pieces foam of one thickness and colour.
func thicken(ps []Piece, s *Spec, thicknessMM float64) {
	if thicknessMM <= 0 {
		return
	}
	rng := rand.New(rand.NewPCG(s.Seed, 0xf0a3))
	colour := standOut(shaded(rng, foamColours[rng.IntN(len(foamColours))]), s.Mat.Colour)
	for i := range ps {
		ps[i].ThicknessMM, ps[i].Tape.Colour = thicknessMM, colour
		if luma601(float32(colour.R), float32(colour.G), float32(colour.B)) < 110 {
			ps[i].Ink = Colour{0xe8, 0xe8, 0xe4} // a pale pen on dark foam
		}
	}
}

func randomPiece(rng *rand.Rand, s *Spec, i int, c cut, tape string) Piece {
	p := Piece{
		ID: string(rune('A' + i)), Outline: c.points, Corners: c.corners, Tape: tapes[tape],
		Ink: Colour{0x1c, 0x1c, 0x22}, InkMM: between(rng, 0.45, 0.9),
	}
	p.Tape.AngleDeg = rng.Float64() * 180
	p.Tape.Wrinkles *= rng.Float64() * 1.3
	p.Tape.Colour = standOut(shaded(rng, p.Tape.Colour), s.Mat.Colour)
	if tape != "blue" && rng.IntN(4) == 0 {
		p.Ink = Colour{0x22, 0x2c, 0x78}
	}
	for _, o := range c.openings {
		p.Openings = append(p.Openings, turned(o.points, -1))
		p.Corners = append(p.Corners, o.corners...)
	}
	d := newDresser(rng, &p)
	d.marks(rng.IntN(7) + 1)
	if rng.IntN(3) > 0 {
		d.line(rng.Float64()*180, between(rng, -6, 6), rng.IntN(2) == 0)
	}
	if rng.IntN(5) > 0 {
		d.text(words[rng.IntN(len(words))], between(rng, 5, 9))
	}
	if rng.IntN(3) == 0 {
		e := edgeColours[rng.IntN(len(edgeColours))]
		if e.name != tape {
			d.edgeTape(e.name, standOut(e.colour, s.Mat.Colour), rng.IntN(8), between(rng, 5, 10))
		}
	}
	return p
}

// standOut makes a tape lighter until a person can tell it from the mat.
func standOut(c, m Colour) Colour {
	for range 12 {
		dr, dg, db := int(c.R)-int(m.R), int(c.G)-int(m.G), int(c.B)-int(m.B)
		if dr*dr+dg*dg+db*db > 80*80 {
			break
		}
		up := func(v uint8) uint8 { return v + (255-v)/8 }
		c = Colour{up(c.R), up(c.G), up(c.B)}
	}
	return c
}

// randomObjects leaves a rule or a pen on the mat in most scenes.
func randomObjects(rng *rand.Rand, s *Spec) []Object {
	w, h := s.Mat.SizeMM()
	var out []Object
	if rng.IntN(2) == 0 {
		long := min(315, w*0.6)
		o := Object{
			Kind: Rule, AngleDeg: rng.NormFloat64() * 5, LengthMM: long, WidthMM: between(rng, 20, 32),
			Colour: Colour{0xa8, 0xaa, 0xab}, At: mat.Point{X: w * between(rng, 0, 0.35), Y: h * between(rng, 0.02, 0.1)},
		}
		if rng.IntN(2) == 0 {
			o.At.Y = h * between(rng, 0.85, 0.93)
		}
		out = append(out, o)
	}
	if rng.IntN(2) == 0 {
		inks := []Colour{{0x1d, 0x1d, 0x20}, {0xb3, 0x2d, 0x2b}, {0x24, 0x43, 0x8f}, {0xdd, 0xdd, 0xda}}
		out = append(out, Object{
			Kind: Pen, AngleDeg: rng.Float64() * 360, LengthMM: between(rng, 130, 150), WidthMM: between(rng, 8, 12),
			Colour: inks[rng.IntN(len(inks))], At: mat.Point{X: w * between(rng, 0.25, 0.75), Y: h * between(rng, 0.25, 0.75)},
		})
	}
	return out
}

// footprint is the place an object takes, with room for its shadow.
func (o *Object) footprint() []mat.Point {
	m := turn(o.AngleDeg)
	m.dx, m.dy = o.At.X, o.At.Y
	r, y0, y1 := 4.0, 0.0, o.WidthMM
	if o.Kind == Pen {
		r, y0, y1 = 8, -o.WidthMM/2, o.WidthMM/2
	}
	return m.applyAll([]mat.Point{
		{X: -r, Y: y0 - r}, {X: o.LengthMM + r, Y: y0 - r}, {X: o.LengthMM + r, Y: y1 + r}, {X: -r, Y: y1 + r},
	})
}
