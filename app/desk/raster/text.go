package raster

import (
	"fmt"
	"image"
	"image/color"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"flatwright/app/desk/view"
)

// Type is a font at one size whose letters are drawn once and kept. It is not
// safe for use by several goroutines.
type Type struct {
	face   font.Face
	glyphs map[rune]glyph
	// Height is the height of a capital letter in device pixels.
	Height float64
}

type glyph struct {
	mask    *image.Alpha
	origin  image.Point
	advance float64
}

// NewType reads an OpenType or TrueType font for letters of sizePx device
// pixels to the em.
func NewType(ttf []byte, sizePx float64) (*Type, error) {
	f, err := opentype.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("reading a font: %w", err)
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: sizePx, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("setting a font to %.1f px: %w", sizePx, err)
	}
	return &Type{face: face, glyphs: map[rune]glyph{}, Height: sizePx * 0.72}, nil
}

func (t *Type) glyph(r rune) glyph {
	if g, ok := t.glyphs[r]; ok {
		return g
	}
	box, mask, at, advance, ok := t.face.Glyph(fixed.Point26_6{}, r)
	g := glyph{advance: float64(advance) / 64, origin: box.Min}
	if ok && !box.Empty() {
		g.mask = image.NewAlpha(image.Rect(0, 0, box.Dx(), box.Dy()))
		for y := range box.Dy() {
			for x := range box.Dx() {
				_, _, _, a := mask.At(at.X+x, at.Y+y).RGBA()
				g.mask.Pix[y*g.mask.Stride+x] = byte(a >> 8)
			}
		}
	}
	t.glyphs[r] = g
	return g
}

// Width returns the width of a text in device pixels.
func (t *Type) Width(text string) float64 {
	w := 0.0
	for _, r := range text {
		w += t.glyph(r).advance
	}
	return w
}

// Text writes a text whose baseline begins at a position rounded to whole
// device pixels.
func (c Canvas) Text(t *Type, at view.Point, text string, col color.NRGBA) {
	x := at.X
	for _, r := range text {
		g := t.glyph(r)
		if g.mask != nil {
			c.stamp(g, int(x+0.5), int(at.Y+0.5), col)
		}
		x += g.advance
	}
}

func (c Canvas) stamp(g glyph, x, y int, col color.NRGBA) {
	x, y = x+g.origin.X, y+g.origin.Y
	w, h := c.Size()
	b := g.mask.Rect
	for j := max(0, -y); j < min(b.Dy(), h-y); j++ {
		for i := max(0, -x); i < min(b.Dx(), w-x); i++ {
			if a := g.mask.Pix[j*g.mask.Stride+i]; a > 0 {
				blend(c.Pix, (y+j)*c.Stride+4*(x+i), col, int32(a)*int32(col.A)*257>>16)
			}
		}
	}
}

// Tag writes a text on a plate of another colour; at is the plate's centre.
// Text over a photograph needs the plate to be read.
func (c Canvas) Tag(t *Type, at view.Point, text string, ink, plate color.NRGBA) {
	w, pad := t.Width(text), t.Height*0.45
	half := view.Point{X: w/2 + pad, Y: t.Height/2 + pad}
	c.FillRect(view.Rect{Min: view.Point{X: at.X - half.X, Y: at.Y - half.Y}, Max: view.Point{X: at.X + half.X, Y: at.Y + half.Y}}, plate)
	c.Text(t, view.Point{X: at.X - w/2, Y: at.Y + t.Height/2}, text, ink)
}
