// Package specimen holds a pattern to print: the shell of a costume helmet,
// ten pieces with curves, corners, a dart, openings, bevels, undercuts,
// registration marks and inside lines. Tests and previews use it.
package specimen

import (
	"fmt"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Helmet returns the pattern as it would lie on a mat of 900 mm × 600 mm.
func Helmet() pattern.Pattern {
	return pattern.Pattern{Name: "Lantern guard helmet", Pieces: []pattern.Piece{
		crown("A", "Crown, left half", 30, 30, 6),
		browBand("B", 300, 36),
		cheek("C", "Cheek guard", 322, 130),
		visor("D", 560, 120),
		nasal("E", 500, 130),
		lame("F", "Neck lame, upper", 40, 300, 250),
		lame("G", "Neck lame, lower", 40, 390, 290),
		earDisc("H", 360, 330),
		ridge("I", 470, 330),
		rivetPlate("J", 660, 330),
	}}
}

// Chiral returns one piece that differs from its mirror image: a capital F.
// Its bar points right of the stem and lies above the middle.
func Chiral() pattern.Pattern {
	o := start("A", 20, 30).line(80, 30).line(80, 45).line(35, 45).line(35, 60).
		line(65, 60).line(65, 75).line(35, 75).line(35, 120).line(20, 120).done()
	p := o.piece("Letter F", 2, 5, pattern.Front)
	p.Marks = []pattern.Mark{{At: mat.Point{X: 80, Y: 37}, In: mat.Point{X: 74, Y: 37}}}
	return pattern.Pattern{Name: "Chiral", Pieces: []pattern.Piece{p}}
}

// outline is a piece being drawn: each step is a segment and, after corner
// or at a corner of lines, a new edge.
type outline struct {
	id       string
	at       mat.Point
	segments []curve.Segment
	edges    []pattern.Edge
}

func start(id string, x, y float64) *outline { return &outline{id: id, at: mat.Point{X: x, Y: y}} }

func (o *outline) add(s curve.Segment) *outline {
	o.edges = append(o.edges, pattern.Edge{
		ID: fmt.Sprintf("%s%d", o.id, len(o.edges)+1), First: len(o.segments), Count: 1,
		Cut: pattern.Cut{Kind: pattern.Straight},
	})
	o.segments = append(o.segments, s)
	o.at = s.P3
	return o
}

func (o *outline) line(x, y float64) *outline {
	return o.add(curve.Line(o.at, mat.Point{X: x, Y: y}))
}

func (o *outline) curve(x1, y1, x2, y2, x, y float64) *outline {
	return o.add(curve.Cubic(o.at, mat.Point{X: x1, Y: y1}, mat.Point{X: x2, Y: y2}, mat.Point{X: x, Y: y}))
}

// on lets the edge before run on over one more curve.
func (o *outline) on(x1, y1, x2, y2, x, y float64) *outline {
	o.curve(x1, y1, x2, y2, x, y)
	o.edges = o.edges[:len(o.edges)-1]
	o.edges[len(o.edges)-1].Count++
	return o
}

// done closes the outline with a line unless it is closed.
func (o *outline) done() *outline {
	if first := o.segments[0].P0; first != o.at {
		o.line(first.X, first.Y)
	}
	return o
}

func (o *outline) cut(edge int, kind pattern.CutKind, deg float64) *outline {
	o.edges[edge-1].Cut = pattern.Cut{Kind: kind, AngleDeg: deg}
	return o
}

func (o *outline) piece(name string, quantity int, thickness float64, face pattern.Face) pattern.Piece {
	return pattern.Piece{
		ID: o.id, Name: name, Outline: curve.Path{Segments: o.segments, Closed: true},
		Edges: o.edges, Quantity: quantity, ThicknessMM: thickness, Face: face,
	}
}

// circle returns an opening: anticlockwise to the eye.
func circle(x, y, r float64) curve.Path {
	const k = 0.5522847498
	p := func(dx, dy float64) mat.Point { return mat.Point{X: x + r*dx, Y: y + r*dy} }
	return curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(p(1, 0), p(1, -k), p(k, -1), p(0, -1)),
		curve.Cubic(p(0, -1), p(-k, -1), p(-1, -k), p(-1, 0)),
		curve.Cubic(p(-1, 0), p(-1, k), p(-k, 1), p(0, 1)),
		curve.Cubic(p(0, 1), p(k, 1), p(1, k), p(1, 0)),
	}}
}

func mark(x, y, dx, dy float64) pattern.Mark {
	return pattern.Mark{At: mat.Point{X: x, Y: y}, In: mat.Point{X: x + dx, Y: y + dy}}
}

func inside(points ...mat.Point) pattern.InsideLine {
	return pattern.InsideLine{Path: curve.Polyline(points...)}
}

// crown has a dart in its lower edge and a curved bevel.
func crown(id, name string, x, y, thickness float64) pattern.Piece {
	o := start(id, x, y+210).
		curve(x+2, y+90, x+90, y+4, x+200, y).
		on(x+225, y, x+240, y+10, x+252, y+30).
		curve(x+240, y+90, x+236, y+150, x+240, y+214).
		line(x+140, y+222).line(x+122, y+150).line(x+108, y+223).
		done().cut(1, pattern.Bevel, 45).cut(2, pattern.Bevel, 22.5)
	p := o.piece(name, 2, thickness, pattern.Front)
	p.Mirrored = true
	p.Marks = []pattern.Mark{mark(x+200, y, 0, 6), mark(x+238.5, y+150, -6, 0), mark(x+54, y+216.5, 0, -6)}
	p.Lines = []pattern.InsideLine{inside(mat.Point{X: x + 60, Y: y + 120}, mat.Point{X: x + 122, Y: y + 90}, mat.Point{X: x + 190, Y: y + 80})}
	return p
}

