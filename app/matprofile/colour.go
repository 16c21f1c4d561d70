package matprofile

import (
	"encoding/hex"
	"fmt"
	"math"
	"strings"
)

// Colour is an sRGB colour as photographed.
type Colour struct{ R, G, B uint8 }

// String returns the colour like "#2f6d55".
func (c Colour) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// ParseColour reads what String wrote.
func ParseColour(text string) (Colour, error) {
	digits, hash := strings.CutPrefix(text, "#")
	rgb, err := hex.DecodeString(digits)
	if !hash || err != nil || len(rgb) != 3 {
		return Colour{}, fmt.Errorf("%q is not a colour like #2f6d55", text)
	}
	return Colour{rgb[0], rgb[1], rgb[2]}, nil
}

// lab is a colour in CIE 1976 L*a*b* under D65.
type lab struct{ l, a, b float64 }

// lab converts from sRGB (IEC 61966-2-1; CIE 15:2004, section 8.2.1; from
// memory).
func (c Colour) lab() lab {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	x := (0.4124*r + 0.3576*g + 0.1805*b) / 0.9505
	y := 0.2126*r + 0.7152*g + 0.0722*b
	z := (0.0193*r + 0.1192*g + 0.9505*b) / 1.0890
	fx, fy, fz := labRoot(x), labRoot(y), labRoot(z)
	return lab{l: 116*fy - 16, a: 500 * (fx - fy), b: 200 * (fy - fz)}
}

func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

func labRoot(t float64) float64 {
	const d = 6.0 / 29
	if t > d*d*d {
		return math.Cbrt(t)
	}
	return t/(3*d*d) + 4.0/29
}

// DeltaE returns the CIE 1976 colour difference: about 2 can just be seen side
// by side.
func DeltaE(a, b Colour) float64 {
	p, q := a.lab(), b.lab()
	return math.Sqrt((p.l-q.l)*(p.l-q.l) + (p.a-q.a)*(p.a-q.a) + (p.b-q.b)*(p.b-q.b))
}

// lightnessPart is the part of a difference in lightness that counts when a
// mat is to be known again: exposure changes from one photograph to the next,
// a mat's hue hardly does (common practice, no source).
const lightnessPart = 0.5

// likeness returns the colour difference of two photographed mats, lightness
// counted half.
func likeness(a, b Colour) float64 {
	p, q := a.lab(), b.lab()
	return math.Hypot(lightnessPart*(p.l-q.l), math.Hypot(p.a-q.a, p.b-q.b))
}
