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

// bandTurn is the sharpest turn, as the cosine of its angle, that a band goes
// round without a break: 37°.
const bandTurn = 0.8

// outline returns the loops that cover a line of a width, all turning the
// same way: a band along each smooth run, and a disc where the line breaks.
// One band, and not a box for each step, because boxes that overlap look
// beaded.
func (l polyline) outline(width float64) [][]point {
	pts := distinct(l.points)
	if l.closed {
		pts = distinct(append(append([]point{}, l.points...), l.points[0]))
	}
	if len(pts) < 2 {
		return nil
	}
	h := width / 2
	dirs := directions(pts)
	var loops [][]point
	from := 0
	for i := 1; i < len(pts); i++ {
		if i < len(dirs) && dirs[i-1].dot(dirs[i]) >= bandTurn {
			continue
		}
		loops = append(loops, band(pts[from:i+1], dirs[from:i], h))
		if (i < len(dirs) || l.closed) && width > 1 {
			loops = append(loops, disc(pts[i], h))
		}
		from = i
	}
	return loops
}

func (p point) dot(q point) float64 { return p.x*q.x + p.y*q.y }

// distinct drops points that repeat the one before.
func distinct(pts []point) []point {
	var out []point
	for _, p := range pts {
		if n := len(out); n == 0 || out[n-1] != p {
			out = append(out, p)
		}
	}
	return out
}

// directions returns the unit direction of each step.
func directions(pts []point) []point {
	dirs := make([]point, len(pts)-1)
	for i := range dirs {
		dx, dy := pts[i+1].x-pts[i].x, pts[i+1].y-pts[i].y
		d := math.Hypot(dx, dy)
		dirs[i] = point{dx / d, dy / d}
	}
	return dirs
}

// band returns the loop h to either side of a run of points, mitred at its
// bends: out on the left side, back on the right.
func band(pts, dirs []point, h float64) []point {
	loop := make([]point, 2*len(pts))
	for i, p := range pts {
		a, b := dirs[max(0, i-1)], dirs[min(i, len(dirs)-1)]
		// The mitre's normal: the mean of both, lengthened to keep the width.
		f := h / (1 + a.dot(b))
		nx, ny := -(a.y+b.y)*f, (a.x+b.x)*f
		loop[i] = point{p.x - nx, p.y - ny}
		loop[len(loop)-1-i] = point{p.x + nx, p.y + ny}
	}
	return loop
}

// disc returns an octagon of the same turn as the bands; at a line's width
// it cannot be told from round.
func disc(at point, r float64) []point {
	loop := make([]point, 8)
	for i := range loop {
		s, c := math.Sincos(float64(i) * math.Pi / 4)
		loop[i] = point{at.x + r*c, at.y + r*s}
	}
	return loop
}
