// Package raster draws the editor's picture in plain Go memory: antialiased
// lines, shapes and text over a photograph sampled from a pyramid. The picture
// is a packed *image.RGBA, because the window toolkit uploads nothing else
// without a copy.
//
// Positions are device pixels with the centre of the top-left pixel at
// (0.5, 0.5), so that a rectangle from 0 to 10 covers ten pixels.
package raster

import (
	"image"
	"image/color"
	"math"

	"flatwright/app/desk/view"
)

// Canvas is a picture that can be drawn on. The zero value is not usable.
type Canvas struct{ *image.RGBA }

// Resized returns a canvas of w by h device pixels, reusing old memory when it
// is large enough. The content is undefined.
func Resized(old Canvas, w, h int) Canvas {
	if old.RGBA != nil && old.Rect.Dx() == w && old.Rect.Dy() == h {
		return old
	}
	n := 4 * w * h
	if old.RGBA == nil || cap(old.Pix) < n {
		return Canvas{image.NewRGBA(image.Rect(0, 0, w, h))}
	}
	return Canvas{&image.RGBA{Pix: old.Pix[:n], Stride: 4 * w, Rect: image.Rect(0, 0, w, h)}}
}

// Size returns the width and height in device pixels.
func (c Canvas) Size() (w, h int) { return c.Rect.Dx(), c.Rect.Dy() }

// Fill paints everything in one opaque colour.
func (c Canvas) Fill(col color.NRGBA) {
	p := c.Pix
	if len(p) < 4 {
		return
	}
	p[0], p[1], p[2], p[3] = col.R, col.G, col.B, 255
	for n := 4; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}

// CopyFrom makes c the same picture as o, which has the same size.
func (c Canvas) CopyFrom(o Canvas) { copy(c.Pix, o.Pix) }

// blend lays a colour over the pixel that begins at byte i; cover is 0 to 256
// and already includes the colour's own alpha.
func blend(p []byte, i int, col color.NRGBA, cover int32) {
	q := p[i : i+3 : i+3]
	q[0] += byte((int32(col.R) - int32(q[0])) * cover >> 8)
	q[1] += byte((int32(col.G) - int32(q[1])) * cover >> 8)
	q[2] += byte((int32(col.B) - int32(q[2])) * cover >> 8)
}

// coverage turns a fraction of a pixel and an alpha into blend's scale.
func coverage(part float64, alpha uint8) int32 {
	if part >= 1 {
		return (int32(alpha)*257 + 128) >> 8
	}
	return int32(part * float64(alpha) * (256.0 / 255))
}

// clampSpan turns a range of positions into pixel indices inside [0, n).
func clampSpan(lo, hi float64, n int) (first, last int) {
	if !(hi >= 0) || !(lo < float64(n)) {
		return 0, -1
	}
	return max(0, int(math.Floor(lo))), min(n-1, int(math.Floor(hi)))
}

// FillRect paints the pixels whose centres lie in an upright rectangle.
func (c Canvas) FillRect(r view.Rect, col color.NRGBA) {
	w, h := c.Size()
	x0, x1 := clampSpan(r.Min.X+0.5, r.Max.X-0.5, w)
	y0, y1 := clampSpan(r.Min.Y+0.5, r.Max.Y-0.5, h)
	cover := coverage(1, col.A)
	for y := y0; y <= y1; y++ {
		c.run(y, x0, x1, col, cover)
	}
}

// FillDisc paints an antialiased disc.
func (c Canvas) FillDisc(at view.Point, radius float64, col color.NRGBA) {
	c.ring(at, 0, radius, col)
}

// Circle draws an antialiased circle line of the given width.
func (c Canvas) Circle(at view.Point, radius, width float64, col color.NRGBA) {
	c.ring(at, math.Max(0, radius-width/2), radius+width/2, col)
}

