package grid

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// Lines may differ from the mat in colour alone: yellow on light green, grey
// on pink. These are the planes, besides luminance, in which they are looked
// for. Each is a direction in the plane of the two colour differences of
// ITU-R BT.601, Cb and Cr; any colour lies within 22.5° of one of four, so
// that no less than 0.92 of its contrast is seen. Luminance is left out of
// them: it carries the sensor's noise and every shadow.
//
// Phones halve colour both ways. The lines stay where they are, for the
// halved samples stand in the middle of the pixels they speak for (JFIF 1.02,
// "Spatial relationship of components", from memory), but are blurred to some
// two pixels.
type tint struct {
	// r, g, b are the weights of the channels.
	r, g, b float64
}

// tints are the four directions. Their number is a matter of time: each costs
// one more search.
func tints() []tint {
	out := make([]tint, 4)
	for k := range out {
		c, s := math.Cos(float64(k)*math.Pi/4), math.Sin(float64(k)*math.Pi/4)
		// Cb = -0.1687 R - 0.3313 G + 0.5 B; Cr = 0.5 R - 0.4187 G - 0.0813 B.
		out[k] = tint{
			r: tintGain * (-0.1687*c + 0.5*s),
			g: tintGain * (-0.3313*c - 0.4187*s),
			b: tintGain * (0.5*c - 0.0813*s),
		}
	}
	return out
}

// tintGain stretches a colour difference so that rounding it to 8 bits costs
// nothing that noise has left.
const tintGain = 2

// hasColour reports whether a photograph has three channels at all.
func hasColour(p *photo.Photo) bool {
	return p.Width > 0 && p.Height > 0 && len(p.RGB) >= 3*p.Width*p.Height
}

// inTint returns the photograph with a tint in place of its luminance. It
// shares everything else.
func inTint(p *photo.Photo, t tint) *photo.Photo {
	q := *p
	q.Luma = make([]byte, p.Width*p.Height)
	mid := t.middle(p)
	r, g, b := int32(math.Round(t.r*4096)), int32(math.Round(t.g*4096)), int32(math.Round(t.b*4096))
	zero := int32((128-mid)*4096) + 2048
	eachRowBand(p.Height, func(y0, y1 int) {
		in, out := p.RGB[3*y0*p.Width:3*y1*p.Width], q.Luma[y0*p.Width:y1*p.Width]
		for i := range out {
			v := (r*int32(in[3*i]) + g*int32(in[3*i+1]) + b*int32(in[3*i+2]) + zero) >> 12
			out[i] = byte(min(max(v, 0), 255))
		}
	})
	return &q
}

// middle is the median of the tint over the photograph: it becomes the middle of the 8 bits, so that the mat is not cut off.
func (t tint) middle(p *photo.Photo) float64 {
	n := p.Width * p.Height
	step := max(1, n/5000)
	var vs []float64
	for i := step / 2; i < n; i += step {
		vs = append(vs, t.of(p.RGB[3*i:3*i+3]))
	}
	return median(vs)
}

func (t tint) of(c []byte) float64 {
	return t.r*float64(c[0]) + t.g*float64(c[1]) + t.b*float64(c[2])
}

// colourless reports whether a photograph carries next to no colour: a grey
// one has no line that luminance does not show.
func colourless(p *photo.Photo) bool {
	n := p.Width * p.Height
	step := max(1, n/5000)
	var vs []int
	for i := step / 2; i < n; i += step {
		c := p.RGB[3*i : 3*i+3]
		vs = append(vs, int(max(c[0], c[1], c[2]))-int(min(c[0], c[1], c[2])))
	}
	slices.Sort(vs)
	return vs[len(vs)*9/10] < 3
}
