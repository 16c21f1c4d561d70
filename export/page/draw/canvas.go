// Package draw draws the pages: cover, map, tables and tiles. It speaks to a
// Canvas, so that print and preview come from the same code.
//
// The frame: millimetres on the page, the origin at its top-left corner,
// x right, y down. A canvas with another frame changes over at its own door.
package draw

import (
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Point is a position on a page, in mm of the frame above.
type Point struct{ X, Y float64 }

// Verb is a step of a path.
type Verb uint8

// The verbs: Move and Line use To; Cubic uses C1, C2 and To.
const (
	Move Verb = iota
	Line
	Cubic
	Close
)

// Step is one step of a path.
type Step struct {
	Verb   Verb
	C1, C2 Point
	To     Point
}

// Path is a run of steps, beginning with a Move.
type Path []Step

// Pen is how a path is stroked: butt ends, round joins.
type Pen struct {
	WidthMM float64
	DashMM  []float64
	Colour  page.Colour
}

// Words are a line of text. At is the left end of the baseline; TurnRad turns
// the line about it, clockwise to the eye.
type Words struct {
	At      Point
	Text    string
	Face    *lettering.Face
	CapMM   float64
	Colour  page.Colour
	TurnRad float64
}

// Canvas is what pages are drawn on. Text holds only letters that the face
// has (lettering.Face.Clean).
type Canvas interface {
	Stroke(Path, Pen)
	Fill(Path, page.Colour)
	Text(Words)
	// Clip keeps what follows inside the rectangle until Unclip.
	Clip(page.Rect)
	Unclip()
}

// frame places a pattern on a page: scale, then shift. It cannot mirror.
type frame struct{ scale, dx, dy float64 }

func (f frame) point(p mat.Point) Point {
	return Point{p.X*f.scale + f.dx, p.Y*f.scale + f.dy}
}

// path returns a curve on the page.
func (f frame) path(c curve.Path) Path {
	var p Path
	for i, s := range c.Segments {
		if i == 0 {
			p = append(p, Step{Verb: Move, To: f.point(s.P0)})
		}
		if s.Line {
			p = append(p, Step{Verb: Line, To: f.point(s.P3)})
			continue
		}
		p = append(p, Step{Verb: Cubic, C1: f.point(s.P1), C2: f.point(s.P2), To: f.point(s.P3)})
	}
	if c.Closed && len(p) > 0 {
		p = append(p, Step{Verb: Close})
	}
	return p
}

func segmentPath(x0, y0, x1, y1 float64) Path {
	return Path{{Verb: Move, To: Point{x0, y0}}, {Verb: Line, To: Point{x1, y1}}}
}

func rectPath(r page.Rect) Path {
	return polygon(Point{r.MinX, r.MinY}, Point{r.MaxX, r.MinY}, Point{r.MaxX, r.MaxY}, Point{r.MinX, r.MaxY})
}

func polygon(pts ...Point) Path {
	var p Path
	for i, at := range pts {
		verb := Line
		if i == 0 {
			verb = Move
		}
		p = append(p, Step{Verb: verb, To: at})
	}
	return append(p, Step{Verb: Close})
}

// pen returns the pen of a style.
func pen(s page.Style) Pen {
	return Pen{WidthMM: s.WidthMM, DashMM: s.DashMM(), Colour: s.Colour}
}

func thin(c page.Colour) Pen { return Pen{WidthMM: 0.18, Colour: c} }

// align is where a text's anchor is.
type align uint8

const (
	left align = iota
	centre
	right
)

// write draws a text with its baseline at y and returns its width.
func write(c Canvas, x, y float64, a align, s string, f *lettering.Face, capMM float64, col page.Colour) float64 {
	s = f.Clean(s)
	if s == "" {
		return 0
	}
	w := f.WidthMM(s, capMM)
	switch a {
	case centre:
		x -= w / 2
	case right:
		x -= w
	}
	c.Text(Words{At: Point{x, y}, Text: s, Face: f, CapMM: capMM, Colour: col})
	return w
}

// turned returns p turned by rad about the origin, clockwise to the eye.
func turned(p mat.Point, rad float64) mat.Point {
	s, c := math.Sincos(rad)
	return mat.Point{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
}
