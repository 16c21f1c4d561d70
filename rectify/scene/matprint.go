package scene

import (
	"math"
	"math/rand/v2"
	"strconv"

	"flatwright/rectify/mat"
)

// matPrint is the surface of the mat: vinyl with printed lines.
type matPrint struct {
	Mat
	base, line rgb
	w, h       float64
	// pitchX and pitchY are the true distances of the lines.
	pitchX, pitchY float64
	seed           uint64
}

func (m *matPrint) colour(s spot, _ float64, _ rgb) rgb {
	k := 1 + 0.035*noise(m.seed+21, s.x*1.6, s.y*1.6) + 0.04*noise(m.seed+22, s.x/40, s.y/40)
	c := m.base.times(k)
	cover := max(m.gridCover(s), m.tickCover(s))
	if cover == 0 {
		return c
	}
	return c.mix(m.line, cover*m.inkLeft(s))
}

// inkLeft is how much of the print is left at a place.
func (m *matPrint) inkLeft(s spot) float32 {
	left := 0.9 + 0.07*noise(m.seed+23, s.x*1.9, s.y*1.9)
	if m.Wear > 0 {
		worn := noise(m.seed+24, s.x/35, s.y/35) + 0.5*noise(m.seed+25, s.x/6, s.y/6) - 0.25
		left -= float32(m.Wear) * max(worn, 0)
	}
	return max(left, 0.15)
}

// gridCover is the part of a spot under the grid's lines.
func (m *matPrint) gridCover(s spot) float32 {
	half := (max(m.MajorMM, m.HeavyMM) + s.widthMM) / 2
	if s.x < -half || s.y < -half || s.x > m.w+half || s.y > m.h+half {
		return 0
	}
	cover := max(m.lineCover(s.x, m.pitchX, s.widthMM), m.lineCover(s.y, m.pitchY, s.widthMM))
	if m.MinorPerPitch > 1 {
		n := float64(m.MinorPerPitch)
		cover = max(cover, strokeCover(offLine(s.x, m.pitchX/n), m.MinorMM, s.widthMM),
			strokeCover(offLine(s.y, m.pitchY/n), m.MinorMM, s.widthMM))
	}
	return cover
}

// lineCover is the cover of the major lines across one direction.
func (m *matPrint) lineCover(v, pitchMM, spotMM float64) float32 {
	width := m.MajorMM
	if m.HeavyEvery > 0 && int(math.Round(v/pitchMM))%m.HeavyEvery == 0 {
		width = m.HeavyMM
	}
	return strokeCover(offLine(v, pitchMM), width, spotMM)
}

// offLine is the signed distance from the nearest multiple of a step.
func offLine(v, step float64) float64 { return v - step*math.Round(v/step) }

// tickCover is the cover of the short ticks outside the grid.
func (m *matPrint) tickCover(s spot) float32 {
	if m.TicksPerPitch < 1 || (s.x > 0 && s.y > 0 && s.x < m.w && s.y < m.h) {
		return 0
	}
	n := float64(m.TicksPerPitch)
	var cover float32
	if s.x > -0.1 && s.x < m.w+0.1 {
		cover = m.tick(s.x, max(-s.y, s.y-m.h), m.pitchX/n, s.widthMM)
	}
	if s.y > -0.1 && s.y < m.h+0.1 {
		cover = max(cover, m.tick(s.y, max(-s.x, s.x-m.w), m.pitchY/n, s.widthMM))
	}
	return cover
}

// tick is the cover of a tick at v along the border, out mm outside the grid.
func (m *matPrint) tick(v, out, step, spotMM float64) float32 {
	i := int(math.Round(v / step))
	long := 1.6
	if i%m.TicksPerPitch == 0 {
		long = 4
	} else if 2*i%m.TicksPerPitch == 0 {
		long = 2.6
	}
	if out < 0 || out > long {
		return 0
	}
	return strokeCover(offLine(v, step), m.MinorMM, spotMM)
}

