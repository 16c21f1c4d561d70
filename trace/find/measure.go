package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// profile is the scalar along one normal, sampled every offsetStep px from
// -profileReach (inside) to +profileReach (outside).
type profile struct {
	v [profileLen]float32
}

const (
	profileReach = 6
	profileLen   = 2*profileReach*2 + 1
)

// read samples the normal at a border point, averaged over the neighbouring
// px along the border.
func (f *profile) read(q *probe, at, out photo.Point) {
	reach := 0.8
	if q.weak {
		reach = 2.5
	}
	tx, ty := -out.Y*reach, out.X*reach
	for j := range f.v {
		o := float64(j)*offsetStep - profileReach
		x, y := at.X+o*out.X, at.Y+o*out.Y
		f.v[j] = 0.5*q.at(x, y) + 0.25*(q.at(x-tx, y-ty)+q.at(x+tx, y+ty))
		if q.weak {
			f.v[j] = 0.5*f.v[j] + 0.25*(q.at(x-tx/2, y-ty/2)+q.at(x+tx/2, y+ty/2))
		}
	}
}

// level is the mean over offsets from a to b px.
func (f *profile) level(a, b float64) float32 {
	i, j := int(math.Round((a+profileReach)/offsetStep)), int(math.Round((b+profileReach)/offsetStep))
	i, j = max(0, min(i, profileLen-1)), max(0, min(j, profileLen-1))
	var s float32
	for k := i; k <= j; k++ {
		s += f.v[k]
	}
	return s / float32(j-i+1)
}

// crossing returns the offset where the profile passes a level between
// inside and outside, the nearest to a place; false when it never does
// within 3 px of it.
func (f *profile) crossing(level float32, near float64, falls bool) (float64, bool) {
	best, found := 0.0, false
	for k := 0; k+1 < profileLen; k++ {
		a, b := f.v[k]-level, f.v[k+1]-level
		if !falls {
			a, b = -a, -b
		}
		if a < 0 || b >= 0 {
			continue
		}
		o := float64(k)*offsetStep - profileReach + offsetStep*float64(a/(a-b))
		if math.Abs(o-near) > 3 {
			continue
		}
		if !found || math.Abs(o-near) < math.Abs(best-near) {
			best, found = o, true
		}
	}
	return best, found
}

// reading is what one profile says about the edge.
type reading struct {
	// offset is how far outward of the border point the edge lies, px.
	offset float64
	// in and bg are the levels found on both sides, inRamp and bgRamp how much
	// they still change from there to the edge.
	in, bg, inRamp, bgRamp float32
	// luma tells which scalar was read, luminance or a mix of colours.
	luma bool
	ok   bool
	// soft is set when something lies close by that may pull the reading.
	soft bool
}

// Plateaus are read from plateauNear to plateauMid px of the edge, past the
// blur; how they slope is read against the stretch on to plateauFar.
const plateauNear, plateauMid, plateauFar = 2, 3.5, 5.5

// levels reads both plateaus about an edge at o, and their ramps: a piece
// throws a soft shadow on the ground beside it, so that the ground at the
// edge itself is darker than two px away.
func (f *profile) levels(o float64, r *reading) {
	o = math.Min(math.Max(o, -1.5), 1.5)
	const ahead = (plateauNear + plateauMid) / 2 / ((plateauFar - plateauNear) / 2)
	r.in, r.bg = f.level(o-plateauMid, o-plateauNear), f.level(o+plateauNear, o+plateauMid)
	r.inRamp = ahead * (r.in - f.level(o-plateauFar, o-plateauMid))
	r.bgRamp = ahead * (r.bg - f.level(o+plateauMid, o+plateauFar))
}

// locate finds where the profile is half way between the levels on its two
// sides, moving the plateaus along with the edge.
func (f *profile) locate() reading {
	var r reading
	for range 3 {
		f.levels(r.offset, &r)
		at, ok := f.crossing((r.in+r.bg)/2, r.offset, r.in > r.bg)
		r.ok = ok
		if !ok {
			return r
		}
		last := r.offset
		r.offset = at
		if math.Abs(at-last) < 0.05 {
			break
		}
	}
	return r
}

// read locates the edge on every normal of the border: first by the levels
// beside it, then by the levels carried on to the edge along their ramps,
// which are smoothed along the border.
func (b *border) read(p *photo.Photo, linear, coded *tone) []reading {
	n := len(b.at)
	out := make([]reading, n)
	all := make([]profile, n)
	inParallel(n, func(lo, hi int) {
		q := probe{p: p}
		for i := lo; i < hi; i++ {
			q.aim(b.in[i], b.bg[i])
			q.t = coded // chroma is averaged over 2 x 2 px after coding
			if q.luma {
				q.t = linear
			}
			all[i].read(&q, b.at[i], b.out[i])
			out[i] = all[i].locate()
			out[i].luma = q.luma
		}
	})
	const half = 20
	in := runningMedian(out, half, func(r reading) float32 { return r.inRamp })
	bg := runningMedian(out, half, func(r reading) float32 { return r.bgRamp })
	for i := range out {
		out[i].carry(&all[i], in[i], bg[i])
	}
	return out
}

