package desk

import (
	"fmt"
	"math"

	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
)

// paintRulers draws millimetres or inches along the top and the left.
func (e *editor) paintRulers(p painter) {
	if e.small == nil {
		return
	}
	top, left, w, h := rulerPx*e.px, leftRulerPx*e.px, float64(e.w), float64(e.h)
	e.front.FillRect(view.Rect{Max: view.Point{X: w, Y: top}}, e.pal.panel)
	e.front.FillRect(view.Rect{Max: view.Point{X: left, Y: h}}, e.pal.panel)
	v := e.view()
	e.ticks(v.Offset.X, left, w, func(x, length float64, text string) {
		e.front.Line(view.Point{X: x, Y: top - length}, view.Point{X: x, Y: top}, e.px, e.pal.ink)
		e.front.Text(e.small, view.Point{X: x + 3*e.px, Y: 12 * e.px}, text, e.pal.ink)
	})
	e.ticks(v.Offset.Y, top, h, func(y, length float64, text string) {
		e.front.Line(view.Point{X: left - length, Y: y}, view.Point{X: left, Y: y}, e.px, e.pal.ink)
		e.front.Text(e.small, view.Point{X: left - 8*e.px - e.small.Width(text), Y: y + 12*e.px}, text, e.pal.ink)
	})
	e.front.FillRect(view.Rect{Max: view.Point{X: left, Y: top}}, e.pal.panel)
	e.front.Text(e.small, view.Point{X: 7 * e.px, Y: 16 * e.px}, e.unitWord(), e.pal.faint)
	p.Line(view.Point{X: left, Y: top}, view.Point{X: w, Y: top}, e.px, e.pal.hairline)
	p.Line(view.Point{X: left, Y: top}, view.Point{X: left, Y: h}, e.px, e.pal.hairline)
}

// unitWord is the unit of the rulers.
func (e *editor) unitWord() string { return unitWord(e.system) }

func unitWord(s units.System) string {
	if s == units.Inches {
		return tr.inches
	}
	return tr.millimetres
}

// division is how a ruler is divided: its unit in mm, the numbered step in that
// unit, and the parts of a step.
func (e *editor) division(minPx float64) (unitMM, step float64, parts int) {
	if e.system == units.Inches {
		return units.MMPerInch, e.view().InchStep(minPx), 8
	}
	return 1, e.view().RulerStep(minPx), 10
}

// ticks calls draw for every part of a ruler's step between two device
// positions; text is empty but at whole steps.
func (e *editor) ticks(offset, from, to float64, draw func(at, length float64, text string)) {
	unit, step, parts := e.division(64 * e.px)
	scale, n := e.view().Scale*unit, float64(parts)
	for k := math.Ceil((from - offset) / scale / step * n); ; k++ {
		at := offset + k*step/n*scale
		if !(at <= to) {
			return
		}
		text := ""
		if isMultiple(k, parts) {
			text = fmt.Sprintf("%g", rounded(k*step/n))
		}
		draw(at, e.tick(k, parts), text)
	}
}

// tick is the length of the k-th part of a ruler's step.
func (e *editor) tick(k float64, parts int) float64 {
	switch {
	case isMultiple(k, parts):
		return 10 * e.px
	case isMultiple(k, parts/2):
		return 6 * e.px
	}
	return 3 * e.px
}

func isMultiple(k float64, of int) bool { return int(math.Round(k))%of == 0 }

// rounded leaves no -0.
func rounded(v float64) float64 { return math.Round(v*1000)/1000 + 0 }
