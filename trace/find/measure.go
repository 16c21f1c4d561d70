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
	b.readWalls(p, linear, coded, out)
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

// withoutReturns leaves out the points that run backwards about corners that go
// in, where the normals of the sides cross. About corners that stick out the
// normals part: what is left open between two points was not measured.
func withoutReturns(s []spot) []spot {
	const openPx = 2.5
	out := make([]spot, 0, len(s))
	for i, p := range s {
		if !p.bridged && runsBack(s, i) {
			continue
		}
		if n := len(out); n > 0 && math.Hypot(p.X-out[n-1].X, p.Y-out[n-1].Y) > openPx {
			out = append(out, line(out[n-1].Point, p.Point)...)
		}
		out = append(out, p)
	}
	return out
}

// toSamples maps a finished border to the mat.
func toSamples(in *Input, s []spot) []curve.Sample {
	s = withoutReturns(s)
	out := make([]curve.Sample, 0, len(s))
	pxMM := 0.0
	for i, p := range s {
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

// runsBack reports whether the border runs backwards at a point, against the
// direction of its own side.
func runsBack(s []spot, i int) bool {
	p, n := s[i], len(s)
	prev, next := s[wrap(i-1, n)], s[wrap(i+1, n)]
	tx, ty := -p.out.Y, p.out.X
	return (p.X-prev.X)*tx+(p.Y-prev.Y)*ty < -0.2 || (next.X-p.X)*tx+(next.Y-p.Y)*ty < -0.2
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