// matBody is the mat with its numbers, diagonals and scars.
func matBody(s *Spec) body {
	m := s.Mat
	w, h := m.SizeMM()
	b := m.BorderMM
	sheet := roundedRect(-b, -b, w+b, h+b, min(6, b*0.6))
	p := &matPrint{Mat: m, base: m.Colour.linear(), line: m.Line.linear(), w: w, h: h, seed: s.Seed}
	p.pitchX, p.pitchY = m.PitchXY()
	dx, dy := shadowShift(s.Light, 1.5)
	out := body{edges: ringEdges(sheet.points), surface: p, reachMM: 5, strength: 0.45, dx: dx, dy: dy}
	for _, d := range m.Diagonals {
		out.children = append(out.children, ink{
			edges: lineEdges([]mat.Point{d.From, d.To}), widthMM: d.WidthMM, colour: p.line, alpha: 0.85,
		})
	}
	if m.Numbers {
		out.children = append(out.children, m.numbers(p.line)...)
	}
	out.children = append(out.children, m.scars(s.Seed, p.base)...)
	return out
}

// numbers are printed along all four sides, one a line.
func (m Mat) numbers(line rgb) []ink {
	const high = 3.2
	w, h := m.SizeMM()
	var out []ink
	put := func(n int, x, y float64) {
		text := strconv.Itoa(n)
		shift := mat.Point{X: x - textWidthMM(text, high)/2, Y: y - high/2}
		var lines [][]mat.Point
		for _, l := range strokesOf(text, high) {
			lines = append(lines, motion{cos: 1, dx: shift.X, dy: shift.Y}.applyAll(l))
		}
		out = append(out, ink{edges: lineEdges(lines...), widthMM: 0.45, colour: line, alpha: 0.9})
	}
	off := min(m.BorderMM*0.55, 7)
	pitchX, pitchY := m.PitchXY()
	for i := 0; i <= m.Columns; i++ {
		put(i, float64(i)*pitchX, -off)
		put(i, float64(i)*pitchX, h+off)
	}
	for i := 0; i <= m.Rows; i++ {
		put(i, -off, h-float64(i)*pitchY)
		put(i, w+off, h-float64(i)*pitchY)
	}
	return out
}

// scars are old knife cuts: thin, faint, mostly along the lines' directions.
func (m Mat) scars(seed uint64, base rgb) []ink {
	rng := rand.New(rand.NewPCG(seed, 0x5ca75))
	w, h := m.SizeMM()
	var out []ink
	for range m.Scars {
		from := mat.Point{X: rng.Float64() * w, Y: rng.Float64() * h}
		angle := float64(rng.IntN(4))*90 + rng.NormFloat64()*6
		if rng.Float64() < 0.4 {
			angle = rng.Float64() * 360
		}
		long := 15 + rng.ExpFloat64()*60
		dir := turn(angle).apply(mat.Point{X: 1})
		bend := turn(angle + 90).apply(mat.Point{X: rng.NormFloat64() * long * 0.01})
		mid := add(add(from, scale(dir, long/2)), bend)
		out = append(out, ink{
			edges:   lineEdges([]mat.Point{from, mid, add(from, scale(dir, long))}),
			widthMM: 0.08 + rng.Float64()*0.14, colour: base.mix(rgb{0.8, 0.8, 0.8}, 0.35),
			alpha: 0.1 + rng.Float32()*0.35,
		})
	}
	return out
}

// roundedRect is a rectangle with quarter-circle corners.
func roundedRect(x0, y0, x1, y1, r float64) shapeOutline {
	k := r * (1 - 0.5522847498)
	return begin(x0+r, y0).line(x1-r, y0).
		curve(x1-k, y0, x1, y0+k, x1, y0+r).line(x1, y1-r).
		curve(x1, y1-k, x1-k, y1, x1-r, y1).line(x0+r, y1).
		curve(x0+k, y1, x0, y1-k, x0, y1-r).line(x0, y0+r).
		curve(x0, y0+k, x0+k, y0, x0+r, y0).close()
}
