package scene

import (
	"math"

	"flatwright/rectify/mat"
)

// ChordMM is how far a drawn outline may leave its curve. The drawn polygon
// itself is the truth, so nothing is lost by it.
const ChordMM = 0.01

// contour builds a closed outline of lines and cubic curves and notes its
// corners: nodes where the direction turns by more than 12 degrees.
type contour struct {
	points  []mat.Point
	nodes   []node
	start   mat.Point
	current mat.Point
	outDir  mat.Point // direction in which the first segment leaves
	lastDir mat.Point
}

type node struct {
	at      mat.Point
	in, out mat.Point
}

func begin(x, y float64) *contour {
	p := mat.Point{X: x, Y: y}
	return &contour{start: p, current: p, points: []mat.Point{p}}
}

func (c *contour) enter(dir mat.Point) {
	if c.outDir == (mat.Point{}) {
		c.outDir = dir
		return
	}
	c.nodes = append(c.nodes, node{c.current, c.lastDir, dir})
}

func (c *contour) line(x, y float64) *contour {
	p := mat.Point{X: x, Y: y}
	d := sub(p, c.current)
	c.enter(d)
	c.points = append(c.points, p)
	c.current, c.lastDir = p, d
	return c
}

func (c *contour) curve(x1, y1, x2, y2, x3, y3 float64) *contour {
	b := [4]mat.Point{c.current, {X: x1, Y: y1}, {X: x2, Y: y2}, {X: x3, Y: y3}}
	c.enter(sub(b[1], b[0]))
	c.points = flatten(c.points, b, ChordMM)
	c.current, c.lastDir = b[3], sub(b[3], b[2])
	return c
}

// bow draws an arc-like cubic to (x, y) that stands off the chord by sag mm,
// to the left of the way there (outwards on a clockwise outline, y down).
func (c *contour) bow(x, y, sag float64) *contour {
	a, b := c.current, mat.Point{X: x, Y: y}
	d := sub(b, a)
	l := math.Hypot(d.X, d.Y)
	n := scale(mat.Point{X: d.Y, Y: -d.X}, 4.0/3*sag/l)
	p, q := add(lerp(a, b, 1.0/3), n), add(lerp(a, b, 2.0/3), n)
	return c.curve(p.X, p.Y, q.X, q.Y, x, y)
}

// close ends the outline and returns it clockwise to the eye.
func (c *contour) close() shapeOutline {
	if dist(c.current, c.start) > 1e-9 {
		c.line(c.start.X, c.start.Y)
	}
	c.nodes = append(c.nodes, node{c.start, c.lastDir, c.outDir})
	var o shapeOutline
	o.points = c.points[:len(c.points)-1]
	for _, n := range c.nodes {
		if math.Abs(math.Atan2(cross(n.in, n.out), dot(n.in, n.out))) > radians(12) {
			o.corners = append(o.corners, n.at)
		}
	}
	if signedArea(o.points) < 0 {
		reverse(o.points)
	}
	return o
}

// shapeOutline is a finished outline.
type shapeOutline struct {
	points, corners []mat.Point
}

func (o shapeOutline) moved(m motion) shapeOutline {
	return shapeOutline{m.applyAll(o.points), m.applyAll(o.corners)}
}

// ellipse is an outline without corners.
func ellipse(cx, cy, rx, ry float64) shapeOutline {
	const k = 0.5522847498 // circle by four cubics, error 3e-4 of the radius
	return begin(cx+rx, cy).
		curve(cx+rx, cy+k*ry, cx+k*rx, cy+ry, cx, cy+ry).
		curve(cx-k*rx, cy+ry, cx-rx, cy+k*ry, cx-rx, cy).
		curve(cx-rx, cy-k*ry, cx-k*rx, cy-ry, cx, cy-ry).
		curve(cx+k*rx, cy-ry, cx+rx, cy-k*ry, cx+rx, cy).close()
}

func reverse(ps []mat.Point) {
	for i, j := 0, len(ps)-1; i < j; i, j = i+1, j-1 {
		ps[i], ps[j] = ps[j], ps[i]
	}
}

// flatten appends points of a cubic (not its start) with chords within tol:
// the second difference bounds the error of n equal steps, |b”|/(8 n²).
func flatten(out []mat.Point, b [4]mat.Point, tolMM float64) []mat.Point {
	dd := func(p, q, r mat.Point) float64 { return math.Hypot(p.X-2*q.X+r.X, p.Y-2*q.Y+r.Y) }
	second := 6 * max(dd(b[0], b[1], b[2]), dd(b[1], b[2], b[3]))
	n := max(1, int(math.Ceil(math.Sqrt(second/(8*tolMM)))))
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		w := [4]float64{u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t}
		var p mat.Point
		for k, q := range b {
			p = add(p, scale(q, w[k]))
		}
		out = append(out, p)
	}
	return out
}
