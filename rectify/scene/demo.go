package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// demoPiece is a piece of the demo about its own origin. Marks lie where the
// outline comes closest to the points given; a run of coloured tape goes
// clockwise from the corner nearest its first point to that nearest its
// second.
type demoPiece struct {
	name     string
	shape    cut
	at       mat.Point
	angleDeg float64
	marks    []mat.Point
	lines    []PenLine
	tapes    [][2]mat.Point
}

// mirrored is the same piece for the other side of the head.
func (d demoPiece) mirrored(name string, at mat.Point, angleDeg float64) demoPiece {
	m := demoPiece{name: name, at: at, angleDeg: angleDeg}
	m.shape.shapeOutline = shapeOutline{flipAll(d.shape.points), flipAll(d.shape.corners)}
	reverse(m.shape.points)
	m.marks = flipAll(d.marks)
	for _, l := range d.lines {
		m.lines = append(m.lines, PenLine{flipAll(l.Points), l.Dashed})
	}
	for _, t := range d.tapes {
		f := flipAll(t[:])
		m.tapes = append(m.tapes, [2]mat.Point{f[1], f[0]})
	}
	return m
}

func flipAll(ps []mat.Point) []mat.Point {
	out := make([]mat.Point, len(ps))
	for i, p := range ps {
		out[i] = mat.Point{X: -p.X, Y: p.Y}
	}
	return out
}

// Demo is the demonstration photograph: the shell of a harbour lamplighter's
// helmet in eleven pieces of tan tape on a green mat of 24 by 18 inches, a
// steel rule beside them and the shadow of the hand that holds the phone.
func Demo() Spec {
	s := Spec{Seed: 20, Width: 4032, Height: 3024, Name: "demo.jpg"}
	s.Mat = Mat{
		PitchMM: 25.4, Columns: 24, Rows: 18, BorderMM: 13,
		Colour: Colour{0x2f, 0x6d, 0x55}, Line: Colour{0xe6, 0xe2, 0xbd},
		MajorMM: 0.6, MinorMM: 0.22, MinorPerPitch: 2, TicksPerPitch: 8, Numbers: true,
		Scars: 60, Wear: 0.4, Table: Table{Colour: Colour{0xae, 0x87, 0x5c}, Grain: 0.9},
	}
	w, h := s.Mat.SizeMM()
	s.Mat.Diagonals = []Diagonal{
		{mat.Point{X: 0, Y: h}, mat.Point{X: h, Y: 0}, 0.28},
		{mat.Point{X: w, Y: h}, mat.Point{X: w - h/math.Sqrt(3), Y: 0}, 0.28},
	}
	s.Camera = Camera{
		FocalPx: 3028.6, CentreX: 2029.4, CentreY: 1503.1,
		K1: -0.048, K2: 0.014, P1: 0.0004, P2: -0.0003,
		TargetX: 309, TargetY: 228, DistanceMM: 566, TiltDeg: 13.5, AzimuthDeg: 68, RollDeg: 2.3,
	}
	s.Light = Light{
		Level: 0.97, Gradient: 0.32, GradientDeg: 30, SpanMM: w, Vignette: 0.2,
		Glare: 0.03, GlareAt: mat.Point{X: 90, Y: 60}, GlareRadiusMM: 130,
		ContactMM: 1.7, Contact: 0.36, ContactDeg: 35, Red: 1.05, Blue: 0.9,
		Shadows: []CastShadow{demoShadow()},
	}
	s.Sensor = Sensor{
		BlurPx: 0.62, Noise: 1.3, Sharpen: 0.45, SharpenPx: 1.2, Contrast: 0.25,
		Quality: 92, Orientation: 1, Focal35MM: 26,
	}
	s.Objects = []Object{{
		Kind: Rule, At: mat.Point{X: 599, Y: 44}, AngleDeg: 91.3, LengthMM: 315, WidthMM: 26,
		Colour: Colour{0xa6, 0xa8, 0xa9},
	}}
	rng := rand.New(rand.NewPCG(s.Seed, 0xde30))
	for i, d := range demoPieces() {
		s.Pieces = append(s.Pieces, d.laid(rng, i))
	}
	return s
}

// demoShadow is a forearm and a phone, from the lower edge.
func demoShadow() CastShadow {
	o := begin(330, 700).curve(345, 560, 380, 470, 392, 405).line(352, 392).line(366, 268).
		line(452, 280).line(437, 402).curve(440, 480, 470, 600, 490, 700).close()
	return CastShadow{Outline: o.points, SoftMM: 26, Strength: 0.34}
}

// laid puts the piece on the mat and dresses it.
func (d demoPiece) laid(rng *rand.Rand, i int) Piece {
	m := turn(d.angleDeg)
	m.dx, m.dy = d.at.X, d.at.Y
	c := d.shape.moved(m)
	p := Piece{
		ID: string(rune('A' + i)), Outline: c.points, Corners: c.corners, Tape: tapes["tan"],
		Ink: Colour{0x1d, 0x1d, 0x24}, InkMM: 0.6,
	}
	p.Tape.AngleDeg = rng.Float64() * 180
	for _, o := range c.openings {
		p.Openings = append(p.Openings, turned(o.points, -1))
		p.Corners = append(p.Corners, o.corners...)
	}
	for _, l := range d.lines {
		p.Lines = append(p.Lines, PenLine{m.applyAll(l.Points), l.Dashed})
	}
	dr := newDresser(rng, &p)
	for _, q := range d.marks {
		dr.markAt(lengthTo(p.Outline, nearestOnRing(p.Outline, m.apply(q))), between(rng, 6, 8))
	}
	for _, t := range d.tapes {
		p.Edges = append(p.Edges, EdgeTape{
			Name: "blue", Colour: Colour{0x2c, 0x6a, 0xae}, WidthMM: between(rng, 7, 9),
			FromMM: cornerNear(&p, m.apply(t[0])), ToMM: cornerNear(&p, m.apply(t[1])),
		})
		if e := &p.Edges[len(p.Edges)-1]; e.ToMM <= e.FromMM {
			e.ToMM += length(p.Outline)
		}
	}
	for high := 7.0; len(p.Texts) == 0 && high > 4; high-- {
		dr.text(d.name, high)
	}
	return p
}

// lengthTo is the arc length along a ring to a point on it.
func lengthTo(ring []mat.Point, at mat.Point) float64 {
	s, best, out := 0.0, math.Inf(1), 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		n := nearestOnSegment(p, q, at)
		if d := dist(n, at); d < best {
			best, out = d, s+dist(p, n)
		}
		s += dist(p, q)
	}
	return out
}

// cornerNear is the arc length of the outline's corner nearest a point.
func cornerNear(p *Piece, at mat.Point) float64 {
	best, out := math.Inf(1), 0.0
	for _, s := range cornerLengths(p.Outline, p.Corners) {
		if c, _ := along(p.Outline, s); dist(c, at) < best {
			best, out = dist(c, at), s
		}
	}
	return out
}