// carry locates the edge again with ramped levels. Ramps of more than a third
// of the step are not shadows.
func (r *reading) carry(f *profile, inRamp, bgRamp float32) {
	if !r.ok {
		return
	}
	limit := absf(r.in-r.bg) / 3
	in := r.in + min(max(inRamp, -limit), limit)
	bg := r.bg + min(max(bgRamp, -limit), limit)
	if at, ok := f.crossing((in+bg)/2, r.offset, in > bg); ok && math.Abs(at-r.offset) < 1 {
		r.offset = at
	}
}

// doubtful marks the readings whose levels or contrast do not belong to the
// stretch of border they lie on: a printed line, a pen stroke or another
// piece is in the way there. Where only the ground differs the reading is
// kept but marked soft.
func doubtful(r []reading, half int) []bool {
	n := len(r)
	bad := make([]bool, n)
	in := runningMedian(r, half, func(r reading) float32 { return r.in })
	span := runningMedian(r, half, func(r reading) float32 { return r.in - r.bg })
	for i := range r {
		own, usual := r[i].in-r[i].bg, span[i]
		if usual < 0 {
			own, usual = -own, -usual
		}
		inOff := absf(r[i].in - in[i])
		bad[i] = !r[i].ok || own < 0.4*usual || (r[i].luma && inOff > 0.35*usual)
		r[i].soft = own < 0.7*usual || own > 1.5*usual
	}
	return bad
}

// runningMedian is taken over every third reading of the same kind within
// half points either way; it moves every fourth point.
func runningMedian(r []reading, half int, of func(reading) float32) []float32 {
	n := len(r)
	out := make([]float32, n)
	half = min(half, (n-1)/2)
	var v [2][]float32
	for i := 0; i < n; i += 4 {
		v[0], v[1] = v[0][:0], v[1][:0]
		for j := -half; j <= half; j += 3 {
			if q := r[wrap(i+j, n)]; q.ok {
				v[kind(q)] = append(v[kind(q)], of(q))
			}
		}
		slices.Sort(v[0])
		slices.Sort(v[1])
		for j := i; j < min(i+4, n); j++ {
			out[j] = of(r[j])
			if w := v[kind(r[j])]; len(w) > 0 {
				out[j] = w[len(w)/2]
			}
		}
	}
	return out
}

func kind(r reading) int {
	if r.luma {
		return 1
	}
	return 0
}

// bridgedSigmaMM marks a sample that was not measured.
const bridgedSigmaMM = 1

// settle moves the border to the readings. Doubtful and stray ones are
// bridged along the side they lie on; it reports which.
func (b *border) settle(r []reading, bad []bool) {
	for i := range b.at {
		o := r[i].offset
		if bad[i] {
			o = bridge(r, bad, i)
		}
		b.at[i] = photo.Point{X: b.at[i].X + o*b.out[i].X, Y: b.at[i].Y + o*b.out[i].Y}
	}
	widen(bad, 2, 6)
	b.dropStray(bad)
	b.iron(r, bad)
}

// iron drops points of low contrast onto the straightest line through their
// neighbours before, about or after them: there the noise of one reading is
// a good part of a pixel, and a side does not bend within a dozen.
func (b *border) iron(r []reading, bad []bool) {
	const weakSpan, arm = 45, 12
	was := slices.Clone(b.at)
	for i := range b.at {
		if bad[i] || absf(r[i].in-r[i].bg) > weakSpan && r[i].luma {
			continue
		}
		var best lineFit
		for k, span := range [3][2]int{{-arm / 2, arm / 2}, {-arm, 0}, {0, arm}} {
			f := fitLine(was, i+span[0], i+span[1])
			if k == 0 || f.rms < 0.75*best.rms-0.02 {
				best = f
			}
		}
		d := was[i]
		t := (d.X-best.x)*best.tx + (d.Y-best.y)*best.ty
		b.at[i] = photo.Point{X: best.x + t*best.tx, Y: best.y + t*best.ty}
	}
}

// widen grows every run of marked points by some on both sides and closes
// short gaps between them: beside a thing in the way readings lean towards it.
func widen(bad []bool, by, gap int) {
	n := len(bad)
	grown := make([]bool, n)
	for i, v := range bad {
		if v {
			for j := -by; j <= by; j++ {
				grown[wrap(i+j, n)] = true
			}
		}
	}
	copy(bad, grown)
	run := gap
	for i := 0; i < n+gap; i++ {
		j := wrap(i, n)
		if !grown[j] {
			run++
			continue
		}
		if run < gap {
			for k := 1; k <= run; k++ {
				bad[wrap(j-k, n)] = true
			}
		}
		run = 0
	}
}

