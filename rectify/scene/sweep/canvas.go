package main

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// canvas is a picture being drawn, in px, y down.
type canvas struct {
	*image.RGBA
	face font.Face
}

// The colours of the pictures; told apart without colour vision by lightness.
var (
	paper = color.RGBA{255, 255, 255, 255}
	ink   = color.RGBA{30, 30, 36, 255}
	faint = color.RGBA{214, 214, 218, 255}
	blue  = color.RGBA{24, 92, 158, 255}
	amber = color.RGBA{214, 122, 20, 255}
)

const textPx = 17

func newCanvas(width, height int) (*canvas, error) {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("the font cannot be read: %w", err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: textPx, DPI: 72})
	if err != nil {
		return nil, fmt.Errorf("the font cannot be set: %w", err)
	}
	c := &canvas{image.NewRGBA(image.Rect(0, 0, width, height)), face}
	draw.Draw(c, c.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	return c, nil
}

// xy is a place in the picture.
type xy struct{ x, y float64 }

// line draws a line through places.
func (c *canvas) line(col color.Color, widthPx float64, ps ...xy) {
	for i := 1; i < len(ps); i++ {
		c.stroke(col, widthPx, ps[i-1], ps[i])
	}
}

// stroke is one straight stretch with square ends half a width long.
func (c *canvas) stroke(col color.Color, widthPx float64, a, b xy) {
	dx, dy := b.x-a.x, b.y-a.y
	l := math.Hypot(dx, dy)
	if !(l > 0) || math.IsInf(l, 0) {
		return
	}
	ux, uy := dx/l*widthPx/2, dy/l*widthPx/2
	c.fill(col, xy{a.x - ux - uy, a.y - uy + ux}, xy{b.x + ux - uy, b.y + uy + ux},
		xy{b.x + ux + uy, b.y + uy - ux}, xy{a.x - ux + uy, a.y - uy - ux})
}

// fill draws a polygon.
func (c *canvas) fill(col color.Color, ps ...xy) {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range ps {
		minX, maxX = min(minX, p.x), max(maxX, p.x)
		minY, maxY = min(minY, p.y), max(maxY, p.y)
	}
	box := image.Rect(int(math.Floor(minX)), int(math.Floor(minY)), int(math.Ceil(maxX))+1, int(math.Ceil(maxY))+1)
	if !box.Overlaps(c.Bounds()) || box.Dx() > 4*c.Bounds().Dx() || box.Dy() > 4*c.Bounds().Dy() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, p := range ps {
		x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
		if i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
	r.Draw(c, box, image.NewUniform(col), image.Point{})
}

// dashPx is the length of a dash and of the gap after it.
const dashPx = 6

// dashed draws a line of dashes through places.
func (c *canvas) dashed(col color.Color, widthPx float64, ps ...xy) {
	gone := 0.0 // since the last dash began
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		l := math.Hypot(b.x-a.x, b.y-a.y)
		at := func(d float64) xy { return xy{a.x + (b.x-a.x)*d/l, a.y + (b.y-a.y)*d/l} }
		for d := -gone; d < l; d += 2 * dashPx {
			if d+dashPx > 0 {
				c.stroke(col, widthPx, at(max(d, 0)), at(min(d+dashPx, l)))
			}
		}
		gone = math.Mod(gone+l, 2*dashPx)
	}
}

// arrow is a line with a head at b.
func (c *canvas) arrow(col color.Color, widthPx float64, a, b xy) {
	c.stroke(col, widthPx, a, b)
	l := math.Hypot(b.x-a.x, b.y-a.y)
	if l < 3 {
		return
	}
	ux, uy := (b.x-a.x)/l, (b.y-a.y)/l
	h := min(7, 0.6*l)
	c.fill(col, xy{b.x + 2*ux, b.y + 2*uy}, xy{b.x - h*ux - 0.45*h*uy, b.y - h*uy + 0.45*h*ux},
		xy{b.x - h*ux + 0.45*h*uy, b.y - h*uy - 0.45*h*ux})
}

// text writes with its baseline at y; side is the part of its width left of x.
func (c *canvas) text(col color.Color, at xy, side float64, s string) {
	w := font.MeasureString(c.face, s)
	d := font.Drawer{Dst: c, Src: image.NewUniform(col), Face: c.face}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(64*at.x) - fixed.Int26_6(side*float64(w)), Y: fixed.Int26_6(64 * at.y)}
	d.DrawString(s)
}

// writePNG writes a picture that was drawn without error.
func writePNG(path string, c *canvas, err error) error {
	if err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("the picture cannot be written: %w", err)
	}
	defer f.Close()
	if err := png.Encode(f, c); err != nil {
		return fmt.Errorf("the picture %s cannot be written: %w", path, err)
	}
	return f.Close()
}
