package desk

import (
	"fmt"
	"image/color"
	"math"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
)

// sureLevelsMM divide "±" into bands; they are the same for every photograph,
// so that two can be compared.
var sureLevelsMM = []float64{0.05, 0.1, 0.2, 0.5}

// contourLevelsMM are the lines of equal "±" that are drawn; they go on below
// the first band, so that a good photograph shows its best places too.
var contourLevelsMM = []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2}

// exaggerations are how many times longer than they are misses can be drawn.
var exaggerations = [...]float64{50, 100, 200}

// sureBands are the colours of the bands, of Okabe and Ito's set; the best one
// has none. Lines labelled in mm divide them, so that nothing rests on colour.
func sureBands(alpha uint8) []color.NRGBA {
	return []color.NRGBA{
		{},
		withAlpha(hex(0x56B4E9), alpha), withAlpha(hex(0xF0E442), alpha),
		withAlpha(hex(0xE69F00), alpha+20), withAlpha(hex(0xD55E00), alpha+40),
	}
}

// shadeAlpha leaves the photograph to be seen.
const shadeAlpha = 80

// paintShade lays "±" over the background.
func (e *editor) paintShade(f *session.Field) {
	if f == nil {
		return
	}
	v := e.view()
	box := view.Rect{Min: v.ToDevice(f.Bounds.Min), Max: v.ToDevice(f.Bounds.Max)}
	e.back.Shade(raster.Lattice{Bounds: box, Columns: f.Columns, Rows: f.Rows, Values: f.MM}, sureLevelsMM, sureBands(shadeAlpha))
}

// labelledFromPx is how long a line of equal "±" must be to be labelled, and
// how far apart its labels stand.
const (
	labelledFromPx = 90
	labelEveryPx   = 420
)

// paintContours draws the lines of equal "±", labelled, and the outline of the
// mat's lines that were read.
func (e *editor) paintContours(p painter) {
	if !e.shade || e.placing() || e.onPaper() {
		return
	}
	f := e.s.Sureness(e.space)
	if f == nil {
		return
	}
	if hull := e.s.Hull().In(p.space); len(hull) > 0 {
		pts := p.thinned(hull)
		p.Polyline(pts, 3.5*p.px, p.pal.halo)
		p.Dashed(pts, []float64{10 * p.px, 6 * p.px}, 1.5*p.px, p.pal.ink)
	}
	labels := labelling{e: e, p: p}
	for _, c := range e.contours(f) {
		pts := p.brief(c.Points)
		p.Polyline(pts, 3*p.px, withAlpha(p.pal.halo, 170))
		p.Polyline(pts, 1.2*p.px, p.pal.ink)
		labels.add(pts, e.system.Residual(c.LevelMM, decimalsOf(c.LevelMM)))
	}
	labels.paint()
}

// decimalsOf is how many decimals a level needs.
func decimalsOf(mm float64) int {
	switch {
	case mm >= 1:
		return 0
	case mm >= 0.1:
		return 1
	}
	return 2
}

// contours are kept with the field they were drawn from.
func (e *editor) contours(f *session.Field) []session.Contour {
	if e.contoursOf != f {
		e.contoursOf, e.contourLines = f, f.Contours(contourLevelsMM)
	}
	return e.contourLines
}

// labelling finds places for labels along lines, clear of each other.
type labelling struct {
	e     *editor
	p     painter
	boxes []view.Rect
	texts []string
}

// add labels the part of a line that can be seen.
func (l *labelling) add(pts []view.Point, text string) {
	if l.e.small == nil {
		return
	}
	w, h := l.p.Size()
	margin := 40 * l.p.px
	inside := view.Rect{Min: view.Point{X: margin, Y: margin}, Max: view.Point{X: float64(w) - margin, Y: float64(h) - margin}}
	run, next := 0.0, labelledFromPx*l.p.px/2
	for i := 1; i < len(pts); i++ {
		if !inside.Overlaps(view.Rect{Min: pts[i], Max: pts[i]}) {
			continue
		}
		run += math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
		if run >= next && l.put(pts[i], text) {
			next = run + labelEveryPx*l.p.px
		}
	}
}

// put places a label where there is room for it.
func (l *labelling) put(at view.Point, text string) bool {
	half := view.Point{X: l.e.small.Width(text)/2 + 8*l.p.px, Y: 11 * l.p.px}
	box := view.Rect{Min: view.Point{X: at.X - half.X, Y: at.Y - half.Y}, Max: view.Point{X: at.X + half.X, Y: at.Y + half.Y}}
	for _, b := range l.boxes {
		if b.Overlaps(box) {
			return false
		}
	}
	l.boxes, l.texts = append(l.boxes, box), append(l.texts, text)
	return true
}

// paint writes the labels over all lines.
func (l *labelling) paint() {
	for i, b := range l.boxes {
		at := view.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
		l.p.Tag(l.e.small, at, l.texts[i], l.p.pal.ink, withAlpha(l.p.pal.panel, 225))
	}
}

// needleFromPx is the least length of a stretch on the device for a needle of
// its own: shorter ones share one.
const needleFromPx = 11

// needleGroup returns how many stretches share a needle at the present zoom.
func (e *editor) needleGroup() int {
	for _, l := range e.s.FoundLines() {
		pts := l.Line.In(e.space)
		if n := len(pts) - 1; n > 0 {
			each := math.Hypot(pts[n].X-pts[0].X, pts[n].Y-pts[0].Y) / float64(n) * e.view().Scale
			group := 1
			for group < 16 && each*float64(group) < needleFromPx*e.px {
				group *= 2
			}
			return group
		}
	}
	return 1
}