// dropStray marks points that lie off the line of their neighbours: first
// lone ones, then bulges about those already marked, against longer arms.
func (b *border) dropStray(bad []bool) {
	const arm, farPx = 9, 0.6
	n := len(bad)
	stray := make([]bool, n)
	for i := range bad {
		stray[i] = !bad[i] && b.strayPx(bad, i, arm) > farPx
	}
	for i := range bad {
		bad[i] = bad[i] || stray[i]
	}
	const long, bulgePx = 20, 0.8
	clear(stray)
	for i := range bad {
		if bad[i] || !anyNear(bad, i, 12) {
			continue
		}
		stray[i] = b.strayPx(bad, i, long) > bulgePx
	}
	for i := range bad {
		bad[i] = bad[i] || stray[i]
	}
}

func anyNear(bad []bool, i, reach int) bool {
	for j := i - reach; j <= i+reach; j++ {
		if bad[wrap(j, len(bad))] {
			return true
		}
	}
	return false
}

// bridge interpolates the offset between the nearest good readings.
func bridge(r []reading, bad []bool, i int) float64 {
	const span = 40
	n := len(r)
	a, c := -1, -1
	for d := 1; d < min(span, n) && (a < 0 || c < 0); d++ {
		if a < 0 && !bad[wrap(i-d, n)] {
			a = d
		}
		if c < 0 && !bad[wrap(i+d, n)] {
			c = d
		}
	}
	switch {
	case a < 0 && c < 0:
		return 0
	case a < 0:
		return r[wrap(i+c, n)].offset
	case c < 0:
		return r[wrap(i-a, n)].offset
	}
	t := float64(a) / float64(a+c)
	return r[wrap(i-a, n)].offset*(1-t) + r[wrap(i+c, n)].offset*t
}

// strayPx returns how far point i lies from the bent line (a parabola)
// through its neighbours: the least over the stretches before, about and
// after it.
func (b *border) strayPx(bad []bool, i, arm int) float64 {
	least := math.Inf(1)
	for _, span := range [3][2]int{{-arm, arm}, {-2 * arm, -1}, {1, 2 * arm}} {
		if d, ok := offParabola(b.at, bad, i, span[0], span[1]); ok {
			least = math.Min(least, d)
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// offParabola fits a parabola over the chord of the good points from i+from
// to i+to, i itself left out, and returns how far point i lies off it, px.
func offParabola(l loop, bad []bool, i, from, to int) (float64, bool) {
	n := len(l)
	a, b := l[wrap(i+from, n)], l[wrap(i+to, n)]
	tx, ty := b.X-a.X, b.Y-a.Y
	d := math.Hypot(tx, ty)
	if d < 1 {
		return 0, false
	}
	tx, ty = tx/d, ty/d
	o := l[wrap(i, n)]
	var s0, s1, s2, s3, s4, y0, y1, y2 float64
	for j := i + from; j <= i+to; j++ {
		k := wrap(j, n)
		if j == i || bad[k] {
			continue
		}
		dx, dy := l[k].X-o.X, l[k].Y-o.Y
		x, y := (dx*tx+dy*ty)/d, dx*ty-dy*tx
		s0, s1, s2, s3, s4 = s0+1, s1+x, s2+x*x, s3+x*x*x, s4+x*x*x*x
		y0, y1, y2 = y0+y, y1+x*y, y2+x*x*y
	}
	if s0 < 6 {
		return 0, false
	}
	// Cramer's rule for the constant term: the parabola's place at x = 0.
	det := s0*(s2*s4-s3*s3) - s1*(s1*s4-s2*s3) + s2*(s1*s3-s2*s2)
	if math.Abs(det) < 1e-9 {
		return 0, false
	}
	c := (y0*(s2*s4-s3*s3) - s1*(y1*s4-y2*s3) + s2*(y1*s3-y2*s2)) / det
	return math.Abs(c), true
}

// toSamples maps a finished border to the mat. Points that run backwards
// (corners, where the sides' normals part) are left out.
func toSamples(in *Input, s []spot) []curve.Sample {
	n := len(s)
	out := make([]curve.Sample, 0, n)
	pxMM := 0.0
	for i, p := range s {
		if !p.bridged {
			prev, next := s[wrap(i-1, n)], s[wrap(i+1, n)]
			tx, ty := -p.out.Y, p.out.X
			if (p.X-prev.X)*tx+(p.Y-prev.Y)*ty < -0.2 || (next.X-p.X)*tx+(next.Y-p.Y)*ty < -0.2 {
				continue
			}
		}
		at, ok := in.View.ToMat(p.Point)
		if !ok {
			continue
		}
		if i%64 == 0 || pxMM == 0 {
			pxMM = photoPixelMM(in, at.X, at.Y)
		}
		sigma := p.sigma * pxMM
		if p.bridged {
			sigma = bridgedSigmaMM
		}
		out = append(out, curve.Sample{At: at, SigmaMM: sigma})
	}
	return out
}

// sigmaPx estimates a reading's standard error from its contrast: noise of
// about 2 levels on an edge some 3 px wide, never better than 0.05 px.
func sigmaPx(r reading) float64 {
	span := float64(absf(r.in - r.bg))
	sigma := math.Max(0.05, 6/math.Max(span, 4))
	if r.soft {
		sigma *= 3
	}
	return sigma
}
