package desk

import (
	"image/color"
	"strconv"

	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
)

func toMat(p view.Point) mat.Point { return mat.Point(p) }

// paintTape draws the measuring tape and what it reads.
func (e *editor) paintTape(p painter) {
	if e.tool != toolTape || len(e.tape) == 0 || e.text == nil {
		return
	}
	to, ok := e.placeAt(e.pointer)
	if len(e.tape) > 1 {
		to, ok = e.tape[1], true
	}
	if !ok {
		return
	}
	a, b := e.seenBy(p, e.tape[0]), e.seenBy(p, to)
	e.paintSpan(p, a, b, p.pal.accent)
	if !p.magnified {
		mid := view.Point{X: (a.X + b.X) / 2, Y: (a.Y+b.Y)/2 - 16*p.px}
		e.tag(p, mid, tapeTitle(e.tape[0], to, e.system), p.pal.accent)
	}
}

// seenBy returns where a painter draws a point of the mat.
func (e *editor) seenBy(p painter, m view.Point) view.Point {
	if p.magnified {
		return p.view.ToDevice(e.view().ToWorld(e.onScreen(m)))
	}
	return e.onScreen(m)
}

// paintSpan draws a measured length between two device positions.
func (e *editor) paintSpan(p painter, a, b view.Point, ink color.NRGBA) {
	p.Line(a, b, 4*p.px, p.pal.halo)
	p.Line(a, b, 2*p.px, ink)
	for _, q := range []view.Point{a, b} {
		p.Circle(q, 4*p.px, 4*p.px, p.pal.halo)
		p.Circle(q, 4*p.px, 2*p.px, ink)
	}
}

// paintChecks draws the lengths that are being checked, by number.
func (e *editor) paintChecks(p painter) {
	if !e.showChecks || e.placing() || e.text == nil || e.onPaper() {
		return
	}
	v, ok := e.s.View()
	if !ok {
		return
	}
	for i, c := range e.s.Document().Checks {
		a, okA := v.ToMat(c.From)
		b, okB := v.ToMat(c.To)
		if !okA || !okB {
			continue
		}
		from, to := e.onScreen(view.Point(a)), e.onScreen(view.Point(b))
		e.paintSpan(p, from, to, p.pal.ink)
		e.tag(p, view.Point{X: (from.X + to.X) / 2, Y: (from.Y+to.Y)/2 - 14*p.px}, strconv.Itoa(i+1), p.pal.ink)
	}
}
