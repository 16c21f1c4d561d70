package find

import (
	"math"

	"flatwright/rectify/photo"
)

// tone turns coded values into the scale in which the camera's blur mixes
// them: an edge lies where that scale, not the coded one, is half way.
type tone [256]float32

// blurPower is the power of coded values in which edges are taken to be
// blurred. A lens mixes light, which is about the 2.2th power of the coded
// value (IEC 61966-2-1), less what a camera's contrast curve takes back; a
// picture scaled or smoothed after coding is mixed in the first power. The
// difference moves a white edge on black by up to 0.4 px, and too little of
// it shows in the profile's shape to tell which from the picture.
const blurPower = 1.8

// powerTone is (v/255)^gamma on a scale of 255.
func powerTone(gamma float64) *tone {
	var t tone
	for i := range t {
		t[i] = float32(255 * math.Pow(float64(i)/255, gamma))
	}
	return &t
}

// probe reads one scalar out of a photograph at sub-pixel places: the
// luminance, or a weighted sum of red, green and blue where luminance alone
// hardly tells inside from outside.
type probe struct {
	p    *photo.Photo
	t    *tone
	luma bool
	w    [3]float32
	// weak is set when the step is low or in chroma: it wants more averaging.
	weak bool
}

// at interpolates bilinearly; it returns 0 outside the photograph.
func (q *probe) at(x, y float64) float32 {
	if !(x >= 0 && y >= 0 && x < float64(q.p.Width-1) && y < float64(q.p.Height-1)) {
		return 0
	}
	x0, y0 := int(x), int(y)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	i := y0*q.p.Width + x0
	j := i + q.p.Width
	var a, b, c, d float32
	if q.luma {
		v := q.p.Luma
		a, b, c, d = q.t[v[i]], q.t[v[i+1]], q.t[v[j]], q.t[v[j+1]]
	} else {
		a, b, c, d = q.sum(i), q.sum(i+1), q.sum(j), q.sum(j+1)
	}
	top := a + (b-a)*fx
	return top + (c+(d-c)*fx-top)*fy
}

func (q *probe) sum(i int) float32 {
	v := q.p.RGB[3*i : 3*i+3 : 3*i+3]
	return q.w[0]*q.t[v[0]] + q.w[1]*q.t[v[1]] + q.w[2]*q.t[v[2]]
}

// colourAt returns the mean coded colour over a 2 x 2 px neighbourhood.
func colourAt(p *photo.Photo, x, y float64) (c [3]float32) {
	x0, y0 := int(x), int(y)
	if x < 0 || y < 0 || x0 >= p.Width-1 || y0 >= p.Height-1 {
		return c
	}
	i := 3 * (y0*p.Width + x0)
	a, b := p.RGB[i:i+6:i+6], p.RGB[i+3*p.Width:i+3*p.Width+6:i+3*p.Width+6]
	for k := range c {
		c[k] = (float32(a[k]) + float32(a[k+3]) + float32(b[k]) + float32(b[k+3])) / 4
	}
	return c
}

// aim chooses the scalar that best tells inside from outside. Luminance is
// recorded in full resolution and low noise, chroma at half; but beside its
// edge a piece shades the ground, which only helps where the piece is the
// brighter. Otherwise, or where colour tells them apart far more boldly than a
// small step in luminance, colour is used, in the direction that shade (a like
// change of all channels of the ground) does not move.
func (q *probe) aim(in, out [3]float32) {
	var d [3]float32
	for k := range d {
		d[k] = in[k] - out[k]
	}
	luma := 0.299*d[0] + 0.587*d[1] + 0.114*d[2]
	q.weak = luma < 45
	const clear, coloured = 14, 25
	const bright, bolder = 45, 2.5
	f := dot(d, out) / max(dot(out, out), 1)
	free := [3]float32{d[0] - f*out[0], d[1] - f*out[1], d[2] - f*out[2]}
	bold := luma < bright && dot(free, free) > bolder*bolder*luma*luma
	if q.luma = luma > clear && !bold; q.luma {
		return
	}
	switch {
	case dot(free, free) > coloured*coloured:
		d = free
	case luma < -clear || 4*luma*luma > dot(d, d):
		q.luma = true
		return
	}
	sum := absf(d[0]) + absf(d[1]) + absf(d[2])
	if sum == 0 {
		q.luma = true
		return
	}
	for k := range d {
		q.w[k] = d[k] / sum
	}
}
