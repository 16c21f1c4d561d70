package scene

import "math"

// rgb is linear light, 1 for a perfect white surface in full light.
type rgb [3]float32

func (c Colour) linear() rgb {
	return rgb{fromSRGB(c.R), fromSRGB(c.G), fromSRGB(c.B)}
}

// fromSRGB decodes an 8-bit value by IEC 61966-2-1 (constants from memory).
func fromSRGB(v uint8) float32 {
	f := float64(v) / 255
	if f <= 0.04045 {
		return float32(f / 12.92)
	}
	return float32(math.Pow((f+0.055)/1.055, 2.4))
}

// toSRGB encodes linear light, 0..1 both.
func toSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return v * 12.92
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func (a rgb) times(k float32) rgb { return rgb{a[0] * k, a[1] * k, a[2] * k} }

func (a rgb) mix(b rgb, t float32) rgb {
	return rgb{a[0] + (b[0]-a[0])*t, a[1] + (b[1]-a[1])*t, a[2] + (b[2]-a[2])*t}
}

func (a rgb) mul(b rgb) rgb { return rgb{a[0] * b[0], a[1] * b[1], a[2] * b[2]} }
