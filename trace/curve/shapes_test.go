package curve

import "math"

// shape is a known outline and the most nodes a fit of it may need.
type shape struct {
	name  string
	path  Path
	nodes int
	// tipDeg is the angle of a dart's tip or of the corner with the shortest
	// sides, sideMM their length.
	tipDeg, sideMM float64
}

// dart returns a rectangle with a dart cut in from the top, a mouth of 6 mm
// narrowing to a point, the sides of unequal slant.
func dart(depth float64) Path {
	return Polygon(pt(0, 0), pt(37, 0), pt(40.5, depth), pt(43, 0), pt(80, 0), pt(80, depth+15), pt(0, depth+15)).Rotate(pt(0, 0), 0.3)
}

func rounded(w, h, r, angle float64) Path {
	return closeUp(
		arc(pt(w-r, r), r, -90, 0), arc(pt(w-r, h-r), r, 0, 90),
		arc(pt(r, h-r), r, 90, 180), arc(pt(r, r), r, 180, 270),
	).Rotate(pt(0, 0), angle)
}

func shapes() []shape {
	turned := func(a float64, p Path) Path { return p.Rotate(pt(0, 0), a) }
	return []shape{
		{name: "rectangle", path: turned(0.1, Polygon(pt(0, 0), pt(90, 0), pt(90, 60), pt(0, 60))), nodes: 4},
		{name: "corners of 150° and 120°", path: turned(0.2, Polygon(pt(0, 0), pt(60, 0), pt(60+43.3, 25), pt(103, 70), pt(0, 70))), nodes: 5},
		{name: "dart of 15°", path: dart(22.8), nodes: 7, tipDeg: 15, sideMM: 22},
		{name: "dart of 10°", path: dart(34.3), nodes: 7, tipDeg: 10, sideMM: 34},
		{name: "dart of 5°", path: dart(68.7), nodes: 7, tipDeg: 5, sideMM: 68},
		{name: "ellipse", path: Path{Segments: ellipseArc(pt(0, 0), 60, 35, 0, 360), Closed: true}, nodes: 9},
		{name: "rounded rectangle", path: rounded(90, 60, 10, 0), nodes: 10},
		{name: "lens", path: lens(), nodes: 4},
		{name: "crescent", path: crescent(), nodes: 6},
		{name: "panel", path: panel(), nodes: 13},
		{name: "tab", path: turned(0.4, Polygon(pt(0, 0), pt(40, 0), pt(40, -5), pt(46, -5), pt(46, 0), pt(80, 0), pt(80, 40), pt(0, 40))), nodes: 8, tipDeg: 90, sideMM: 5},
		{name: "small notch", path: turned(0.7, Polygon(pt(0, 0), pt(30, 0), pt(33, 6), pt(36, 0), pt(70, 0), pt(70, 30), pt(0, 30))), nodes: 7, tipDeg: 53, sideMM: 6.7},
		{name: "line into arc", path: closeUp(arc(pt(60, 30), 30, -90, 90), []Segment{Line(pt(20, 60), pt(0, 0))}), nodes: 7},
		{name: "slight arc", path: closeUp(arc(pt(0, 400), 400, -98, -82), []Segment{Line(pt(55, 80), pt(-55, 80))}), nodes: 5},
	}
}

// lens is bounded by two arcs of radius 60 that meet at 80°.
func lens() Path {
	h := 60 * math.Sin(50*math.Pi/180)
	return closeUp(arc(pt(0, h), 60, -130, -50), arc(pt(0, -h), 60, 50, 130))
}

// crescent is bounded by two arcs that bulge the same way.
func crescent() Path {
	outer := arc(pt(0, 0), 50, 200, 340)
	p, q := outer[0].P0, outer[len(outer)-1].P3
	m, h := lerp(p, q, 0.5), dist(p, q)/2
	c := pt(m.X, m.Y+h*h/24-6)
	from, to := angle(sub(q, c))*180/math.Pi, angle(sub(p, c))*180/math.Pi
	return closeUp(outer, arc(c, dist(c, q), from, to))
}

// panel has the edges of a costume part: long curves, an S, a neck.
func panel() Path {
	return Path{Closed: true, Segments: []Segment{
		Cubic(pt(0, 0), pt(30, -18), pt(70, -18), pt(100, 5)),
		Cubic(pt(100, 5), pt(108, 30), pt(92, 50), pt(104, 85)),
		Line(pt(104, 85), pt(70, 92)),
		Cubic(pt(70, 92), pt(62, 70), pt(45, 70), pt(36, 95)),
		Line(pt(36, 95), pt(5, 92)),
		Cubic(pt(5, 92), pt(-6, 60), pt(8, 30), pt(0, 0)),
	}}
}
