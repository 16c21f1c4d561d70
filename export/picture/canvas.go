// Package picture draws pages as pictures, for previews on screen. It draws
// through the same calls as the PDF, so that what is seen is what is printed.
package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/vector"

	"flatwright/export/page"
	pages "flatwright/export/page/draw"
	"flatwright/export/page/lettering"
)

// maxPx bounds the pictures that are made.
const maxPx = 200e6

// Render draws a page at a resolution. The picture is packed: its stride is
// four times its width.
func Render(p *pages.Page, dpi float64) (*image.RGBA, error) {
	scale := dpi / 25.4
	w, h := math.Round(p.WidthMM*scale), math.Round(p.HeightMM*scale)
	if !(w >= 1 && h >= 1 && w*h <= maxPx) {
		return nil, fmt.Errorf("a picture of %.0f × %.0f px cannot be made; choose another resolution", w, h)
	}
	img := image.NewRGBA(image.Rect(0, 0, int(w), int(h)))
	draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
	p.Draw(&canvas{img: img, scale: scale})
	return img, nil
}

// WritePNG draws a page at a resolution and writes it as a PNG.
func WritePNG(w io.Writer, p *pages.Page, dpi float64) error {
	img, err := Render(p, dpi)
	if err != nil {
		return err
	}
	return encode(w, img)
}

func encode(w io.Writer, img *image.RGBA) error {
	if err := png.Encode(w, img); err != nil {
		return fmt.Errorf("the picture could not be written: %w", err)
	}
	return nil
}

// canvas draws on a picture; scale is px per mm.
type canvas struct {
	img    *image.RGBA
	scale  float64
	raster vector.Rasterizer
	clips  []image.Rectangle
}

// point is a position on the picture, in px from its top-left corner.
type point struct{ x, y float64 }

func (k *canvas) point(p pages.Point) point { return point{p.X * k.scale, p.Y * k.scale} }

// Clip keeps what follows inside the rectangle, to whole px.
func (k *canvas) Clip(r page.Rect) {
	px := func(v float64) int { return int(math.Round(v * k.scale)) }
	k.clips = append(k.clips, image.Rect(px(r.MinX), px(r.MinY), px(r.MaxX), px(r.MaxY)).Intersect(k.bounds()))
}

// Unclip ends the innermost Clip.
func (k *canvas) Unclip() { k.clips = k.clips[:len(k.clips)-1] }

func (k *canvas) bounds() image.Rectangle {
	if n := len(k.clips); n > 0 {
		return k.clips[n-1]
	}
	return k.img.Rect
}

// Fill fills a path.
func (k *canvas) Fill(p pages.Path, c page.Colour) {
	var loops [][]point
	for _, line := range k.flatten(p) {
		loops = append(loops, line.points)
	}
	k.paint(loops, c)
}

// Stroke strokes a path. Lines thinner than 0.7 px are drawn that wide, so
// that a small preview still shows them.
func (k *canvas) Stroke(p pages.Path, pen pages.Pen) {
	width := math.Max(pen.WidthMM*k.scale, 0.7)
	var loops [][]point
	for _, line := range k.flatten(p) {
		for _, dash := range line.dashes(pen.DashMM, k.scale) {
			loops = append(loops, dash.outline(width)...)
		}
	}
	k.paint(loops, pen.Colour)
}

// Text writes words.
func (k *canvas) Text(w pages.Words) {
	sin, cos := math.Sincos(w.TurnRad)
	em := lettering.EmMM(w.CapMM) * k.scale
	at := k.point(w.At)
	var loops [][]point
	pen := 0.0
	for _, r := range w.Text {
		contours, advance := w.Face.Glyph(r)
		for _, c := range contours {
			loops = append(loops, glyphLoop(c, func(x, y float64) point {
				x = (x + pen) * em
				y *= em
				return point{at.x + x*cos - y*sin, at.y + x*sin + y*cos}
			}))
		}
		pen += advance
	}
	k.paint(loops, w.Colour)
}

// glyphLoop flattens a contour; four steps a curve are plenty for letters.
func glyphLoop(c lettering.Contour, place func(x, y float64) point) []point {
	var loop []point
	var px, py float64
	for _, s := range c {
		if s.Curved {
			for i := 1; i < 4; i++ {
				t := float64(i) / 4
				u := 1 - t
				loop = append(loop, place(u*u*px+2*u*t*s.ViaX+t*t*s.X, u*u*py+2*u*t*s.ViaY+t*t*s.Y))
			}
		}
		loop = append(loop, place(s.X, s.Y))
		px, py = s.X, s.Y
	}
	return loop
}

// paint fills loops by the winding rule in one go, in a window no larger than
// they need.
func (k *canvas) paint(loops [][]point, c page.Colour) {
	box := boxOf(loops).Intersect(k.bounds())
	if box.Empty() {
		return
	}
	k.raster.Reset(box.Dx(), box.Dy())
	ox, oy := float64(box.Min.X), float64(box.Min.Y)
	for _, loop := range loops {
		for i, p := range loop {
			x, y := float32(p.x-ox), float32(p.y-oy)
			if i == 0 {
				k.raster.MoveTo(x, y)
			} else {
				k.raster.LineTo(x, y)
			}
		}
		k.raster.ClosePath()
	}
	k.raster.Draw(k.img, box, image.NewUniform(color.RGBA{R: c.R, G: c.G, B: c.B, A: 255}), image.Point{})
}

func boxOf(loops [][]point) image.Rectangle {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, loop := range loops {
		for _, p := range loop {
			minX, maxX = math.Min(minX, p.x), math.Max(maxX, p.x)
			minY, maxY = math.Min(minY, p.y), math.Max(maxY, p.y)
		}
	}
	const far = 1e6
	if !(minX > -far && minY > -far && maxX < far && maxY < far) {
		return image.Rectangle{}
	}
	return image.Rect(int(math.Floor(minX)), int(math.Floor(minY)), int(math.Ceil(maxX)), int(math.Ceil(maxY)))
}
