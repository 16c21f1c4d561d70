package find

import (
	"math"

	"flatwright/rectify/photo"
)

// fitTone estimates in which power of the coded value this photograph's
// edges are blurred evenly. A lens blurs light, which is roughly the 2.2th
// power of the coded value (IEC 61966-2-1); a picture that was scaled or
// smoothed after coding is blurred in the first. In the right scale a step
// is point-symmetric about its middle: half a difference in 2.2 moves the
// middle of a white-on-black edge by nearly half a pixel, so it is worth
// asking the picture. Without enough clear edges it returns 1.8.
func fitTone(p *photo.Photo, borders []*border) *tone {
	const fallback = 1.8
	clear := clearEdges(p, borders)
	if len(clear) < 60 {
		return powerTone(fallback)
	}
	prevG, prevA := 0.0, 0.0
	for g := 0.8; g <= 2.65; g += 0.2 {
		a := asymmetry(clear, powerTone(g))
		if g > 0.8 && (a > 0) != (prevA > 0) {
			return powerTone(prevG + (g-prevG)*prevA/(prevA-a))
		}
		prevG, prevA = g, a
	}
	if math.Abs(asymmetry(clear, powerTone(1))) < math.Abs(prevA) {
		return powerTone(1)
	}
	return powerTone(2.2)
}

// clearEdges reads coded profiles of strong luminance steps on straight
// stretches, spread over all borders; at most 800.
func clearEdges(p *photo.Photo, borders []*border) []profile {
	total := 0
	for _, b := range borders {
		total += len(b.at)
	}
	step := max(1, total/3000)
	q := probe{p: p, t: powerTone(1), luma: true}
	var out []profile
	count := 0
	for _, b := range borders {
		for i := range b.at {
			count++
			if count%step != 0 || len(b.at) < 40 {
				continue
			}
			if f := fitLine(b.at, i-10, i+10); f.rms > 0.35 {
				continue
			}
			var f profile
			f.read(&q, b.at[i], b.out[i])
			r := f.locate()
			if !r.ok || absf(r.in-r.bg) < 60 || math.Abs(r.offset) > 1.5 || !f.flat(r) {
				continue
			}
			if out = append(out, f); len(out) == 800 {
				return out
			}
		}
	}
	return out
}

// flat reports whether both plateaus are even, so that nothing but the step
// itself shapes the profile.
func (f *profile) flat(r reading) bool {
	span := absf(r.in - r.bg)
	for _, side := range [2]float64{-1, 1} {
		a := f.level(r.offset+side*2.5-0.5, r.offset+side*2.5+0.5)
		b := f.level(r.offset+side*4-0.5, r.offset+side*4+0.5)
		if absf(a-b) > 0.12*span {
			return false
		}
	}
	return true
}

// asymmetry is the mean over profiles of how much, in a tone's scale, the
// step is more than half done at equal distances before and after its middle.
func asymmetry(clear []profile, t *tone) float64 {
	var sum, n float64
	for _, c := range clear {
		var f profile
		for k, v := range c.v {
			f.v[k] = t.of(v)
		}
		r := f.locate()
		if !r.ok || math.Abs(r.offset) > 2 {
			continue
		}
		for _, d := range []float64{0.6, 0.9, 1.2, 1.5} {
			a, b := f.interpolate(r.offset-d), f.interpolate(r.offset+d)
			sum += float64((a + b - r.in - r.bg) / (r.in - r.bg) * sign(r.in-r.bg))
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

func sign(v float32) float32 {
	if v < 0 {
		return -1
	}
	return 1
}

func (t *tone) of(v float32) float32 {
	v = min(max(v, 0), 254.99)
	i := int(v)
	return t[i] + (t[i+1]-t[i])*(v-float32(i))
}

func (f *profile) interpolate(o float64) float32 {
	x := (o + profileReach) / offsetStep
	x = math.Min(math.Max(x, 0), profileLen-1.001)
	i := int(x)
	return f.v[i] + (f.v[i+1]-f.v[i])*float32(x-float64(i))
}
