package practice

import (
	"fmt"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

func line(ax, ay, bx, by float64) curve.Segment {
	return cubic(ax, ay, ax+(bx-ax)/3, ay+(by-ay)/3, ax+2*(bx-ax)/3, ay+2*(by-ay)/3, bx, by, true)
}

func cubic(ax, ay, bx, by, cx, cy, dx, dy float64, straight bool) curve.Segment {
	return curve.Segment{
		Line: straight,
		P0:   mat.Point{X: ax, Y: ay}, P1: mat.Point{X: bx, Y: by},
		P2: mat.Point{X: cx, Y: cy}, P3: mat.Point{X: dx, Y: dy},
	}
}

func arc(ax, ay, bx, by, cx, cy, dx, dy float64) curve.Segment {
	return cubic(ax, ay, bx, by, cx, cy, dx, dy, false)
}

// piece makes a piece of segments with an edge for each run of the counts.
func piece(id string, counts []int, segments ...curve.Segment) pattern.Piece {
	p := pattern.Piece{ID: id, Quantity: 1, Face: pattern.Front, Outline: curve.Path{Closed: true, Segments: segments}}
	first := 0
	for i, n := range counts {
		e := pattern.Edge{ID: fmt.Sprintf("%s%d", id, i+1), First: first, Count: n, Cut: pattern.Cut{Kind: pattern.Straight}}
		p.Edges = append(p.Edges, e)
		first += n
	}
	return p
}

// Pattern returns the true pattern of the practice photograph: a shield with a
// curved side, a gore, an L, and a disc with an opening.
func Pattern() pattern.Pattern {
	shield := piece("A", []int{1, 1, 2, 1},
		line(30, 25, 130, 25), line(130, 25, 130, 70),
		arc(130, 70, 130, 100, 105, 112, 80, 120), arc(80, 120, 55, 112, 30, 100, 30, 70),
		line(30, 70, 30, 25))
	shield.Marks = []pattern.Mark{
		{At: mat.Point{X: 80, Y: 25}, In: mat.Point{X: 80, Y: 31}},
		{At: mat.Point{X: 130, Y: 50}, In: mat.Point{X: 124, Y: 50}},
	}
	shield.Lines = []pattern.InsideLine{{Path: curve.Path{Segments: []curve.Segment{line(80, 45, 80, 100)}}}}
	gore := piece("B", []int{1, 1, 1},
		arc(165, 130, 175, 90, 190, 55, 215, 25), arc(215, 25, 240, 55, 255, 90, 265, 130), line(265, 130, 165, 130))
	ell := piece("C", []int{1, 1, 1, 1, 1, 1},
		line(40, 140, 80, 140), line(80, 140, 80, 175), line(80, 175, 140, 175),
		line(140, 175, 140, 210), line(140, 210, 40, 210), line(40, 210, 40, 140))
	disc := piece("D", []int{4}, circle(215, 178, 32)...)
	disc.Openings = []curve.Path{{Closed: true, Segments: reversed(circle(215, 178, 12))}}
	return pattern.Pattern{Name: "practice", Pieces: []pattern.Piece{shield, gore, ell, disc}}
}

// circle is four cubics, clockwise to the eye with y down.
func circle(x, y, r float64) []curve.Segment {
	const k = 0.5522847498
	return []curve.Segment{
		arc(x+r, y, x+r, y+k*r, x+k*r, y+r, x, y+r), arc(x, y+r, x-k*r, y+r, x-r, y+k*r, x-r, y),
		arc(x-r, y, x-r, y-k*r, x-k*r, y-r, x, y-r), arc(x, y-r, x+k*r, y-r, x+r, y-k*r, x+r, y),
	}
}

func reversed(in []curve.Segment) []curve.Segment {
	out := make([]curve.Segment, len(in))
	for i, s := range in {
		out[len(in)-1-i] = curve.Segment{Line: s.Line, P0: s.P3, P1: s.P2, P2: s.P1, P3: s.P0}
	}
	return out
}

func loopsOf(p pattern.Pattern) [][]mat.Point {
	var out [][]mat.Point
	for _, x := range p.Pieces {
		out = append(out, x.Outline.Flatten(0.1))
		for _, o := range x.Openings {
			out = append(out, o.Flatten(0.1))
		}
	}
	return out
}

// moved returns a pattern with all its points moved.
func moved(p pattern.Pattern, to func(mat.Point) mat.Point) pattern.Pattern {
	path := func(in curve.Path) curve.Path {
		out := curve.Path{Closed: in.Closed}
		for _, s := range in.Segments {
			out.Segments = append(out.Segments, curve.Segment{Line: s.Line, P0: to(s.P0), P1: to(s.P1), P2: to(s.P2), P3: to(s.P3)})
		}
		return out
	}
	for i := range p.Pieces {
		x := &p.Pieces[i]
		x.Outline = path(x.Outline)
		for k := range x.Openings {
			x.Openings[k] = path(x.Openings[k])
		}
		for k := range x.Lines {
			x.Lines[k].Path = path(x.Lines[k].Path)
		}
		for k := range x.Marks {
			x.Marks[k].At, x.Marks[k].In = to(x.Marks[k].At), to(x.Marks[k].In)
		}
	}
	return p
}
