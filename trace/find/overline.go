package find

import "math"

// Where an edge runs beside, along or across printed lines its profile has
// more than one step. Where the lines lie is known from the grid, so the
// whole profile is predicted for every place of the edge: the piece, from
// there on the ground with its lines, all blurred. The place that predicts
// best is the edge.

const (
	overInner, overOuter = -9.0, 7.0 // px along the normal, outwards
	overLen              = int((overOuter-overInner)/offsetStep) + 1
	// overBlurPx is the standard deviation of the blur in the prediction: what
	// lens, demosaicking and JPEG leave of an edge in phone pictures.
	overBlurPx = 0.9
	overStep   = 0.25 // px between the places tried
)

// strip is one normal with what is printed along it: the colours seen, on
// the scale light mixes in, and how much of each place the lines cover.
type strip struct {
	seen         [overLen][3]float32
	cover        [overLen]float32
	in, bg, line [3]float32
	// weight makes the channels count by how far they tell the piece from the
	// ground, and the whole a part of that difference.
	weight float32
}

// overLines measures the doubtful points beside printed lines again; it
// takes back the mark where a prediction fits.
func (b *border) overLines(f *finder, r []reading, bad []bool) {
	if f.lineGain == [3]float32{} || f.in.lineWidthMM() == 0 {
		return
	}
	again := make([]reading, len(r))
	inParallel(len(r), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if !bad[i] || b.narrow(i) || b.wallPx(i) > 0 {
				continue
			}
			if s, ok := f.stripAt(b, i); ok {
				again[i] = s.best(r[i])
			}
		}
	})
	for i := range again {
		if again[i].ok && goesOn(again, r, bad, i) {
			again[i].soft = true
			r[i], bad[i] = again[i], false
		}
	}
}

// goesOn reports whether a prediction goes on among its neighbours: most of
// those within reach, measured or predicted, lie near it.
func goesOn(again, r []reading, bad []bool, i int) bool {
	const reach, jump = 4, 0.35
	near, all := 0, 0
	for d := -reach; d <= reach; d++ {
		j := wrap(i+d, len(again))
		o, ok := again[j].offset, again[j].ok
		if !bad[j] {
			o, ok = r[j].offset, true
		}
		if d == 0 || !ok {
			continue
		}
		all++
		if math.Abs(o-again[i].offset) < jump*math.Sqrt(math.Abs(float64(d)))+0.15 {
			near++
		}
	}
	return all >= reach && 3*near >= 2*all
}

// stripAt prepares a border point; false where no line is near.
func (f *finder) stripAt(b *border, i int) (s strip, ok bool) {
	at, out := b.at[i], b.out[i]
	m := f.frameAt(at, out)
	if !m.ok {
		return s, false
	}
	px := math.Hypot(m.x, m.y)
	most := float32(0)
	for k := range s.cover {
		o := overInner + offsetStep*float64(k)
		s.cover[k] = m.printedPart(o, px*overBlurPx)
		most = max(most, s.cover[k])
		s.seen[k] = f.lightAt(at.X+o*out.X, at.Y+o*out.Y)
	}
	if most < 0.2 {
		return s, false
	}
	s.in, s.bg, s.line = f.light(b.in[i]), f.light(b.bg[i]), f.light(f.printedOn(b.bg[i]))
	var d2 float32
	for k := range s.in {
		d2 += (s.in[k] - s.bg[k]) * (s.in[k] - s.bg[k])
	}
	s.weight = 1 / max(d2, 1)
	const leastStep = 30 // of 255, over three channels
	return s, d2 > leastStep*leastStep
}

// printedPart is how much of a place px outward is covered by lines, blurred
// by sigma mm.
func (m normalMM) printedPart(o, sigmaMM float64) float32 {
	part := func(v, step float64) float64 {
		d := math.Abs(v - math.Round(v/step)*step)
		return normalPart((m.half-d)/sigmaMM) - normalPart((-m.half-d)/sigmaMM)
	}
	x, y := part(m.at.X+o*m.x, m.step.XMM), part(m.at.Y+o*m.y, m.step.YMM)
	return float32(x + y - x*y)
}

