package scene

import (
	"math"
	"strconv"

	"flatwright/rectify/mat"
)

// objectBody is a thing that is not a piece.
func objectBody(s *Spec, i int) body {
	o := &s.Objects[i]
	m := turn(o.AngleDeg)
	m.dx, m.dy = o.At.X, o.At.Y
	seed := mix64(s.Seed ^ uint64(i+500))
	if o.Kind == Pen {
		return penBody(s, o, m, seed)
	}
	return ruleBody(s, o, m, seed)
}

// brushed is the steel of a rule: fine streaks along it and a broad sheen.
type brushed struct {
	base   rgb
	ux, uy float64
	seed   uint64
}

func (b *brushed) colour(s spot, d float64, _ rgb) rgb {
	along, across := b.ux*s.x+b.uy*s.y, -b.uy*s.x+b.ux*s.y
	k := 1 + 0.05*noise(b.seed, along/30, across*5) + 0.14*noise(b.seed+1, along/130, across/60)
	if d < 0.5 {
		k *= 1.18 // the ground edge catches the light
	}
	return b.base.times(k)
}

// ruleBody is a steel rule: millimetre ticks on one side, numbers each 10.
func ruleBody(s *Spec, o *Object, m motion, seed uint64) body {
	l, w := o.LengthMM, o.WidthMM
	outline := roundedRect(0, 0, l, w, 1.5).moved(m)
	hole := ellipse(l-w*0.4, w/2, w*0.12, w*0.12).moved(m)
	dx, dy := shadowShift(s.Light, 0.6)
	b := body{
		edges: ringEdges(outline.points, hole.points), reachMM: 3, strength: 0.5, dx: dx, dy: dy,
		surface: &brushed{o.Colour.linear(), m.cos, m.sin, seed},
	}
	etched := rgb{0.03, 0.03, 0.035}
	for i := 5; i < int(l)-5; i++ {
		x, long := float64(i), 3.0
		if i%10 == 5 {
			long = 7
		} else if i%5 == 0 {
			long = 5
		}
		tick := m.applyAll([]mat.Point{{X: x, Y: 0.4}, {X: x, Y: long}})
		b.children = append(b.children, ink{edges: lineEdges(tick), widthMM: 0.18, colour: etched, alpha: 0.85})
		if i%10 != 5 {
			continue
		}
		var lines [][]mat.Point
		for _, g := range strokesOf(strconv.Itoa(i/10), 2.8) {
			lines = append(lines, motion{cos: 1, dx: x + 0.7, dy: 5}.then(m).applyAll(g))
		}
		b.children = append(b.children, ink{edges: lineEdges(lines...), widthMM: 0.35, colour: etched, alpha: 0.9})
	}
	return b
}

// barrel is a round pen: dark towards its sides, with one long highlight.
type barrel struct {
	base       rgb
	m          motion
	halfWidth  float64
	capAt, len float64
}

func (b *barrel) colour(s spot, _ float64, _ rgb) rgb {
	px, py := s.x-b.m.dx, s.y-b.m.dy
	along, across := b.m.cos*px+b.m.sin*py, (-b.m.sin*px+b.m.cos*py)/b.halfWidth
	round := math.Sqrt(max(1-across*across, 0.02))
	c := b.base.times(float32(0.35 + 0.65*round))
	switch {
	case along < 9: // the tip
		c = rgb{0.25, 0.25, 0.25}.times(float32(0.3 + 0.7*round))
	case along > b.capAt:
		c = c.times(0.55)
	}
	if h := (across + 0.35) / 0.16; h*h < 9 {
		c = c.mix(rgb{0.85, 0.85, 0.85}, float32(0.6*math.Exp(-h*h)))
	}
	return c
}

func penBody(s *Spec, o *Object, m motion, _ uint64) body {
	l, r := o.LengthMM, o.WidthMM/2
	outline := begin(0, -0.4).line(9, -r*0.7).line(14, -r).line(l-3, -r).
		curve(l, -r, l, r, l-3, r).line(14, r).line(9, r*0.7).line(0, 0.4).close().moved(m)
	dx, dy := shadowShift(s.Light, r*0.8)
	return body{
		edges: ringEdges(outline.points), reachMM: r * 1.6, strength: 0.6, dx: dx, dy: dy,
		surface: &barrel{o.Colour.linear(), m, r, l * 0.66, l},
	}
}
