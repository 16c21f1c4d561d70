package desk

import (
	"image/color"

	"flatwright/app/desk/raster"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
)

// onScreen returns the device position of a point of the mat.
func (e *editor) onScreen(m view.Point) view.Point {
	if v, ok := e.s.View(); ok && e.space == session.InPhoto {
		m = view.Point(v.ToPhoto(mat.Point(m)))
	}
	return e.view().ToDevice(m)
}

// paintCorners draws the placed corners: a ring with a gap in the middle, so
// that the crossing stays visible, and number and count beside it.
func (e *editor) paintCorners(p painter) {
	for i, c := range e.s.Document().Corners {
		at := p.view.ToDevice(view.Point(c.At))
		ink := p.pal.accent
		if !c.Known {
			ink = p.pal.needs
		}
		e.paintMarker(p, at, c.Snapped, ink)
		if i == e.corner {
			p.Circle(at, 11*p.px, 4*p.px, p.pal.halo)
			p.Circle(at, 11*p.px, 2*p.px, ink)
		}
		if e.text != nil && !p.magnified {
			label := cornerTitle(i, c)
			e.tag(p, view.Point{X: at.X + e.text.Width(label)/2 + 18*p.px, Y: at.Y - 16*p.px}, label, ink)
		}
	}
}

// paintMarker draws a corner that snapped as a ring with four ticks, one
// placed freely as a diamond.
func (e *editor) paintMarker(p painter, at view.Point, snapped bool, ink color.NRGBA) {
	const radius = 7
	if !snapped {
		r := (radius + 2) * p.px
		diamond := []view.Point{{X: at.X - r, Y: at.Y}, {X: at.X, Y: at.Y - r}, {X: at.X + r, Y: at.Y}, {X: at.X, Y: at.Y + r}, {X: at.X - r, Y: at.Y}}
		p.Polyline(diamond, 4*p.px, p.pal.halo)
		p.Polyline(diamond, 2*p.px, ink)
		return
	}
	p.Circle(at, radius*p.px, 4*p.px, p.pal.halo)
	p.Circle(at, radius*p.px, 2*p.px, ink)
	for _, d := range [4]view.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
		a, b := radius*p.px, (radius-5)*p.px
		p.Line(view.Point{X: at.X + d.X*a, Y: at.Y + d.Y*a}, view.Point{X: at.X + d.X*b, Y: at.Y + d.Y*b}, p.px, ink)
	}
}

// paintPreview draws the squares that the placed corners ask for, so that a
// wrong count is seen before squaring up.
func (e *editor) paintPreview(p painter) {
	known := e.s.UsableCorners()
	h, err := session.SolveHomography(known)
	if err != nil {
		return
	}
	lo, hi := known[0], known[0]
	for _, c := range known {
		lo.Column, hi.Column = min(lo.Column, c.Column), max(hi.Column, c.Column)
		lo.Row, hi.Row = min(lo.Row, c.Row), max(hi.Row, c.Row)
	}
	if hi.Column-lo.Column > 200 || hi.Row-lo.Row > 200 {
		return
	}
	for c := lo.Column; c <= hi.Column; c++ {
		e.previewLine(p, h, view.Point{X: float64(c), Y: float64(lo.Row)}, view.Point{X: float64(c), Y: float64(hi.Row)})
	}
	for r := lo.Row; r <= hi.Row; r++ {
		e.previewLine(p, h, view.Point{X: float64(lo.Column), Y: float64(r)}, view.Point{X: float64(hi.Column), Y: float64(r)})
	}
}

func (e *editor) previewLine(p painter, h session.Homography, from, to view.Point) {
	a, okA := h.ToPhoto(from.X, from.Y)
	b, okB := h.ToPhoto(to.X, to.Y)
	if okA && okB {
		p.Polyline([]view.Point{p.view.ToDevice(view.Point(a)), p.view.ToDevice(view.Point(b))}, p.px, withAlpha(p.pal.miss, 200))
	}
}

// loupePx is the magnifier's side in the toolkit's px, magnify its power.
const (
	loupePx = 184
	magnify = 4
)

// paintMagnifier shows the neighbourhood of the pointer four times as large
// beside it, with a crosshair on the very place.
func (e *editor) paintMagnifier() {
	centre, ok := e.loupeCentre()
	if !ok || e.pyramid == nil || e.space != session.InPhoto || e.gesture.kind == gesturePan {
		return
	}
	size := int(loupePx * e.px)
	at := e.view().ToWorld(centre)
	v := view.View{Scale: e.view().Scale * magnify}
	half := float64(size) / 2
	v.Offset = view.Point{X: half - at.X*v.Scale, Y: half - at.Y*v.Scale}
	e.loupe = raster.Resized(e.loupe, size, size)
	e.pyramid.Draw(e.loupe, v, e.pal.bench)
	p := e.painter(e.loupe, v)
	p.magnified = true
	e.paintWorld(p)
	e.paintTape(p)
	e.paintCrosshair(p, half)
	e.placeLoupe(centre, size)
}

// loupeCentre is the device position the magnifier shows: the pointer's, or
// the marker's that the keyboard moved last; false for none, as over a tape that is laid.
func (e *editor) loupeCentre() (view.Point, bool) {
	if m, ok := e.marker(e.corner); ok && e.nudged {
		return e.view().ToDevice(view.Point(m)), true
	}
	return e.pointer, e.pointerIn && !(e.tool == toolTape && len(e.tape) == 2)
}

// paintCrosshair leaves the middle free.
func (e *editor) paintCrosshair(p painter, half float64) {
	for _, d := range [4]view.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
		a := view.Point{X: half + d.X*5*p.px, Y: half + d.Y*5*p.px}
		b := view.Point{X: half + d.X*half*0.6, Y: half + d.Y*half*0.6}
		p.Line(a, b, 3*p.px, p.pal.halo)
		p.Line(a, b, p.px, p.pal.ink)
	}
	frame := view.Rect{Min: view.Point{X: p.px, Y: p.px}, Max: view.Point{X: 2*half - p.px, Y: 2*half - p.px}}
	p.StrokeRect(frame, 2*p.px, p.pal.ink)
	if e.text != nil {
		p.Tag(e.text, view.Point{X: 2*half - 18*p.px, Y: 2*half - 14*p.px}, tr.magnified, p.pal.ink, p.pal.panel)
	}
}

// placeLoupe puts the magnifier up and right of its centre, on the other side
// where there is no room.
func (e *editor) placeLoupe(centre view.Point, size int) {
	gap := int(28 * e.px)
	x, y := int(centre.X)+gap, int(centre.Y)-gap-size
	if x+size > e.w {
		x = int(centre.X) - gap - size
	}
	if y < 0 {
		y = int(centre.Y) + gap
	}
	e.front.Stamp(e.loupe, x, y)
}
