package tape

import (
	"math"
	"sync"

	"flatwright/rectify/photo"
)

// rgb is linear light, 0 to 1.
type rgb [3]float64

// lab is a colour in CIELAB.
type lab [3]float64

// lightnessWeight is what a difference of lightness counts against one of hue:
// shadows and creases change lightness first.
const lightnessWeight = 0.5

// linearOf decodes 8-bit sRGB by IEC 61966-2-1 (constants from memory).
var linearOf = sync.OnceValue(func() *[256]float64 {
	var t [256]float64
	for i := range t {
		f := float64(i) / 255
		if f <= 0.04045 {
			t[i] = f / 12.92
			continue
		}
		t[i] = math.Pow((f+0.055)/1.055, 2.4)
	}
	return &t
})

func encoded(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * v))
}

// toLab converts linear sRGB to CIELAB under D65 (CIE 15:2004, 8.2.1; the
// matrix of IEC 61966-2-1, from memory).
func (c rgb) toLab() lab {
	x := (0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505
	y := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	z := (0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089
	fx, fy, fz := labRoot(x), labRoot(y), labRoot(z)
	return lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

func labRoot(t float64) float64 {
	const d = 6.0 / 29
	if t > d*d*d {
		return math.Cbrt(t)
	}
	return t/(3*d*d) + 4.0/29
}

// minus returns the difference with lightness weighted.
func (a lab) minus(b lab) lab {
	return lab{lightnessWeight * (a[0] - b[0]), a[1] - b[1], a[2] - b[2]}
}

func (a lab) dot(b lab) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func (a lab) size() float64 { return math.Sqrt(a.dot(a)) }

// colourAt returns the linear light at a place of the photograph, bilinear.
func colourAt(p *photo.Photo, at photo.Point) rgb {
	x := min(max(at.X, 0), float64(p.Width-1)-1e-6)
	y := min(max(at.Y, 0), float64(p.Height-1)-1e-6)
	x0, y0 := int(x), int(y)
	fx, fy := x-float64(x0), y-float64(y0)
	i, row, t := 3*(y0*p.Width+x0), 3*p.Width, linearOf()
	var c rgb
	for k := range c {
		j := i + k
		top := t[p.RGB[j]]*(1-fx) + t[p.RGB[j+3]]*fx
		low := t[p.RGB[j+row]]*(1-fx) + t[p.RGB[j+row+3]]*fx
		c[k] = top*(1-fy) + low*fy
	}
	return c
}