// longestNeedlePx bounds a needle; a longer one ends in a bar. One shorter than
// shortestNeedlePx would be a dot without a direction, and is left out.
const (
	longestNeedlePx  = 70
	shortestNeedlePx = 2.5
)

// paintNeedles draws how far the stretches of the mat's lines miss, many times
// longer than it is.
func (e *editor) paintNeedles(p painter) {
	w, h := p.Size()
	seen := view.Rect{Max: view.Point{X: float64(w), Y: float64(h)}}.Grown(longestNeedlePx * p.px)
	for _, n := range e.s.Needles(p.space, e.needleGroup()) {
		a := p.view.ToDevice(n.At)
		if !seen.Overlaps(view.Rect{Min: a, Max: a}) {
			continue
		}
		k := e.exaggerated * e.view().Scale
		p.needle(a, view.Point{X: (n.To.X - n.At.X) * k, Y: (n.To.Y - n.At.Y) * k})
	}
}

// needle draws one needle from a device position.
func (p painter) needle(a, by view.Point) {
	length := math.Hypot(by.X, by.Y)
	if !(length >= shortestNeedlePx*p.px) {
		return
	}
	most := longestNeedlePx * p.px
	k := math.Min(1, most/length)
	b := view.Point{X: a.X + by.X*k, Y: a.Y + by.Y*k}
	p.Polyline([]view.Point{a, b}, 3.4*p.px, p.pal.halo)
	p.Polyline([]view.Point{a, b}, 1.6*p.px, p.pal.wrong)
	if k < 1 {
		t := 4 * p.px / length
		p.Line(view.Point{X: b.X - by.Y*t, Y: b.Y + by.X*t}, view.Point{X: b.X + by.Y*t, Y: b.Y - by.X*t}, 2*p.px, p.pal.wrong)
	}
}

// legendRow is one line of the legend: a sign and what it means.
type legendRow struct {
	sign func(p painter, box view.Rect)
	text string
}

// paintLegend explains shading, needles and misses at the lower left.
func (e *editor) paintLegend(p painter) {
	rows := e.legend()
	if len(rows) == 0 || e.small == nil {
		return
	}
	high, wide := 18*e.px, 0.0
	for _, r := range rows {
		wide = math.Max(wide, e.small.Width(r.text))
	}
	x, y := 10*e.px, float64(e.h)-10*e.px-high*float64(len(rows))-8*e.px
	if e.space == session.OnMat {
		x += leftRulerPx * e.px
	}
	plate := view.Rect{Min: view.Point{X: x, Y: y}, Max: view.Point{X: x + wide + 50*e.px, Y: y + high*float64(len(rows)) + 8*e.px}}
	p.FillRect(plate, withAlpha(e.pal.panel, 238))
	p.StrokeRect(plate, e.px, e.pal.hairline)
	for i, r := range rows {
		top := y + 4*e.px + high*float64(i)
		r.sign(p, view.Rect{Min: view.Point{X: x + 8*e.px, Y: top + 3*e.px}, Max: view.Point{X: x + 34*e.px, Y: top + high - 3*e.px}})
		p.Text(e.small, view.Point{X: x + 42*e.px, Y: top + high - 5*e.px}, r.text, e.pal.ink)
	}
}

// legend returns the lines of the legend; none when nothing needs one.
func (e *editor) legend() []legendRow {
	var rows []legendRow
	if _, ok := e.s.View(); !ok || e.placing() || e.onPaper() {
		return nil
	}
	if e.shade {
		bands := sureBands(2 * shadeAlpha)
		for i, b := range bands {
			rows = append(rows, legendRow{swatch(b), bandText(i, e.system)})
		}
		rows = append(rows, legendRow{dashedSign, tr.square.hullSign})
	}
	if e.needles {
		rows = append(rows, legendRow{needleSign, fmt.Sprintf(tr.square.needleSign, e.exaggerated)})
	}
	return append(rows, e.missLegend()...)
}

// bandText names a band by its limits.
func bandText(i int, s units.System) string {
	level := func(k int) string { return s.Residual(sureLevelsMM[k], decimalsOf(sureLevelsMM[k])) }
	switch {
	case i == 0:
		return fmt.Sprintf(tr.square.bandBelow, level(0))
	case i == len(sureLevelsMM):
		return fmt.Sprintf(tr.square.bandAbove, level(i-1))
	}
	return fmt.Sprintf(tr.square.bandTo, level(i))
}

func swatch(c color.NRGBA) func(painter, view.Rect) {
	return func(p painter, box view.Rect) {
		p.FillRect(box, c)
		p.StrokeRect(box, p.px, p.pal.ink)
	}
}

func dashedSign(p painter, box view.Rect) {
	y := (box.Min.Y + box.Max.Y) / 2
	p.Dashed([]view.Point{{X: box.Min.X, Y: y}, {X: box.Max.X, Y: y}}, []float64{8 * p.px, 4 * p.px}, 1.5*p.px, p.pal.ink)
}

func needleSign(p painter, box view.Rect) {
	y := box.Max.Y
	p.Line(view.Point{X: box.Min.X, Y: y}, view.Point{X: box.Max.X, Y: y}, p.px, p.pal.gridline)
	for i, part := range []float64{0.6, 1, 0.8} {
		x := box.Min.X + (box.Max.X-box.Min.X)*(float64(i)+0.5)/3
		p.Polyline([]view.Point{{X: x, Y: y}, {X: x, Y: y - part*(box.Max.Y-box.Min.Y)}}, 1.6*p.px, p.pal.wrong)
	}
}
