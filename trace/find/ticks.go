package find

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Along the rim of a grid stand the ticks of a ruler, so close that they look
// like something lying there. They come back with every pitch: what most
// stretches of a rim show at one place of the pitch is printed there, and it
// is printed beside the pieces, too.

// tickBand is what is printed along one side of the grid, over one pitch, by
// bands of distance from the side's outermost line.
type tickBand struct {
	// rows is true for the sides along x. at is the place of the outermost line
	// across, mm, outward 1 or -1; the side runs from lo to hi along it.
	rows           bool
	at, outward    float64
	lo, hi, period float64
	along, across  int // places over the period and over the band
	ink            []float32
}

const (
	tickBinMM = 0.2
	// The band reaches from tickInMM inside the outermost line to tickOutMM
	// outside.
	tickInMM, tickOutMM = 3.0, 5.0
)

// part is how much of a place is printed on; false outside the band.
func (b *tickBand) part(at mat.Point) (float64, bool) {
	u, v := at.Y, at.X
	if b.rows {
		u, v = at.X, at.Y
	}
	v = (v - b.at) * b.outward
	if v < -tickInMM || v > tickOutMM || u < b.lo || u > b.hi {
		return 0, false
	}
	x, y := math.Mod(u-b.lo, b.period)/b.period*float64(b.along)-0.5, (v+tickInMM)/tickBinMM-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	s, t := x-float64(i), y-float64(j)
	pick := func(i, j int) float64 {
		j = min(max(j, 0), b.across-1)
		return float64(b.ink[j*b.along+wrap(i, b.along)])
	}
	top := pick(i, j)*(1-s) + pick(i+1, j)*s
	return top*(1-t) + (pick(i, j+1)*(1-s)+pick(i+1, j+1)*s)*t, true
}

// tickBands learns the four sides; those without ticks are left out.
func (f *finder) tickBands() (out []tickBand) {
	g, p := f.in.Grid, f.in.Pitch
	left, right := float64(g.MinColumn)*p.XMM, float64(g.MaxColumn)*p.XMM
	top, bottom := float64(g.MinRow)*p.YMM, float64(g.MaxRow)*p.YMM
	sides := [4]tickBand{
		{at: left, outward: -1, lo: top, hi: bottom, period: p.YMM},
		{at: right, outward: 1, lo: top, hi: bottom, period: p.YMM},
		{rows: true, at: top, outward: -1, lo: left, hi: right, period: p.XMM},
		{rows: true, at: bottom, outward: 1, lo: left, hi: right, period: p.XMM},
	}
	taken := f.takenPlaces()
	learnt := [4]bool{}
	inParallel(len(sides), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			learnt[k] = sides[k].learn(f, taken)
		}
	})
	for k, ok := range learnt {
		if ok {
			out = append(out, sides[k])
		}
	}
	return out
}

// learn takes the median over all pitches of the ink at every place of the
// band that the photograph shows bare; false where no ticks stand there.
func (b *tickBand) learn(f *finder, taken func(mat.Point) bool) bool {
	const leastPitches, mostPitches = 4, 24
	pitches := int(math.Round((b.hi - b.lo) / b.period))
	if pitches < leastPitches {
		return false
	}
	b.along, b.across = int(math.Ceil(b.period/tickBinMM)), int((tickInMM+tickOutMM)/tickBinMM)
	seen := make([][]float32, b.along*b.across)
	every := 1 + (pitches-1)/mostPitches
	for n := 0; n < pitches; n += every {
		for i := range b.along {
			b.column(f, taken, b.lo+(float64(n)+(float64(i)+0.5)/float64(b.along))*b.period, func(j int, ink float32) {
				k := j*b.along + i
				seen[k] = append(seen[k], ink)
			})
		}
	}
	b.ink = make([]float32, len(seen))
	inked := 0
	for k, v := range seen {
		if len(v) < leastPitches {
			continue
		}
		slices.Sort(v)
		const least = 0.06 // less is noise
		if m := v[len(v)/2]; m > least {
			b.ink[k] = min(m, 1)
		}
		if d := (float64(k/b.along)+0.5)*tickBinMM - tickInMM; math.Abs(d) > 1 && b.ink[k] > 0.2 {
			inked++
		}
	}
	const tickPart = 0.01
	return float64(inked) > tickPart*float64(len(seen))
}

// column reads the band across at u mm along it.
func (b *tickBand) column(f *finder, taken func(mat.Point) bool, u float64, do func(j int, ink float32)) {
	place := func(v float64) mat.Point {
		if b.rows {
			return mat.Point{X: u, Y: b.at + b.outward*v}
		}
		return mat.Point{X: b.at + b.outward*v, Y: u}
	}
	if taken(place(-tickInMM)) || taken(place(0)) || taken(place(tickOutMM)) {
		return
	}
	first, last := f.in.View.ToPhoto(place(-tickInMM)), f.in.View.ToPhoto(place(tickOutMM))
	mid := photo.Point{X: (first.X + last.X) / 2, Y: (first.Y + last.Y) / 2}
	coded := f.groundAt(mid)
	bare, line := f.light(coded), f.inkLight(coded)
	var d [3]float32
	for c := range d {
		d[c] = line[c] - bare[c]
	}
	d2 := dot(d, d)
	w, h := float64(f.in.Photo.Width-1), float64(f.in.Photo.Height-1)
	if d2 < 1 || min(first.X, first.Y, last.X, last.Y) < 1 || max(first.X, last.X) >= w-1 || max(first.Y, last.Y) >= h-1 {
		return
	}
	for j := range b.across {
		t := (float64(j) + 0.5) / float64(b.across)
		c := f.lightAt(first.X+t*(last.X-first.X), first.Y+t*(last.Y-first.Y))
		for k := range c {
			c[k] -= bare[k]
		}
		do(j, dot(c, d)/d2)
	}
}

