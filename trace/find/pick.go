package find

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// pickPieces keeps what is large enough and lies whole on the mat.
func (f *finder) pickPieces() {
	whole := make([]bool, len(f.regions))
	inParallel(len(f.regions), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			whole[i] = !f.regions[i].cut && f.regions[i].outlineOf(f.sheet)
		}
	})
	for i := range f.regions {
		r := &f.regions[i]
		if r.cut {
			f.reportCut(r)
			continue
		}
		if !whole[i] || r.areaMM2 < minPieceMM2 || r.deep < minDepthMM {
			continue
		}
		for _, q := range f.takeOffRules(r) {
			if q.areaMM2 >= minPieceMM2 && q.deep >= minDepthMM {
				f.found = append(f.found, &traced{region: &q})
			}
		}
	}
}

// reportCut says that something runs off the mat or the picture. The table
// round the mat does so too and is not worth a word: only what reaches well
// into the printed grid is.
func (f *finder) reportCut(r *region) {
	s := f.sheet
	var x, y, n float64
	for j := 0; j < r.h; j++ {
		for i := 0; i < r.w; i++ {
			if r.in[j*r.w+i] == 1 && s.onGrid(float64(r.x0+i), float64(r.y0+j)) && s.seen[s.index(r.x0+i, r.y0+j)] == 1 {
				x, y, n = x+float64(r.x0+i), y+float64(r.y0+j), n+1
			}
		}
	}
	const worthMM2 = 400
	if n*s.res*s.res < worthMM2 {
		return
	}
	f.problem(s.toMM(x/n, y/n), "Something here runs off the mat or off the picture, so it was left out. If it is a piece, photograph it lying whole on the mat.")
}

func (f *finder) problem(at mat.Point, text string) {
	f.problems = append(f.problems, Problem{At: at, Text: text})
}

// dropOthers takes out what lies on the mat but is no piece, and says so.
func (f *finder) dropOthers() {
	usual := f.usualUnmeasured()
	var kept []*traced
	for _, t := range f.found {
		b := boxAround(t.flat)
		if why := f.against(t, b, usual); why != "" {
			f.problem(b.middle, why)
		} else if len(t.piece.Outline) >= leastLoop {
			kept = append(kept, t)
			f.reportHidden(t)
		}
	}
	f.found = kept
	f.reportFaint()
}

// reportHidden tells of notches that a raised piece's own upper edge hides.
func (f *finder) reportHidden(t *traced) {
	for _, at := range t.hidden {
		f.problem(at, "Part of the outline is hidden here behind an upper edge: in a notch, whose sides were carried on to where they meet, or between two pieces that lie too close. Check it, or lay the pieces farther apart, the notch nearer to the middle, and photograph again.")
	}
}

// against says why a thing is taken for no piece; empty when it is one.
func (f *finder) against(t *traced, b slimBox, usual float64) string {
	switch {
	case f.isPen(b, b.placesOf(t.piece.Marks)):
		return fmt.Sprintf("Left out: looks like a pen, %.0f x %.0f mm. If it is a piece, photograph it beside the others without shine.", b.long, b.wide)
	case f.isRule(t, b):
		return fmt.Sprintf("Left out: looks like a rule, %.0f x %.0f mm. If it is a piece, give it a registration mark and photograph it again.", b.long, b.wide)
	case isVague(t, usual):
		return "Something lies here whose edge could not be seen well enough to measure, so it was left out. If it is a piece, photograph it again in more even light."
	}
	return ""
}

// isVague reports whether too little of an outline was measured to believe
// it: less than 40 %, or, where no pen mark speaks for it, much less than is
// usual on this mat (a rule that is hardly told from a grey mat).
func isVague(t *traced, usual float64) bool {
	part := unmeasuredPart(t.piece.Outline)
	return part > 0.6 || len(t.piece.Marks) == 0 && part > max(0.33, 2.5*usual)
}

