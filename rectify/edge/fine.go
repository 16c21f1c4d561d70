package edge

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

const (
	// fineStepPx is the distance between profiles, each averaged over as much.
	fineStepPx = 6
	// mostProfiles bounds their number on a side.
	mostProfiles = 600
	// halfPx is how far a profile reaches to either side.
	halfPx = 9
	// fineEnds is the part of the side at either end that is left out.
	fineEnds = 0.006
	// blurPower is the power of coded values in which a camera's blur mixes the
	// two sides: light is about the 2.2th power of the coded value (IEC
	// 61966-2-1), less what a contrast curve takes back.
	blurPower = 1.8
)

// profile is what crosses the edge at one place, in units of light.
type profile struct {
	part float64
	base float64 // where the curve lies there
	v    [2*halfPx + 1]float64
}

// light is the table of coded values turned to the scale of the blur, 0 to 1.
var light = func() (t [256]float64) {
	for i := range t {
		t[i] = math.Pow(float64(i)/255, blurPower)
	}
	return t
}()

// mix weighs the channels.
type mix [3]float64

// luma are the weights of ITU-R BT.601.
var luma = mix{0.299, 0.587, 0.114}

// measure fits a blurred step to profiles along the curve, twice: about the
// coarse curve, then about the fine one.
func measure(p *photo.Photo, f frame, b bow) Edge {
	e := Edge{bow: b}
	m := bestMix(p, f, b)
	for range 2 {
		ps := profiles(p, f, e.bow, m)
		if len(ps) < 8 {
			return Edge{}
		}
		e = locate(ps, f, e.bow)
		if !e.enough() {
			return e
		}
	}
	return e
}

// bestMix weighs the channels by what they differ across the edge. Brightness
// alone is preferred when it shows the edge: colour is kept at half the
// resolution in a JPEG.
func bestMix(p *photo.Photo, f frame, b bow) mix {
	var steps [3][]float64
	for k := range stations {
		part := ends + (1-2*ends)*(float64(k)+0.5)/stations
		in := colourAt(p, f, part, b.at(part)+stepReachPx, 6)
		out := colourAt(p, f, part, b.at(part)-stepReachPx, 6)
		for c := range steps {
			steps[c] = append(steps[c], light[int(in[c])]-light[int(out[c])])
		}
	}
	var d mix
	bright, all := 0.0, 0.0
	for c := range d {
		slices.Sort(steps[c])
		d[c] = steps[c][stations/2]
		bright += luma[c] * d[c]
		all = max(all, math.Abs(d[c]))
	}
	if all == 0 || math.Abs(bright) > 0.3*all {
		return luma
	}
	sum := math.Abs(d[0]) + math.Abs(d[1]) + math.Abs(d[2])
	for c := range d {
		d[c] /= sum
	}
	return d
}

// profiles reads the photograph across the curve.
func profiles(p *photo.Photo, f frame, b bow, m mix) []profile {
	n := min(int((1-2*fineEnds)*f.length/fineStepPx), mostProfiles)
	ps := make([]profile, 0, n)
	for k := range n {
		pr := profile{part: fineEnds + (1-2*fineEnds)*(float64(k)+0.5)/float64(n)}
		pr.base = b.at(pr.part)
		if !p.Inside(f.at(pr.part, pr.base-halfPx), 1) || !p.Inside(f.at(pr.part, pr.base+halfPx), 1) {
			continue
		}
		for s := range fineStepPx {
			part := pr.part + (float64(s)-(fineStepPx-1)/2.0)/f.length
			base := b.at(part)
			for i := range pr.v {
				pr.v[i] += m.at(p, f.at(part, base+float64(i-halfPx))) / fineStepPx
			}
		}
		ps = append(ps, pr)
	}
	return ps
}

// at is the light at a place, bilinear in units of light.
func (m mix) at(p *photo.Photo, at photo.Point) float64 {
	x, y := int(at.X), int(at.Y)
	fx, fy := at.X-float64(x), at.Y-float64(y)
	i := 3 * (y*p.Width + x)
	top := m.px(p, i)*(1-fx) + m.px(p, i+3)*fx
	j := i + 3*p.Width
	return top*(1-fy) + (m.px(p, j)*(1-fx)+m.px(p, j+3)*fx)*fy
}

func (m mix) px(p *photo.Photo, i int) float64 {
	return m[0]*light[p.RGB[i]] + m[1]*light[p.RGB[i+1]] + m[2]*light[p.RGB[i+2]]
}

// locate fits the steps, keeps those that agree with their neighbours, and
// lays the curve through them.
func locate(ps []profile, f frame, b bow) Edge {
	blur := commonBlur(ps)
	fits := make([]stepFit, 0, len(ps))
	for i := range ps {
		if s, ok := fitStep(&ps[i].v, blur); ok {
			s.part, s.across = ps[i].part, ps[i].base+s.off
			fits = append(fits, s)
		}
	}
	fits = alike(fits)
	next, fits, ok := settle(fits, b)
	if !ok {
		return Edge{}
	}
	e := Edge{bow: next, SeenPart: float64(len(fits)) / float64(max(len(ps), 1))}
	for _, s := range fits {
		e.Samples = append(e.Samples, Sample{At: f.at(s.part, s.across), Part: s.part, SigmaPx: s.sigma})
	}
	return e
}

// alike drops the steps that are much weaker than most or hardly look like
// steps: what lies there is not the sheet against the table.
func alike(fits []stepFit) []stepFit {
	if len(fits) == 0 {
		return nil
	}
	heights, rough := make([]float64, len(fits)), make([]float64, len(fits))
	for i, s := range fits {
		heights[i], rough[i] = math.Abs(s.height), s.rms/math.Abs(s.height)
	}
	least, most := 0.35*median(heights), max(3*median(rough), 0.02)
	return slices.DeleteFunc(fits, func(s stepFit) bool {
		return math.Abs(s.height) < least || s.rms/math.Abs(s.height) > most
	})
}

const (
	// settleRounds of laying the curve and dropping what lies off it.
	settleRounds = 8
	// dropAt times the usual distance a step is dropped; never within dropPx.
	dropAt, dropPx = 3.5, 0.15
)

// settle lays the curve through the steps, robustly: a parabola first, so
// that runs of wrong steps do not bend it.
func settle(fits []stepFit, b bow) (bow, []stepFit, bool) {
	for round := range settleRounds {
		off := make([]float64, len(fits))
		for i, s := range fits {
			off[i] = math.Abs(s.across - b.at(s.part))
		}
		limit := max(dropAt*1.4826*median(off), dropPx)
		part, across, weight := []float64{}, []float64{}, []float64{}
		for i, s := range fits {
			if off[i] <= limit {
				part, across = append(part, s.part), append(across, s.across)
				weight = append(weight, 1/(s.sigma*s.sigma+0.03*0.03))
			}
		}
		if len(part) < 8 {
			return b, nil, false
		}
		next, ok := fitBow(part, across, weight, min(3+round/2, 5))
		if !ok {
			return b, nil, false
		}
		b = next
	}
	off := make([]float64, len(fits))
	for i, s := range fits {
		off[i] = math.Abs(s.across - b.at(s.part))
	}
	limit := max(dropAt*1.4826*median(off), dropPx)
	return b, slices.DeleteFunc(fits, func(s stepFit) bool {
		return math.Abs(s.across-b.at(s.part)) > limit
	}), true
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