// normalPart is the normal distribution's part below t.
func normalPart(t float64) float64 { return 0.5 * math.Erfc(-t/math.Sqrt2) }

// light is a coded colour on the scale in which the camera mixes light.
func (f *finder) light(c [3]float32) (v [3]float32) {
	for k := range c {
		v[k] = f.linear[byte(min(max(c[k]+0.5, 0), 255))]
	}
	return v
}

// lightAt interpolates the photograph on that scale; black outside.
func (f *finder) lightAt(x, y float64) (v [3]float32) {
	p := f.in.Photo
	if !(x >= 0 && y >= 0 && x < float64(p.Width-1) && y < float64(p.Height-1)) {
		return v
	}
	x0, y0 := int(x), int(y)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	i := 3 * (y0*p.Width + x0)
	j := i + 3*p.Width
	for k := range v {
		a, b := f.linear[p.RGB[i+k]], f.linear[p.RGB[i+3+k]]
		c, d := f.linear[p.RGB[j+k]], f.linear[p.RGB[j+3+k]]
		top := a + (b-a)*fx
		v[k] = top + (c+(d-c)*fx-top)*fy
	}
	return v
}

// best tries every place of the edge.
func (s *strip) best(was reading) reading {
	const from, to = -7.0, 5.0
	const n = int((to-from)/overStep) + 1
	var cost [n]float32
	at := 0
	for k := range cost {
		cost[k] = s.misfit(from + overStep*float64(k))
		if cost[k] < cost[at] {
			at = k
		}
	}
	// A pixel off must fit clearly worse, or the place is not told.
	const px, clearly, most = int(1 / overStep), 0.0025, 0.012
	if at < px || at >= n-px || cost[at] > most {
		return reading{}
	}
	if min(cost[at-px], cost[at+px]) < cost[at]+clearly {
		return reading{}
	}
	// Another place farther off that fits nearly as well leaves it open.
	for k := range cost {
		if (k < at-2*px || k > at+2*px) && cost[k] < cost[at]+clearly {
			return reading{}
		}
	}
	a, c, e := float64(cost[at-1]), float64(cost[at]), float64(cost[at+1])
	fine := 0.0
	if w := a - 2*c + e; w > 0 {
		fine = 0.5 * (a - e) / w
	}
	was.offset, was.ok = from+overStep*(float64(at)+fine), true
	return was
}

// misfit is the mean squared difference of what is seen and what an edge at
// o px predicts, as a part of the piece's difference from the ground. The
// lines' strength is free within what minor lines and wear make of it.
func (s *strip) misfit(o float64) float32 {
	const window = 5 // px either way that are compared
	var out [overLen]float32
	lo, hi := overLen, 0
	for k := range out {
		x := overInner + offsetStep*float64(k)
		if math.Abs(x-o) > window && s.cover[k] < 0.1 {
			continue
		}
		lo, hi = min(lo, k), max(hi, k)
	}
	var num, den float32
	for k := lo; k <= hi; k++ {
		out[k] = outsidePart((overInner + offsetStep*float64(k) - o) / overBlurPx)
		for c := range s.in {
			g := out[k] * s.cover[k] * (s.line[c] - s.bg[c])
			num += g * (s.seen[k][c] - s.in[c] - out[k]*(s.bg[c]-s.in[c]))
			den += g * g
		}
	}
	strength := float32(0)
	if den > 0 {
		strength = min(max(num/den, 0), 1.3)
	}
	var sum float32
	for k := lo; k <= hi; k++ {
		for c := range s.in {
			bg := s.bg[c] + strength*s.cover[k]*(s.line[c]-s.bg[c])
			d := s.seen[k][c] - s.in[c] - out[k]*(bg-s.in[c])
			sum += d * d
		}
	}
	return sum * s.weight / float32(hi-lo+1)
}

// outsidePart is normalPart by the logistic function, good to 0.01.
func outsidePart(t float64) float32 { return float32(1 / (1 + math.Exp(-1.702*t))) }
