package desk

import (
	"math"
	"strconv"

	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
)

// paintSheet draws the sheet of known size: its corners by number, its sides,
// and the length of the two that say which way round it lies.
func (e *editor) paintSheet(p painter) {
	x := e.s.Document().Sheet
	pts := make([]view.Point, len(x.Corners))
	for i, c := range x.Corners {
		pts[i] = p.view.ToDevice(view.Point(c))
	}
	loop := pts
	if len(pts) == session.SheetCorners {
		loop = append(pts[:len(pts):len(pts)], pts[0])
	}
	p.Polyline(loop, 3.5*p.px, p.pal.halo)
	p.Polyline(loop, 1.5*p.px, p.pal.accent)
	for i, at := range pts {
		e.paintMarker(p, at, true, p.pal.accent)
		if i == e.corner {
			p.Circle(at, 11*p.px, 4*p.px, p.pal.halo)
			p.Circle(at, 11*p.px, 2*p.px, p.pal.accent)
		}
	}
	if e.text == nil || p.magnified {
		return
	}
	e.nameCorners(p, pts)
	if len(pts) == session.SheetCorners && x.WidthMM > 0 && x.HeightMM > 0 {
		e.nameSide(p, pts[0], pts[1], x.WidthMM)
		e.nameSide(p, pts[1], pts[2], x.HeightMM)
	}
}

// nameCorners writes the corners' numbers, away from the sheet's middle.
func (e *editor) nameCorners(p painter, pts []view.Point) {
	var mid view.Point
	for _, q := range pts {
		mid.X, mid.Y = mid.X+q.X/float64(len(pts)), mid.Y+q.Y/float64(len(pts))
	}
	for i, q := range pts {
		dx, dy := q.X-mid.X, q.Y-mid.Y
		l := math.Hypot(dx, dy)
		if l < 1 {
			dx, dy, l = -1, -1, math.Sqrt2
		}
		e.tag(p, view.Point{X: q.X + 24*p.px*dx/l, Y: q.Y + 24*p.px*dy/l}, strconv.Itoa(i+1), p.pal.accent)
	}
}

// nameSide writes a side's length on its middle.
func (e *editor) nameSide(p painter, a, b view.Point, mm float64) {
	e.tag(p, view.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, e.system.Typed(mm), p.pal.accent)
}
