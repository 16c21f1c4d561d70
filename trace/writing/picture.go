package writing

import (
	"math"

	"flatwright/rectify/photo"
)

// Picture is a small picture, interleaved 8-bit sRGB triples row by row.
type Picture struct {
	Width, Height int
	RGB           []byte
	// PxPerMM is its scale.
	PxPerMM float64
}

const (
	pxPerMM             = 6.0
	widestPx, highestPx = 400, 200
)

// TurnedOver returns the picture turned by half a turn, for writing that came
// out on its head.
func (p Picture) TurnedOver() Picture {
	out := p
	out.RGB = make([]byte, len(p.RGB))
	n := len(p.RGB) / 3
	for i := range n {
		copy(out.RGB[3*i:3*i+3], p.RGB[3*(n-1-i):])
	}
	return out
}

// crop resamples the block's rectangle with a margin from the photograph, for
// looking only.
func crop(in Input, b Block) Picture {
	w, h := b.WidthMM+2*marginMM, b.HeightMM+2*marginMM
	k := min(pxPerMM, widestPx/w, highestPx/h)
	p := Picture{Width: max(1, int(w*k)), Height: max(1, int(h*k)), PxPerMM: k}
	p.RGB = make([]byte, 3*p.Width*p.Height)
	f := frame{b.Centre, b.AngleRad}
	for y := range p.Height {
		for x := range p.Width {
			at := f.place((float64(x)+0.5)/k-w/2, (float64(y)+0.5)/k-h/2)
			put(in.Photo, in.View.ToPhoto(at), p.RGB[3*(y*p.Width+x):])
		}
	}
	return p
}

// put writes the colour at a place of the photograph, bilinear.
func put(p *photo.Photo, at photo.Point, out []byte) {
	x := min(max(at.X, 0), float64(p.Width-1)-1e-6)
	y := min(max(at.Y, 0), float64(p.Height-1)-1e-6)
	x0, y0 := int(x), int(y)
	fx, fy := x-float64(x0), y-float64(y0)
	i, row := 3*(y0*p.Width+x0), 3*p.Width
	for k := range 3 {
		j := i + k
		top := float64(p.RGB[j])*(1-fx) + float64(p.RGB[j+3])*fx
		low := float64(p.RGB[j+row])*(1-fx) + float64(p.RGB[j+row+3])*fx
		out[k] = uint8(math.Round(top*(1-fy) + low*fy))
	}
}
