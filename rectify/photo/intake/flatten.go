package intake

import (
	"context"
	"image"
	"image/color"

	"flatwright/rectify/photo"
)

// flatten makes an upright photograph of a decoded picture: 16-bit values
// are rounded to 8 bits, transparent parts lie on white.
func flatten(ctx context.Context, img image.Image, tags photo.Tags) (*photo.Photo, error) {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	place := tags.Orientation.Place(w, h)
	p := blank(w, h, tags)
	read := rowReader(img)
	row := make([]byte, 3*w)
	for y := range h {
		if y%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		read(b.Min.Y+y, row)
		placeRow(p, place, y, row)
	}
	return p, nil
}

// blank is an upright photograph of a picture of w by h stored pixels, which
// are all black yet.
func blank(w, h int, tags photo.Tags) *photo.Photo {
	place := tags.Orientation.Place(w, h)
	focal, unsure := tags.Focal(w, h)
	return &photo.Photo{
		Width: place.Width, Height: place.Height, FocalPx: focal, FocalUnsure: unsure,
		RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h),
	}
}

func placeRow(p *photo.Photo, place photo.Placement, y int, row []byte) {
	at := place.Base + y*place.StepY
	for x := 0; x < len(row); x += 3 {
		r, g, b := row[x], row[x+1], row[x+2]
		to := p.RGB[3*at : 3*at+3 : 3*at+3]
		to[0], to[1], to[2] = r, g, b
		p.Luma[at] = luma(r, g, b)
		at += place.StepX
	}
}

// luma weighs by ITU-R BT.601, as JPEG does.
func luma(r, g, b byte) byte {
	return byte((19595*uint32(r) + 38470*uint32(g) + 7471*uint32(b) + 1<<15) >> 16)
}

// rowReader returns a function that fills a row of RGB triples; the common
// kinds of picture have quick ones.
func rowReader(img image.Image) func(y int, rgb []byte) {
	switch m := img.(type) {
	case *image.NRGBA:
		return func(y int, rgb []byte) { readNRGBA(m.Pix[m.PixOffset(m.Rect.Min.X, y):], rgb) }
	case *image.RGBA:
		return func(y int, rgb []byte) { readRGBA(m.Pix[m.PixOffset(m.Rect.Min.X, y):], rgb) }
	case *image.Gray:
		return func(y int, rgb []byte) { readGrey(m.Pix[m.PixOffset(m.Rect.Min.X, y):], rgb) }
	case *image.Paletted:
		return palettedReader(m)
	case *image.YCbCr:
		return func(y int, rgb []byte) { readYCbCr(m, y, rgb) }
	}
	return func(y int, rgb []byte) {
		left := img.Bounds().Min.X
		for i := 0; i < len(rgb); i += 3 {
			rgb[i], rgb[i+1], rgb[i+2] = onWhite(img.At(left+i/3, y))
		}
	}
}

func readNRGBA(pix, rgb []byte) {
	for i, j := 0, 0; i < len(rgb); i, j = i+3, j+4 {
		c := pix[j : j+4 : j+4]
		rgb[i], rgb[i+1], rgb[i+2] = over(c[0], c[1], c[2], c[3])
	}
}

func readRGBA(pix, rgb []byte) {
	for i, j := 0, 0; i < len(rgb); i, j = i+3, j+4 {
		c := pix[j : j+4 : j+4]
		white := 0xff - c[3]
		rgb[i], rgb[i+1], rgb[i+2] = addClamped(c[0], white), addClamped(c[1], white), addClamped(c[2], white)
	}
}

func addClamped(a, b byte) byte { return byte(min(int(a)+int(b), 0xff)) }

func readGrey(pix, rgb []byte) {
	for i, j := 0, 0; i < len(rgb); i, j = i+3, j+1 {
		rgb[i], rgb[i+1], rgb[i+2] = pix[j], pix[j], pix[j]
	}
}

func readYCbCr(m *image.YCbCr, y int, rgb []byte) {
	for i, x := 0, m.Rect.Min.X; i < len(rgb); i, x = i+3, x+1 {
		c := m.COffset(x, y)
		rgb[i], rgb[i+1], rgb[i+2] = color.YCbCrToRGB(m.Y[m.YOffset(x, y)], m.Cb[c], m.Cr[c])
	}
}

func palettedReader(m *image.Paletted) func(y int, rgb []byte) {
	var table [256][3]byte // an index beyond the palette stays black
	for i, c := range m.Palette[:min(len(m.Palette), 256)] {
		table[i][0], table[i][1], table[i][2] = onWhite(c)
	}
	return func(y int, rgb []byte) {
		pix := m.Pix[m.PixOffset(m.Rect.Min.X, y):]
		for i, j := 0, 0; i < len(rgb); i, j = i+3, j+1 {
			copy(rgb[i:i+3], table[pix[j]][:])
		}
	}
}

// onWhite lays a colour over white and rounds it to 8 bits.
func onWhite(c color.Color) (r, g, b byte) {
	r16, g16, b16, a16 := c.RGBA()
	white := 0xffff - a16
	return to8(r16 + white), to8(g16 + white), to8(b16 + white)
}

// to8 rounds 16 bits to 8.
func to8(v uint32) byte { return byte((min(v, 0xffff)*0xff + 0x7fff) / 0xffff) }