// inkLight is the lines' own colour on ground of a coded colour, as light.
func (f *finder) inkLight(coded [3]float32) [3]float32 {
	bare, line := f.light(coded), f.light(f.printedOn(coded))
	for k := range line {
		line[k] = max(0, bare[k]+float32(f.print.gain)*(line[k]-bare[k]))
	}
	return line
}

// taken is set where something lies on the mat or beside it.
func (f *finder) taken() []uint8 {
	s := f.sheet
	taken := make([]uint8, len(s.seen))
	for _, r := range f.regions {
		for y := range r.h {
			for x := range r.w {
				if r.in[y*r.w+x] == 1 {
					taken[s.index(r.x0+x, r.y0+y)] = 1
				}
			}
		}
	}
	return taken
}

// takenPlaces is taken by millimetres.
func (f *finder) takenPlaces() func(mat.Point) bool {
	s, taken := f.sheet, f.taken()
	return func(p mat.Point) bool {
		x, y := int((p.X-s.x0)/s.res), int((p.Y-s.y0)/s.res)
		return x < 0 || y < 0 || x >= s.w || y >= s.h || taken[s.index(x, y)] == 1
	}
}

// clearTicks marks as bare what the ticks explain; it reports whether any was.
func (f *finder) clearTicks() bool {
	inkOf, noise := f.inkScale()
	way, some := f.inkWay(), false
	for k := range f.print.ticks {
		b := &f.print.ticks[k]
		const chunkMM = 3
		for u := b.lo; u < b.hi; u += chunkMM {
			places := b.places(f.sheet, u, u+chunkMM)
			if !f.explains(places, inkOf) {
				continue // something lies there
			}
			for _, q := range places {
				if f.mask[q.i] != 0 && q.part > 0.08 && f.isInk(q.i, way, inkOf(q.i), q.part, noise) {
					f.mask[q.i], some = 0, true
				}
			}
		}
	}
	return some
}

// tickPlace is a pixel of the sheet in a band and how much of it is printed.
type tickPlace struct {
	i    int
	part float64
}

// places are the sheet's pixels of a stretch of the band.
func (b *tickBand) places(s *sheet, from, to float64) (out []tickPlace) {
	x0, y0, x1, y1 := b.box(from, to)
	for y := max(0, int((y0-s.y0)/s.res)); y <= min(s.h-1, int((y1-s.y0)/s.res)); y++ {
		for x := max(0, int((x0-s.x0)/s.res)); x <= min(s.w-1, int((x1-s.x0)/s.res)); x++ {
			if i := s.index(x, y); s.seen[i] == 1 {
				if part, ok := b.part(s.toMM(float64(x), float64(y))); ok {
					out = append(out, tickPlace{i, part})
				}
			}
		}
	}
	return out
}

// explains reports whether the ticks account for what a stretch shows: ink
// where they stand and none where they do not, unlike a thing that covers all
// of it.
func (f *finder) explains(places []tickPlace, inkOf func(int) float32) bool {
	const least = 20
	if len(places) < least {
		return false
	}
	var n, si, sp, sii, sip, spp float64
	for _, q := range places {
		v := float64(inkOf(q.i))
		n, si, sp = n+1, si+v, sp+q.part
		sii, sip, spp = sii+v*v, sip+v*q.part, spp+q.part*q.part
	}
	vi, vp, c := sii-si*si/n, spp-sp*sp/n, sip-si*sp/n
	const explained = 0.5 // of the variance
	return vi > 0 && vp > 0 && c > 0 && c*c > explained*vi*vp
}

// isInk reports whether a sheet pixel looks like the ground with a part of it
// printed on.
func (f *finder) isInk(i int, way [3]float32, ink float32, part float64, noise float32) bool {
	if ink < -0.1 || ink > 1.5 {
		return false
	}
	// Along the ink's colour the sheet is on a log scale and blurred, so that
	// the amount is only roughly known; across it nothing may be left.
	ch := f.sheet.ch
	rest := f.spread.distance(ch[0][i]-ink*way[0], ch[1][i]-ink*way[1], ch[2][i]-ink*way[2])
	const most = 200
	return rest < most && float64(ink) < 2*f.print.gain*part+0.3+3*float64(noise)
}

// box is the rectangle of a stretch of the band, mm.
func (b *tickBand) box(from, to float64) (x0, y0, x1, y1 float64) {
	in, out := b.at-b.outward*tickInMM, b.at+b.outward*tickOutMM
	lo, hi := math.Min(in, out), math.Max(in, out)
	if b.rows {
		return from, lo, to, hi
	}
	return lo, from, hi, to
}
