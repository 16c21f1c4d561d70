package intake

import (
	"encoding/binary"
	"image/color"
	"image/png"
)

// Colour types (PNG, third edition, section 11.2.1).
const (
	pngGrey      = 0
	pngRGB       = 2
	pngPalette   = 3
	pngGreyAlpha = 4
	pngRGBA      = 6
)

// pngColours returns what makes RGB of a row of samples, and how many samples
// a pixel has. 16 bits are rounded to 8, transparent parts lie on white.
func pngColours(p pngParts) (row func(raw, rgb []byte), channels int, err error) {
	depth, kind := int(p.header[8]), p.header[9]
	if err := p.checkColours(depth, kind); err != nil {
		return nil, 0, err
	}
	switch {
	case kind == pngPalette:
		return tableRow(paletteTable(p), depth), 1, nil
	case kind == pngGrey && depth <= 8:
		return tableRow(greyTable(depth, p.transparent), depth), 1, nil
	}
	pixel, channels := pngPixel(kind, depth, p.transparent)
	if pixel == nil {
		return nil, 0, png.FormatError("bad colour type")
	}
	bytes := channels * depth / 8
	return func(raw, rgb []byte) {
		for i, j := 0, 0; i < len(rgb); i, j = i+3, j+bytes {
			rgb[i], rgb[i+1], rgb[i+2] = pixel(raw[j : j+bytes : j+bytes])
		}
	}, channels, nil
}

// checkColours holds the palette and the transparency to the colour type
// (sections 11.2.2 and 11.3.1.1).
func (p pngParts) checkColours(depth int, kind byte) error {
	n := len(p.palette) / 3
	grey := kind == pngGrey || kind == pngGreyAlpha
	switch {
	case p.palette == nil && kind == pngPalette:
		return png.FormatError("no palette")
	case p.palette != nil && (grey || n == 0 || len(p.palette)%3 != 0 || n > min(256, 1<<depth)):
		return png.FormatError("bad palette")
	}
	if p.transparent == nil {
		return nil
	}
	switch size := len(p.transparent); {
	case kind == pngGrey && size == 2, kind == pngRGB && size == 6, kind == pngPalette && size <= 256:
		return nil
	}
	return png.FormatError("bad transparency")
}

// paletteTable is the palette on white. A colour beyond it is black.
func paletteTable(p pngParts) *[256][3]byte {
	table := new([256][3]byte)
	for i := range table {
		c := color.NRGBA{A: 0xff}
		if 3*i < len(p.palette) {
			c.R, c.G, c.B = p.palette[3*i], p.palette[3*i+1], p.palette[3*i+2]
		}
		if i < len(p.transparent) {
			c.A = p.transparent[i]
		}
		table[i][0], table[i][1], table[i][2] = onWhite(c)
	}
	return table
}

// greyTable is the grey of each sample; the one that stands for nothing is
// white.
func greyTable(depth int, transparent []byte) *[256][3]byte {
	table := new([256][3]byte)
	most := 1<<depth - 1
	for v := range most + 1 {
		g := byte(v * 0xff / most)
		if len(transparent) == 2 && int(transparent[1]) == v {
			g = 0xff
		}
		table[v] = [3]byte{g, g, g}
	}
	return table
}

// tableRow reads samples of 1, 2, 4 or 8 bits, the leftmost in the high bits.
func tableRow(table *[256][3]byte, depth int) func(raw, rgb []byte) {
	mask := byte(1<<depth - 1)
	return func(raw, rgb []byte) {
		for x := range len(rgb) / 3 {
			at := x * depth
			v := raw[at/8] >> (8 - depth - at%8) & mask
			copy(rgb[3*x:3*x+3], table[v][:])
		}
	}
}

// pngPixel returns what makes RGB of a pixel's bytes; nil for a colour type
// that there is not.
func pngPixel(kind byte, depth int, transparent []byte) (pixel func(b []byte) (r, g, bl byte), channels int) {
	wide := depth == 16
	switch kind {
	case pngGrey: // of 16 bits; smaller ones have a table
		return keyed(transparent, 2, true, func(b []byte) (byte, byte, byte) {
			v := to8(word(b))
			return v, v, v
		}), 1
	case pngRGB:
		if wide {
			return keyed(transparent, 6, true, func(b []byte) (byte, byte, byte) {
				return to8(word(b)), to8(word(b[2:])), to8(word(b[4:]))
			}), 3
		}
		return keyed(transparent, 6, false, func(b []byte) (byte, byte, byte) { return b[0], b[1], b[2] }), 3
	case pngGreyAlpha:
		if wide {
			return func(b []byte) (byte, byte, byte) { return over64(b[0:2], b[0:2], b[0:2], b[2:4]) }, 2
		}
		return func(b []byte) (byte, byte, byte) { return over(b[0], b[0], b[0], b[1]) }, 2
	case pngRGBA:
		if wide {
			return func(b []byte) (byte, byte, byte) { return over64(b[0:2], b[2:4], b[4:6], b[6:8]) }, 4
		}
		return func(b []byte) (byte, byte, byte) { return over(b[0], b[1], b[2], b[3]) }, 4
	}
	return nil, 0
}

// keyed makes white the one colour that stands for nothing (section
// 11.3.1.1), given as size bytes, two for each sample.
func keyed(key []byte, size int, wide bool, pixel func([]byte) (r, g, b byte)) func([]byte) (r, g, b byte) {
	if len(key) != size {
		return pixel
	}
	if !wide {
		key = []byte{key[1], key[3], key[5]}
	}
	return func(b []byte) (byte, byte, byte) {
		if string(b) == string(key) {
			return 0xff, 0xff, 0xff
		}
		return pixel(b)
	}
}

func word(b []byte) uint32 { return uint32(binary.BigEndian.Uint16(b)) }

func over(r, g, b, a byte) (byte, byte, byte) {
	if a == 0xff {
		return r, g, b
	}
	return veil8(r, a), veil8(g, a), veil8(b, a)
}

func over64(r, g, b, a []byte) (byte, byte, byte) {
	w := word(a)
	return veil16(word(r), w), veil16(word(g), w), veil16(word(b), w)
}

// veil8 lays a value of some opacity over white, just as onWhite does, and
// takes no memory for it.
func veil8(v, a byte) byte {
	deep := uint32(v) * 0x101 * uint32(a) / 0xff
	return to8(deep + 0xffff - uint32(a)*0x101)
}

// veil16 is veil8 for 16 bits.
func veil16(v, a uint32) byte { return to8(v*a/0xffff + 0xffff - a) }
