// Package photo holds a photograph as plain memory, and the frame in which
// everything seen in it is measured.
//
// The frame: pixels, the centre of the top-left pixel is (0, 0), x right,
// y down, after the orientation tag has been applied.
package photo

// Point is a position in a photograph, in pixels of the frame above.
type Point struct{ X, Y float64 }

// Photo is one decoded, upright photograph. It is plain Go memory: nothing
// to close, safe to share between readers.
type Photo struct {
	// Name is the file's base name, for messages.
	Name string
	// Width and Height are in pixels, after orientation.
	Width, Height int
	// RGB holds Width*Height interleaved 8-bit sRGB triples, row by row.
	RGB []byte
	// Luma holds Width*Height 8-bit luminances (ITU-R BT.601 weights, as in
	// JPEG). Edges and lines are located in it.
	Luma []byte
	// FocalPx is the focal length in pixels that the file's tags claim;
	// 0 when they claim none. Good to a few per cent at best.
	FocalPx float64
	// FocalUnsure tells that the picture was cropped, resized or zoomed after
	// the lens made it, or that its tags contradict each other, so that
	// FocalPx may be wrong by far; FocalPx is 0 where it surely is.
	FocalUnsure bool
}

// Inside reports whether p lies on the photograph, at least margin px away
// from its border.
func (p *Photo) Inside(at Point, marginPx float64) bool {
	return at.X >= marginPx && at.Y >= marginPx &&
		at.X <= float64(p.Width-1)-marginPx && at.Y <= float64(p.Height-1)-marginPx
}

// LumaAt returns the luminance at a sub-pixel position by bilinear
// interpolation, 0 to 255. Positions outside are clamped to the border.
func (p *Photo) LumaAt(at Point) float64 {
	x, y := at.X, at.Y
	maxX, maxY := float64(p.Width-1), float64(p.Height-1)
	if !(x > 0) {
		x = 0
	} else if x > maxX {
		x = maxX
	}
	if !(y > 0) {
		y = 0
	} else if y > maxY {
		y = maxY
	}
	x0, y0 := int(x), int(y)
	fx, fy := x-float64(x0), y-float64(y0)
	i := y0*p.Width + x0
	dx, dy := 1, p.Width
	if x0 == p.Width-1 {
		dx = 0
	}
	if y0 == p.Height-1 {
		dy = 0
	}
	a, b := float64(p.Luma[i]), float64(p.Luma[i+dx])
	c, d := float64(p.Luma[i+dy]), float64(p.Luma[i+dx+dy])
	top := a + (b-a)*fx
	return top + (c+(d-c)*fx-top)*fy
}
