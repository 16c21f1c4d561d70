package tape

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// own is a piece's own colour: what most of it is, and how it looks from place
// to place under the light there.
type own struct {
	samples []sample
	modes   []mode
	// here is the colour in the piece's middle light, usual in the light of all
	// pieces of that tape.
	here, usual rgb
}

type sample struct {
	at    mat.Point
	light rgb
}

const (
	// floorLight keeps ratios of dark colours from running away: stray light of
	// lens and sensor is about that much.
	floorLight = 0.004
	// ownChroma is how far, in log ratios of red and blue to green, places of
	// one tape differ by wear, creases and mixed light.
	ownChroma = 0.2
	// clearMM keeps the piece's own samples off the border and the pen marks.
	clearMM = 4
)

func ratios(c rgb) (r, b float64) {
	g := math.Log(c[1] + floorLight)
	return math.Log(c[0]+floorLight) - g, math.Log(c[2]+floorLight) - g
}

// newOwn reads places all over a piece; settle then says which are of its own
// colour.
func newOwn(in Input, m *inside) (*own, bool) {
	at := m.places(clearMM, 1.5)
	if len(at) < 60 {
		at = m.places(2, 1)
	}
	if len(at) < 20 {
		return nil, false
	}
	o := &own{}
	for _, p := range at {
		o.samples = append(o.samples, sample{p, colourAt(in.Photo, in.View.ToPhoto(p))})
	}
	o.modes = o.densest()
	return o, true
}

// mode is a colour of which a share of a piece is, as log ratios.
type mode struct{ r, b, share float64 }

func (m mode) near(n mode) bool { return math.Hypot(m.r-n.r, m.b-n.b) < ownChroma }

// densest returns the colours about which most samples lie, at most two:
// counted in a disc, then its mean.
func (o *own) densest() (out []mode) {
	step := 1 + len(o.samples)/400
	var all []mode
	for i := 0; i < len(o.samples); i += step {
		r, b := ratios(o.samples[i].light)
		all = append(all, mode{r: r, b: b})
	}
	total := float64(len(all))
	for len(out) < 2 && len(all) > 0 {
		best := mode{}
		for _, a := range all {
			if c := meanWithin(all, a, ownChroma/2); c.share > best.share {
				best = c
			}
		}
		rest := all[:0]
		n := 0.0
		for _, a := range all {
			if best.near(a) {
				n++
			} else {
				rest = append(rest, a)
			}
		}
		all = rest
		best.share = n / total
		out = append(out, best)
	}
	return out
}

// meanWithin returns the mean of the colours about a, their number as share.
func meanWithin(all []mode, a mode, reach float64) (c mode) {
	for _, b := range all {
		if math.Hypot(b.r-a.r, b.b-a.b) < reach {
			c.r, c.b, c.share = c.r+b.r, c.b+b.b, c.share+1
		}
	}
	c.r, c.b = c.r/c.share, c.b/c.share
	return c
}

// settleAll decides on every piece's own colour. It is the one most of the
// piece has; but strips may cover most of a narrow piece, and where another
// good part of it is of the colour that the other pieces have, that is its own.
func settleAll(os []*own) {
	chosen := make([]mode, len(os))
	for i, o := range os {
		if o != nil {
			chosen[i] = choose(os, i)
		}
	}
	for i, o := range os {
		if o != nil {
			o.keep(chosen[i])
		}
	}
	levelled(os, chosen)
}

func choose(os []*own, i int) mode {
	const most, part = 0.8, 0.15
	m := os[i].modes
	if len(m) < 2 || m[0].share > most || m[1].share < part {
		return m[0]
	}
	if common(os, i, m[1]) > common(os, i, m[0])+0.5 {
		return m[1]
	}
	return m[0]
}

// common counts the other pieces of a colour.
func common(os []*own, i int, m mode) (n float64) {
	for j, o := range os {
		if j != i && o != nil && o.modes[0].share > 0.5 && o.modes[0].near(m) {
			n += o.modes[0].share
		}
	}
	return n
}

// keep drops the samples of other colours.
func (o *own) keep(m mode) {
	kept := o.samples[:0]
	for _, s := range o.samples {
		r, b := ratios(s.light)
		if m.near(mode{r: r, b: b}) {
			kept = append(kept, s)
		}
	}
	o.samples = kept
	o.here = medianLight(o.samples)
}

// levelled gives pieces of one tape one usual colour, so that strips on pieces
// in different light can be compared.
func levelled(os []*own, chosen []mode) {
	const level = 0.45 // of log light: white and grey tape stay apart
	for i, o := range os {
		if o == nil {
			continue
		}
		var sum rgb
		n := 0.0
		for j, p := range os {
			if p == nil || !chosen[i].near(chosen[j]) || math.Abs(math.Log((p.here[1]+floorLight)/(o.here[1]+floorLight))) > level {
				continue
			}
			for k := range sum {
				sum[k] += p.here[k]
			}
			n++
		}
		for k := range sum {
			o.usual[k] = sum[k] / n
		}
	}
}

// near returns the piece's own colour about a place: the median within a disc
// that grows until it holds enough.
func (o *own) near(p mat.Point) rgb {
	const enough = 30
	for _, reach := range []float64{14, 22, 40} {
		var some []sample
		for _, s := range o.samples {
			if math.Abs(s.at.X-p.X) < reach && math.Hypot(s.at.X-p.X, s.at.Y-p.Y) < reach {
				some = append(some, s)
			}
		}
		if len(some) >= enough {
			return medianLight(some)
		}
	}
	return o.here
}

func medianLight(s []sample) rgb {
	var c rgb
	v := make([]float64, len(s))
	for k := range c {
		for i := range s {
			v[i] = s[i].light[k]
		}
		c[k] = median(v)
	}
	return c
}

// median orders v.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}
