package dxf

import (
	"fmt"
	"strconv"
	"strings"

	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// tags are the pairs of a code and a value that a DXF is made of.
type tags struct{ strings.Builder }

func (t *tags) put(code int, value string) { fmt.Fprintf(t, "%3d\n%s\n", code, value) }

func (t *tags) putInt(code, value int) { t.put(code, strconv.Itoa(value)) }

// putMM writes a length to a nanometre: seven of ten digits that a reader keeps.
func (t *tags) putMM(code int, value float64) {
	s := strconv.FormatFloat(value, 'f', 6, 64)
	if strings.Trim(s, "-0.") == "" {
		s = "0.000000"
	}
	t.put(code, s)
}

func (t *tags) putPoint(code int, x, y float64) {
	t.putMM(code, x)
	t.putMM(code+10, y)
	t.putMM(code+20, 0)
}

// handle gives out the next one. The first hundreds are the tables' own.
func (d *drawing) handle() string {
	d.handles++
	return fmt.Sprintf("%X", firstHandle+d.handles)
}

// entity begins one. subclasses are what AC1015 wants named before its data.
func (d *drawing) entity(kind, layer string, subclasses ...string) {
	d.put(0, kind)
	if d.form == R12 {
		d.put(8, layer)
		return
	}
	d.put(5, d.handle())
	d.put(330, handleModelRecord)
	d.put(100, "AcDbEntity")
	d.put(8, layer)
	for _, s := range subclasses {
		d.put(100, s)
	}
}

func (d *drawing) line(layer string, a, b mat.Point) {
	d.entity("LINE", layer, "AcDbLine")
	d.putPoint(10, d.x(a), d.y(a))
	d.putPoint(11, d.x(b), d.y(b))
}

// polyline draws straight stretches between vertices.
func (d *drawing) polyline(layer string, pts []mat.Point, closed bool) {
	flag := 0
	if closed {
		flag = 1
	}
	if d.form != R12 {
		d.entity("LWPOLYLINE", layer, "AcDbPolyline")
		d.putInt(90, len(pts))
		d.putInt(70, flag)
		for _, p := range pts {
			d.putMM(10, d.x(p))
			d.putMM(20, d.y(p))
		}
		return
	}
	d.entity("POLYLINE", layer)
	d.putInt(66, 1)
	d.putPoint(10, 0, 0)
	d.putInt(70, flag)
	for _, p := range pts {
		d.entity("VERTEX", layer)
		d.putPoint(10, d.x(p), d.y(p))
	}
	d.entity("SEQEND", layer)
}

// spline draws a path as one cubic spline whose pieces are the path's own
// segments: a chain of n cubics has 3n+1 control points and inner knots of
// multiplicity 3 (Piegl and Tiller, The NURBS Book, 1997, 5.3, from memory).
func (d *drawing) spline(layer string, c curve.Path) {
	n := len(c.Segments)
	d.entity("SPLINE", layer, "AcDbSpline")
	const planar = 8
	d.putInt(70, planar)
	d.putInt(71, 3)
	d.putInt(72, 3*n+5)
	d.putInt(73, 3*n+1)
	d.putInt(74, 0)
	for k := range n + 1 {
		times := 3
		if k == 0 || k == n {
			times = 4
		}
		for range times {
			d.putMM(40, float64(k))
		}
	}
	first := c.Segments[0].P0
	d.putPoint(10, d.x(first), d.y(first))
	for _, s := range c.Segments {
		for _, p := range controls(s) {
			d.putPoint(10, d.x(p), d.y(p))
		}
	}
}

// controls are a segment's control points but the first; a straight one's
// stand at its thirds.
func controls(s curve.Segment) [3]mat.Point {
	if !s.Line {
		return [3]mat.Point{s.P1, s.P2, s.P3}
	}
	at := func(t float64) mat.Point {
		return mat.Point{X: s.P0.X + t*(s.P3.X-s.P0.X), Y: s.P0.Y + t*(s.P3.Y-s.P0.Y)}
	}
	return [3]mat.Point{at(1.0 / 3), at(2.0 / 3), s.P3}
}

// label writes what is to be read on a piece, each line centred on its
// baseline.
func (d *drawing) label(p *pattern.Piece, other []page.OtherFaceLine) {
	l := draw.LabelOf(p, other)
	for k, line := range l.Lines {
		if line == "" {
			continue
		}
		at := mat.Point{X: l.At.X, Y: l.At.Y + l.FirstBaseline() + float64(k)*draw.LabelStep*l.CapMM}
		d.entity("TEXT", layerText, "AcDbText")
		d.putPoint(10, d.x(at), d.y(at))
		d.putMM(40, l.CapMM)
		d.put(1, d.text(line))
		const centred, baseline = 1, 0
		d.putInt(72, centred)
		d.putPoint(11, d.x(at), d.y(at))
		if d.form != R12 {
			d.put(100, "AcDbText")
		}
		d.putInt(73, baseline)
	}
}
