package picture

import (
	"math"

	pages "flatwright/export/page/draw"
)

// polyline is a run of points in px.
type polyline struct {
	points []point
	closed bool
}

// flatten turns a path into runs of points within about 0.1 px of it.
func (k *canvas) flatten(p pages.Path) []polyline {
	var all []polyline
	var line polyline
	end := func() {
		if len(line.points) > 1 {
			all = append(all, line)
		}
		line = polyline{}
	}
	for _, s := range p {
		switch s.Verb {
		case pages.Move:
			end()
			line.points = append(line.points, k.point(s.To))
		case pages.Line:
			line.points = append(line.points, k.point(s.To))
		case pages.Cubic:
			line.cubic(k.point(s.C1), k.point(s.C2), k.point(s.To))
		case pages.Close:
			line.closed = true
		}
	}
	end()
	return all
}

// cubic appends a curve in equal steps: the chord error over a step h is at
// most h²·max|B″|/8.
func (l *polyline) cubic(c1, c2, to point) {
	from := l.points[len(l.points)-1]
	bend := 6 * math.Max(
		math.Hypot(from.x-2*c1.x+c2.x, from.y-2*c1.y+c2.y),
		math.Hypot(c1.x-2*c2.x+to.x, c1.y-2*c2.y+to.y))
	n := min(max(1, int(math.Ceil(math.Sqrt(bend/8/0.1)))), 500)
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		a, b, c, d := u*u*u, 3*u*u*t, 3*u*t*t, t*t*t
		l.points = append(l.points, point{
			a*from.x + b*c1.x + c*c2.x + d*to.x,
			a*from.y + b*c1.y + c*c2.y + d*to.y,
		})
	}
}

// dashes cuts a line by a pattern of dashes and gaps in mm.
func (l polyline) dashes(patternMM []float64, scale float64) []polyline {
	if len(patternMM) == 0 {
		return []polyline{l}
	}
	pts := l.points
	if l.closed {
		pts = append(append([]point{}, pts...), pts[0])
	}
	var all []polyline
	part, left := 0, patternMM[0]*scale
	dash := polyline{points: []point{pts[0]}}
	for i := 1; i < len(pts); {
		a, b := dash.points[len(dash.points)-1], pts[i]
		step := math.Hypot(b.x-a.x, b.y-a.y)
		if step <= left {
			dash.points = append(dash.points, b)
			left -= step
			i++
			continue
		}
		t := left / step
		cut := point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)}
		dash.points = append(dash.points, cut)
		if part%2 == 0 {
			all = append(all, dash)
		}
		part++
		left = math.Max(patternMM[part%len(patternMM)]*scale, 1e-3)
		dash = polyline{points: []point{cut}}
	}
	if part%2 == 0 && len(dash.points) > 1 {
		all = append(all, dash)
	}
	return all
}

// outline returns the loops that cover a line of a width: a box along each
// step and a disc at each bend, all turning the same way.
func (l polyline) outline(width float64) [][]point {
	n := len(l.points)
	steps := n - 1
	if l.closed {
		steps = n
	}
	var loops [][]point
	h := width / 2
	for i := range steps {
		a, b := l.points[i], l.points[(i+1)%n]
		d := math.Hypot(b.x-a.x, b.y-a.y)
		if d == 0 {
			continue
		}
		nx, ny := -(b.y-a.y)/d*h, (b.x-a.x)/d*h
		loops = append(loops, []point{{a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}, {a.x + nx, a.y + ny}})
		if (l.closed || i+1 < steps) && width > 1 {
			loops = append(loops, disc(b, h))
		}
	}
	return loops
}

// disc returns an octagon of the same turn as the boxes; at a line's width
// it cannot be told from round.
func disc(at point, r float64) []point {
	loop := make([]point, 8)
	for i := range loop {
		s, c := math.Sincos(float64(i) * math.Pi / 4)
		loop[i] = point{at.x + r*c, at.y + r*s}
	}
	return loop
}