// usualUnmeasured is the median over all things of their unmeasured part.
func (f *finder) usualUnmeasured() float64 {
	var v []float64
	for _, t := range f.found {
		v = append(v, unmeasuredPart(t.piece.Outline))
	}
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// unmeasuredPart is the part of an outline that was bridged.
func unmeasuredPart(s []curve.Sample) float64 {
	n := 0
	for _, q := range s {
		if q.SigmaMM >= bridgedSigmaMM {
			n++
		}
	}
	return float64(n) / float64(max(len(s), 1))
}

// slimBox is the narrowest rectangle round an outline, mm.
type slimBox struct {
	middle     mat.Point
	ux, uy     float64 // along its long side
	long, wide float64
	// fill is the outline's area as a part of the rectangle's.
	fill float64
}

// boxAround tries every half degree; the sides are then within 0.5 % of the
// narrowest rectangle's.
func boxAround(s []curve.Sample) slimBox {
	best := slimBox{wide: math.Inf(1)}
	for k := 0; k < 360; k++ {
		sin, cos := math.Sincos(float64(k) * math.Pi / 360)
		a0, a1, b0, b1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for i := 0; i < len(s); i += 5 {
			a, b := s[i].At.X*cos+s[i].At.Y*sin, s[i].At.Y*cos-s[i].At.X*sin
			a0, a1, b0, b1 = math.Min(a0, a), math.Max(a1, a), math.Min(b0, b), math.Max(b1, b)
		}
		if w := b1 - b0; w < best.wide {
			am, bm := (a0+a1)/2, (b0+b1)/2
			best = slimBox{
				middle: mat.Point{X: am*cos - bm*sin, Y: am*sin + bm*cos},
				ux:     cos, uy: sin, long: a1 - a0, wide: w,
			}
		}
	}
	var area float64
	for i := range s {
		p, q := s[i].At, s[(i+1)%len(s)].At
		area += p.X*q.Y - q.X*p.Y
	}
	best.fill = math.Abs(area) / 2 / math.Max(best.long*best.wide, 1e-9)
	return best
}

// at returns the point a mm along and b mm across from the middle.
func (b slimBox) at(along, across float64) mat.Point {
	return mat.Point{
		X: b.middle.X + along*b.ux - across*b.uy,
		Y: b.middle.Y + along*b.uy + across*b.ux,
	}
}

// isRule tells a rule: a long true rectangle that has ticks along a side, or
// no pen mark on it and a colour that no other piece has. Its shape alone
// would take a maker's strap away.
func (f *finder) isRule(t *traced, b slimBox) bool {
	if !b.isLongRectangle() {
		return false
	}
	marks := len(t.piece.Marks)
	const perMark = 12 // mm of length; more marks than that are ticks
	if marks > 0 && b.long/float64(marks) > perMark {
		return false
	}
	return f.tickStrength(b) > ticksShow || b.long > 5.5*b.wide && f.colourGap(t) > 0.06
}

// ticksShow is the strength from which ticks are told.
const ticksShow = 0.3

// isLongRectangle reports whether a box is long and filled as a rule fills it.
func (b slimBox) isLongRectangle() bool {
	const widest = 48 // mm; steel rules are sold up to about that
	return b.long >= 4*b.wide && b.long >= 90 && b.wide <= widest && b.fill >= 0.86
}

// colourGap returns how far a thing's colour is from the nearest other
// thing's, log units; +Inf when it is alone.
func (f *finder) colourGap(t *traced) float64 {
	gap := math.Inf(1)
	own := t.region.colour(f.sheet)
	for _, o := range f.found {
		if o == t {
			continue
		}
		c := o.region.colour(f.sheet)
		// Light varies over the mat, so lightness counts half.
		dl, d1, d2 := float64(c[0]-own[0])/2, float64(c[1]-own[1]), float64(c[2]-own[2])
		gap = math.Min(gap, math.Sqrt(dl*dl+d1*d1+d2*d2))
	}
	return gap
}

// colour is the median deviation from the ground over the region.
func (r *region) colour(s *sheet) (c [3]float32) {
	for k := range c {
		var v []float32
		for i := 0; i < len(r.in); i += 7 {
			if r.in[i] == 1 {
				v = append(v, s.ch[k][s.index(r.x0+i%r.w, r.y0+i/r.w)])
			}
		}
		if len(v) > 0 {
			slices.Sort(v)
			c[k] = v[len(v)/2]
		}
	}
	return c
}

// tickStrength returns the greatest autocorrelation, at lags of 0.8 to
// 10.2 mm, of the brightness along lines parallel to the box's long sides;
// what hardly varies counts nothing. Ticks stand every millimetre, five or
// ten, or in parts of an inch; nothing on a taped piece does so.
func (f *finder) tickStrength(b slimBox) float64 {
	best := 0.0
	for _, band := range [2][2]float64{{0.8, 2.6}, {3.4, 4.8}} {
		for _, side := range [2]float64{-1, 1} {
			v := f.brightnessAlong(b, side, band[0], band[1])
			best = math.Max(best, regularity(v))
		}
	}
	return best
}

const tickStepMM = 0.1

// brightnessAlong averages the luminance over a band of insets from a long
// side of the box, every tickStepMM along it.
func (f *finder) brightnessAlong(b slimBox, side, from, to float64) []float64 {
	n := int((b.long - 16) / tickStepMM)
	v := make([]float64, max(n, 0))
	const lines = 4
	for i := range v {
		along := (float64(i) - float64(n)/2) * tickStepMM
		for k := 0; k < lines; k++ {
			inset := from + (to-from)*float64(k)/(lines-1)
			v[i] += f.in.Photo.LumaAt(f.in.View.ToPhoto(b.at(along, side*(b.wide/2-inset)))) / lines
		}
	}
	return v
}

// regularity is the greatest autocorrelation of a profile; 0 when the
// profile varies by less than 2 %.
func regularity(v []float64) float64 {
	mean, power := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	flat := detrend(v, int(2.5/tickStepMM))
	for _, x := range flat {
		power += x * x / float64(len(v))
	}
	if math.Sqrt(power) < 0.02*mean {
		return 0
	}
	best := 0.0
	for lag := int(0.8 / tickStepMM); lag <= int(10.2/tickStepMM) && lag < len(v)/3; lag++ {
		sum := 0.0
		for i := 0; i+lag < len(v); i++ {
			sum += flat[i] * flat[i+lag]
		}
		best = math.Max(best, sum/float64(len(v)-lag)/power)
	}
	return best
}

// detrend subtracts the running mean over half points either way.
func detrend(v []float64, half int) []float64 {
	sum := make([]float64, len(v)+1)
	for i, x := range v {
		sum[i+1] = sum[i] + x
	}
	out := make([]float64, len(v))
	for i := range v {
		a, b := max(0, i-half), min(len(v), i+half+1)
		out[i] = v[i] - (sum[b]-sum[a])/float64(b-a)
	}
	return out
}

// penMarks is how many registration marks at different places speak for a strap
// and against a pen that is hardly shaded, strapMarks against one that is
// strongly: a strap with a stripe of another tape. A ring or a clip on a pen may
// pass for a mark on both its sides.
const penMarks, strapMarks = 2, 3

// placesOf is at how many places along the box marks stand.
func (b slimBox) placesOf(marks []Stroke) int {
	const apartMM = 4
	var along []float64
	for _, m := range marks {
		at, _ := b.from(m.At)
		along = append(along, at)
	}
	slices.Sort(along)
	n := 0
	for i := range along {
		if i == 0 || along[i]-along[i-1] > apartMM {
			n++
		}
	}
	return n
}

// isPen tells a pen: slim, long, and shaded across like a round barrel,
// where tape is even.
func (f *finder) isPen(b slimBox, marks int) bool {
	if b.wide > 17 || b.long < 6*b.wide || b.long > 220 {
		return false
	}
	const stations, places = 15, 9
	var shade [places]float64
	total := 0.0
	for i := 0; i < stations; i++ {
		along := (float64(i)/(stations-1) - 0.5) * 0.75 * b.long
		for j := range shade {
			across := (float64(j)/(places-1) - 0.5) * 0.75 * b.wide
			v := f.in.Photo.LumaAt(f.in.View.ToPhoto(b.at(along, across)))
			shade[j] += v
			total += v
		}
	}
	lo, hi := slices.Min(shade[:]), slices.Max(shade[:])
	return marks < strapMarks && (hi-lo)*places/math.Max(total, 1) > 0.3 || marks < penMarks && isRound(shade[:])
}

// isRound reports whether shades across a thing fall off to both sides of one
// bright streak, as on a barrel of light or shining stuff. Tape is even, also
// between darker tapes along its edges.
func isRound(shade []float64) bool {
	const rim, next, streak = 0.92, 0.96, 0.965
	n, hi := len(shade), slices.Max(shade)
	if max(shade[0], shade[n-1]) > rim*hi || max(shade[1], shade[n-2]) > next*hi {
		return false
	}
	bright := 0
	for _, v := range shade {
		if v > streak*hi {
			bright++
		}
	}
	return 3*bright <= n
}
