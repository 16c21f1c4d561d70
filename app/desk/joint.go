package desk

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// jointView draws the section of a joint at true proportions: both sheets with
// their cuts, the angle between their faces, and what gapes.
type jointView struct {
	joint  pattern.Joint
	shown  bool
	pal    palette
	system units.System
	canvas raster.Canvas
	text   *raster.Type
	textPx float64
	raster *canvas.Raster
}

// jointHeight is the height of the drawing, in the toolkit's px.
const jointHeight = 150

func newJointView() *jointView {
	v := &jointView{}
	v.raster = canvas.NewRaster(v.paint)
	v.raster.SetMinSize(fyne.NewSize(panelWidth-24, jointHeight))
	return v
}

// show puts a joint in; false clears the drawing.
func (v *jointView) show(j pattern.Joint, ok bool, pal palette, s units.System) {
	if v.shown == ok && v.joint == j && v.pal == pal && v.system == s {
		return
	}
	v.joint, v.shown, v.pal, v.system = j, ok, pal, s
	v.raster.Refresh()
}

// jointArm is how long each sheet is drawn, in thicknesses of the thicker one.
const jointArm = 3.2

// armMM returns how long the sheets of a joint are drawn.
func armMM(thicknessesMM ...float64) float64 {
	thick := 0.0
	for _, t := range thicknessesMM {
		thick = math.Max(thick, t)
	}
	return jointArm * thick
}

func (v *jointView) paint(w, h int) image.Image {
	v.canvas = raster.Resized(v.canvas, w, h)
	v.canvas.Fill(v.pal.bench)
	if !v.shown || w < 20 || h < 20 {
		return v.canvas.RGBA
	}
	px := float64(h) / jointHeight
	if v.text == nil || v.textPx != px {
		if t, err := raster.NewType(theme.DefaultTextFont().Content(), 13*px); err == nil {
			v.text, v.textPx = t, px
		}
	}
	p := jointPainter{Canvas: v.canvas, px: px}
	p.fit(v.joint, float64(w), float64(h))
	a, b := p.loop(v.joint.A), p.loop(v.joint.B)
	face := mix(v.pal.field, v.pal.ink, 0.12)
	p.FillPolygon([][]view.Point{a}, face)
	p.FillPolygon([][]view.Point{b}, face)
	p.overlap(a, b, v.pal.needs)
	if v.joint.WedgeDeg < -closedDeg {
		p.gap([]view.Point{a[1], a[2], b[2], a[1]}, v.pal.needs)
	}
	for _, s := range [][]view.Point{a, b} {
		p.sheet(s, v.pal)
	}
	v.words(p)
	return v.canvas.RGBA
}

// words writes the angle inside, and what gapes where.
func (v *jointView) words(p jointPainter) {
	if v.text == nil {
		return
	}
	_, h := p.Size()
	angle := units.FormatDeg(v.joint.InteriorDeg)
	p.Text(v.text, view.Point{X: 8 * p.px, Y: 18 * p.px}, fmt.Sprintf(tr.seam.inside, angle), v.pal.ink)
	if line := gapWords(v.joint, v.system); line != "" {
		p.Text(v.text, view.Point{X: 8 * p.px, Y: float64(h) - 8*p.px}, line, v.pal.needs)
	}
}

// Below these a joint closes: no blade cuts finer.
const (
	closedDeg = 0.05
	closedMM  = 0.05
)

// gapWords says what is wrong with a joint; empty when it closes.
func gapWords(j pattern.Joint, s units.System) string {
	switch {
	case j.WedgeDeg > closedDeg:
		return fmt.Sprintf(tr.seam.gapFront, s.Residual(j.GapMM, 1))
	case j.WedgeDeg < -closedDeg:
		return fmt.Sprintf(tr.seam.gapBack, s.Residual(j.GapMM, 1))
	case math.Abs(j.StepMM) > closedMM:
		return fmt.Sprintf(tr.seam.step, s.Residual(math.Abs(j.StepMM), 1))
	}
	return ""
}

// jointPainter maps a section in mm to the drawing.
type jointPainter struct {
	raster.Canvas
	px, scale float64
	off       mat.Point
}

// fit makes the section fill the drawing, with room for the words.
func (p *jointPainter) fit(j pattern.Joint, w, h float64) {
	lo, hi := j.A[0], j.A[0]
	for _, q := range append(j.A[:], j.B[:]...) {
		lo.X, lo.Y = math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)
		hi.X, hi.Y = math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)
	}
	border, words := 10*p.px, 24*p.px
	p.scale = math.Min((w-2*border)/math.Max(hi.X-lo.X, 1e-6), (h-2*words)/math.Max(hi.Y-lo.Y, 1e-6))
	p.off = mat.Point{
		X: w/2 - p.scale*(lo.X+hi.X)/2,
		Y: h/2 - p.scale*(lo.Y+hi.Y)/2,
	}
}

func (p *jointPainter) loop(q [4]mat.Point) []view.Point {
	out := make([]view.Point, 5)
	for i := range out {
		c := q[i%4]
		out[i] = view.Point{X: p.off.X + p.scale*c.X, Y: p.off.Y + p.scale*c.Y}
	}
	return out
}

// sheet draws a section's outline: the front face bold, the far end open.
func (p *jointPainter) sheet(s []view.Point, pal palette) {
	p.Line(s[0], s[1], 3*p.px, pal.ink)
	p.Line(s[1], s[2], 2*p.px, pal.accent)
	p.Line(s[2], s[3], 1.2*p.px, pal.ink)
}

// gap fills the wedge that stays open between the cut surfaces with dots; an
// overlap is hatched.
func (p *jointPainter) gap(wedge []view.Point, ink color.NRGBA) {
	w, h := p.Size()
	every := 4 * max(1, int(p.px))
	for y := 0; y < h; y += every {
		for x := (y / every % 2) * every / 2; x < w; x += every {
			if q := (view.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}); view.Inside(wedge, q) {
				p.FillDisc(q, 1.4*p.px, ink)
			}
		}
	}
	p.Line(wedge[1], wedge[2], 1.2*p.px, ink)
}

// overlap hatches what both sheets would fill: it must be cut away, or the
// joint gapes elsewhere.
func (p *jointPainter) overlap(a, b []view.Point, ink color.NRGBA) {
	w, h := p.Size()
	const every = 5
	for y := range h {
		for x := range w {
			if (x+y)%(every*max(1, int(p.px))) != 0 {
				continue
			}
			q := view.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			if view.Inside(a, q) && view.Inside(b, q) {
				p.FillRect(view.Rect{Min: view.Point{X: float64(x), Y: float64(y)}, Max: view.Point{X: float64(x + 1), Y: float64(y + 1)}}, ink)
			}
		}
	}
}