func (c Canvas) ring(at view.Point, inner, outer float64, col color.NRGBA) {
	w, h := c.Size()
	y0, y1 := clampSpan(at.Y-outer-1, at.Y+outer+1, h)
	x0, x1 := clampSpan(at.X-outer-1, at.X+outer+1, w)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			dx, dy := float64(x)+0.5-at.X, float64(y)+0.5-at.Y
			d := math.Sqrt(dx*dx + dy*dy)
			part := math.Min(outer+0.5-d, 1)
			if inner > 0 {
				part = math.Min(part, d-inner+0.5)
			}
			if part > 0 {
				blend(c.Pix, y*c.Stride+4*x, col, coverage(part, col.A))
			}
		}
	}
}

// StrokeRect draws an upright rectangle's outline of the given width.
func (c Canvas) StrokeRect(r view.Rect, width float64, col color.NRGBA) {
	c.Polyline([]view.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}, r.Min}, width, col)
}

// FillPolygon paints the inside of closed loops by the even-odd rule, without
// antialiasing: outlines are drawn over its border.
func (c Canvas) FillPolygon(loops [][]view.Point, col color.NRGBA) {
	w, h := c.Size()
	var box view.Rect
	for _, loop := range loops {
		box = box.Union(view.Bounds(loop))
	}
	y0, y1 := clampSpan(box.Min.Y, box.Max.Y, h)
	if y0 > y1 || box.Max.X < 0 || box.Min.X > float64(w) {
		return
	}
	rows := scan{first: y0, at: make([][]float64, y1-y0+1)}
	for _, loop := range loops {
		for i, a := range loop {
			rows.edge(a, loop[(i+1)%len(loop)])
		}
	}
	cover := coverage(1, col.A)
	for i, xs := range rows.at {
		sortSmall(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			x0, x1 := clampSpan(xs[k]+0.5, xs[k+1]-0.5, w)
			c.run(y0+i, x0, x1, col, cover)
		}
	}
}

// run paints pixels x0 to x1 of a row.
func (c Canvas) run(y, x0, x1 int, col color.NRGBA, cover int32) {
	if x0 > x1 {
		return
	}
	p := c.Pix[y*c.Stride+4*x0 : y*c.Stride+4*x1+4]
	if col.A == 255 {
		fillRow(p, col)
		return
	}
	for i := 0; i < len(p); i += 4 {
		blend(p, i, col, cover)
	}
}

// scan holds, for some rows, where edges cross the rows' centre lines.
type scan struct {
	first int
	at    [][]float64
}

// edge notes the crossings of one edge.
func (s scan) edge(a, b view.Point) {
	if a.Y > b.Y {
		a, b = b, a
	}
	lo, hi := math.Ceil(a.Y-0.5), math.Ceil(b.Y-0.5)-1
	if !(hi >= float64(s.first)) || !(lo < float64(s.first+len(s.at))) {
		return
	}
	y0, y1 := int(math.Max(lo, float64(s.first))), int(math.Min(hi, float64(s.first+len(s.at)-1)))
	slope := (b.X - a.X) / (b.Y - a.Y)
	for y := y0; y <= y1; y++ {
		s.at[y-s.first] = append(s.at[y-s.first], a.X+(float64(y)+0.5-a.Y)*slope)
	}
}

// sortSmall sorts a handful of numbers by insertion.
func sortSmall(xs []float64) {
	for i := 1; i < len(xs); i++ {
		for j := i; j > 0 && xs[j] < xs[j-1]; j-- {
			xs[j], xs[j-1] = xs[j-1], xs[j]
		}
	}
}

// Stamp copies another canvas onto this one with its top-left corner at x, y.
func (c Canvas) Stamp(o Canvas, x, y int) {
	w, h := c.Size()
	ow, oh := o.Size()
	x0, x1 := max(x, 0), min(x+ow, w)
	for row := max(y, 0); row < min(y+oh, h) && x0 < x1; row++ {
		copy(c.Pix[row*c.Stride+4*x0:row*c.Stride+4*x1], o.Pix[(row-y)*o.Stride+4*(x0-x):])
	}
}
