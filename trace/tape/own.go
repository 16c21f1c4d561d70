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
	// usual is the colour in the piece's middle light.
	usual rgb
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

// newOwn reads the piece's own colour from places all over it: the densest
// colour of its inside.
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
	r0, b0 := o.densest()
	kept := o.samples[:0]
	for _, s := range o.samples {
		if r, b := ratios(s.light); math.Hypot(r-r0, b-b0) < ownChroma {
			kept = append(kept, s)
		}
	}
	o.samples = kept
	o.usual = medianLight(o.samples)
	return o, true
}

// densest returns the ratios about which most samples lie: counted in a disc,
// then its mean.
func (o *own) densest() (r, b float64) {
	type ratio struct{ r, b float64 }
	all := make([]ratio, len(o.samples))
	for i, s := range o.samples {
		all[i].r, all[i].b = ratios(s.light)
	}
	step := 1 + len(all)/300
	best := ratio{}
	most := 0
	for i := 0; i < len(all); i += step {
		n := 0
		var sum ratio
		for j := 0; j < len(all); j += step {
			if math.Hypot(all[j].r-all[i].r, all[j].b-all[i].b) < ownChroma/2 {
				n++
				sum.r += all[j].r
				sum.b += all[j].b
			}
		}
		if n > most {
			most, best = n, ratio{sum.r / float64(n), sum.b / float64(n)}
		}
	}
	return best.r, best.b
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
	return o.usual
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
