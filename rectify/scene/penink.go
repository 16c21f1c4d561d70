package scene

import (
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// penInk is all that is written and drawn on a piece.
func penInk(p *Piece, seed uint64) []ink {
	rng := rand.New(rand.NewPCG(seed, 0x9e11))
	colour := p.Ink.linear()
	var out []ink
	stroke := func(alpha float32, lines ...[]mat.Point) {
		out = append(out, ink{edges: lineEdges(lines...), widthMM: p.InkMM, colour: colour, alpha: alpha})
	}
	for _, m := range p.Marks {
		// The stroke ran across the seam before it was cut.
		u := scale(sub(m.At, m.In), 1/dist(m.At, m.In))
		stroke(0.9, []mat.Point{add(m.At, scale(u, 0.8)), m.In})
	}
	for _, l := range p.Lines {
		if l.Dashed {
			stroke(0.88, dashes(l.Points, 6+rng.Float64()*2, 3+rng.Float64())...)
		} else {
			stroke(0.88, l.Points)
		}
	}
	for _, t := range p.Texts {
		stroke(0.9, handwriting(t, rng)...)
	}
	return out
}

// dashes cuts a line into strokes of onMM with gaps of offMM.
func dashes(line []mat.Point, onMM, offMM float64) [][]mat.Point {
	var out [][]mat.Point
	var current []mat.Point
	on, left := true, onMM
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		for rest := dist(a, b); rest > 0; {
			step := min(rest, left)
			next := lerp(a, b, step/rest)
			if on {
				if len(current) == 0 {
					current = append(current, a)
				}
				current = append(current, next)
			}
			a, rest, left = next, rest-step, left-step
			if left > 0 {
				continue
			}
			if on {
				out, current, left = append(out, current), nil, offMM
			} else {
				left = onMM
			}
			on = !on
		}
	}
	if len(current) > 1 {
		out = append(out, current)
	}
	return out
}

// handwriting is a text in an unsteady hand.
func handwriting(t Text, rng *rand.Rand) [][]mat.Point {
	m := turn(t.AngleDeg)
	m.dx, m.dy = t.At.X, t.At.Y
	slant := 0.1 + 0.15*rng.Float64()
	var out [][]mat.Point
	for _, l := range strokesOf(t.Text, t.HeightMM) {
		jump := t.HeightMM * 0.05 * rng.NormFloat64()
		line := make([]mat.Point, len(l))
		for i, p := range l {
			p.X += slant*(t.HeightMM-p.Y) + t.HeightMM*0.04*rng.NormFloat64()
			p.Y += jump + t.HeightMM*0.04*rng.NormFloat64()
			line[i] = m.apply(p)
		}
		out = append(out, rounded(line))
	}
	return out
}

// rounded bends the joints of a stroke: corner cutting (Chaikin 1974), twice.
func rounded(line []mat.Point) []mat.Point {
	for range 2 {
		out := []mat.Point{line[0]}
		for i := 1; i < len(line); i++ {
			out = append(out, lerp(line[i-1], line[i], 0.25), lerp(line[i-1], line[i], 0.75))
		}
		line = append(out, line[len(line)-1])
	}
	return line
}