func browBand(id string, x, y float64) pattern.Piece {
	o := start(id, x, y+10).
		curve(x+120, y-14, x+340, y-14, x+470, y+10).
		line(x+466, y+44).
		curve(x+330, y+22, x+130, y+22, x+4, y+44).
		done().cut(1, pattern.Undercut, 15)
	p := o.piece("Brow band", 1, 4, pattern.Front)
	p.Marks = []pattern.Mark{mark(x+235, y-8, 0, 6), mark(x+235, y+27.5, 0, -6)}
	return p
}

func cheek(id, name string, x, y float64) pattern.Piece {
	o := start(id, x, y).
		line(x+110, y+6).
		curve(x+126, y+60, x+112, y+120, x+70, y+168).
		curve(x+50, y+160, x+36, y+150, x+24, y+132).
		curve(x+34, y+90, x+20, y+46, x, y).
		cut(1, pattern.Bevel, 30).cut(3, pattern.Bevel, 45)
	p := o.piece(name, 2, 6, pattern.Front)
	p.Mirrored = true
	p.Openings = []curve.Path{circle(x+88, y+36, 9)}
	p.Marks = []pattern.Mark{mark(x+55, y+3, 0, 7), mark(x+110.5, y+91, -7, -1)}
	return p
}

func visor(id string, x, y float64) pattern.Piece {
	o := start(id, x, y+26).
		curve(x+70, y-8, x+180, y-8, x+250, y+26).
		line(x+238, y+120).
		curve(x+190, y+150, x+150, y+170, x+125, y+186).
		curve(x+100, y+170, x+60, y+150, x+12, y+120).
		done().cut(1, pattern.Bevel, 45).cut(3, pattern.Bevel, 52.5).cut(4, pattern.Bevel, 52.5)
	p := o.piece("Visor", 1, 6, pattern.Front)
	eye := func(x0, x1 float64) curve.Path {
		return curve.Path{Closed: true, Segments: []curve.Segment{
			curve.Line(mat.Point{X: x0, Y: y + 58}, mat.Point{X: x0, Y: y + 72}),
			curve.Cubic(mat.Point{X: x0, Y: y + 72}, mat.Point{X: x0 + 25, Y: y + 80}, mat.Point{X: x1 - 25, Y: y + 80}, mat.Point{X: x1, Y: y + 72}),
			curve.Line(mat.Point{X: x1, Y: y + 72}, mat.Point{X: x1, Y: y + 58}),
			curve.Cubic(mat.Point{X: x1, Y: y + 58}, mat.Point{X: x1 - 25, Y: y + 50}, mat.Point{X: x0 + 25, Y: y + 50}, mat.Point{X: x0, Y: y + 58}),
		}}
	}
	p.Openings = []curve.Path{eye(x+34, x+108), eye(x+142, x+216)}
	p.Lines = []pattern.InsideLine{inside(mat.Point{X: x + 125, Y: y + 6}, mat.Point{X: x + 125, Y: y + 176})}
	return p
}

func nasal(id string, x, y float64) pattern.Piece {
	o := start(id, x, y).line(x+26, y).line(x+20, y+130).line(x+13, y+150).line(x+6, y+130).
		done().cut(2, pattern.Bevel, 30).cut(5, pattern.Bevel, 30)
	return o.piece("Nasal", 1, 10, pattern.Front)
}

func lame(id, name string, x, y, w float64) pattern.Piece {
	o := start(id, x, y+26).
		curve(x+w*0.3, y-8, x+w*0.7, y-8, x+w, y+26).
		line(x+w+8, y+66).
		curve(x+w*0.7, y+30, x+w*0.3, y+30, x-8, y+66).
		done().cut(3, pattern.Bevel, 20)
	p := o.piece(name, 1, 5, pattern.Back)
	p.Marks = []pattern.Mark{mark(x+w/2, y+0.5, 0, 6)}
	return p
}

func earDisc(id string, x, y float64) pattern.Piece {
	const r, k = 42.0, 42 * 0.5522847498
	cx, cy := x+r, y+r
	o := start(id, cx, cy-r).
		curve(cx+k, cy-r, cx+r, cy-k, cx+r, cy).
		on(cx+r, cy+k, cx+k, cy+r, cx, cy+r).
		curve(cx-k, cy+r, cx-r, cy+k, cx-r, cy).
		on(cx-r, cy-k, cx-k, cy-r, cx, cy-r)
	p := o.piece("Ear disc", 4, 8, pattern.Front)
	p.Openings = []curve.Path{circle(cx, cy, 12)}
	return p
}

func ridge(id string, x, y float64) pattern.Piece {
	o := start(id, x, y).
		curve(x+40, y+60, x+110, y+110, x+170, y+120).
		line(x+168, y+140).
		curve(x+90, y+128, x+20, y+70, x-16, y+8).
		done().cut(1, pattern.Bevel, 10).cut(3, pattern.Undercut, 10)
	return o.piece("Comb", 2, 5, pattern.Front)
}

func rivetPlate(id string, x, y float64) pattern.Piece {
	o := start(id, x, y).line(x+24, y).line(x+24, y+16).line(x, y+16).done()
	return o.piece("Rivet plate", 6, 3, pattern.Front)
}
