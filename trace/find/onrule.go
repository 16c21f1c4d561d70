package find

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// takeOffRules looks for a rule in what hangs together with it: a pen laid on it,
// or a small piece that it was pushed against. The rule is left out, and what is
// left is looked at by itself.
func (f *finder) takeOffRules(r *region) []region {
	rule, ok := f.ruleWithin(r)
	if !ok {
		return []region{*r}
	}
	f.problem(rule.middle, fmt.Sprintf("Left out: looks like a rule, %.0f x %.0f mm, with something on it or against it. Lay pieces, rules and pens apart.", rule.long, rule.wide))
	return f.besideRule(r, rule)
}

// ruleWithin is a true long rectangle with ticks that a region holds beside
// other things, looked for in what is left when all that is thinner has been
// taken off; false when there is none.
func (f *finder) ruleWithin(r *region) (slimBox, bool) {
	// Straps have no such sides and ends, and what lies against a rule is less
	// than the rule. What is hardly more than a rule by itself is looked at once
	// its edges and marks are measured.
	const shortestMM, truest, clearTicks = 140, 0.97, 0.6
	beside := func(part float64) bool { return part > 0.7 && part < 0.95 }
	s := f.sheet
	if r.areaMM2 < minRuleMM2 {
		return slimBox{}, false
	}
	for _, radiusMM := range [4]float64{12, 10, 8, 6} {
		thick := openThin(r.in, r.w, r.h, s.px(radiusMM))
		labels, list := blobs(thick, 1, r.w, r.h)
		for _, b := range list {
			if float64(b.area)*s.res*s.res < minRuleMM2 {
				continue
			}
			p := patch{x0: r.x0, y0: r.y0, w: r.w, h: r.h, in: make([]uint8, len(r.in))}
			for i, l := range labels {
				if l == b.label {
					p.in[i] = 1
				}
			}
			if rule, ok := s.boxOf(&p); ok {
				rule = s.lengthened(r.patch, s.trued(&p, rule))
				if rule.isLongRectangle() && rule.long > shortestMM && rule.fill > truest && f.tickStrength(rule) > clearTicks && beside(s.partIn(r.patch, rule)) {
					return rule, true
				}
			}
		}
	}
	return slimBox{}, false
}

// minRuleMM2 is the least area of a rule.
const minRuleMM2 = 90 * 12

// trued is a box turned and narrowed to the usual place of a patch's two long
// sides: what sticks out of them somewhere does not count.
func (s *sheet) trued(p *patch, b slimBox) slimBox {
	for range 2 {
		lo, hi := s.sides(p, b)
		n := len(lo)
		if n < 8 {
			return b
		}
		quarter := n / 4
		slope := func(v []float64) float64 {
			return (median(slices.Clone(v[n-quarter:])) - median(slices.Clone(v[:quarter]))) / (float64(n-quarter) * sideStepMM)
		}
		turn := (slope(lo) + slope(hi)) / 2
		a, c := median(slices.Clone(lo)), median(slices.Clone(hi))
		long := math.Hypot(1, turn)
		b.middle = b.at(0, (a+c)/2)
		b.ux, b.uy = (b.ux-turn*b.uy)/long, (b.uy+turn*b.ux)/long
		b.wide = c - a
	}
	return b
}

// lengthened is a box as long as a patch fills its width, from its middle on: its
// ends may have been taken off beside a hole. It says how much of it is filled.
func (s *sheet) lengthened(p *patch, b slimBox) slimBox {
	const full, inset = 0.5, 1.0 // of the width; mm
	const most = 600             // mm either way
	var filled [2 * most / sideStepMM]float64
	for i, v := range p.in {
		if v == 0 {
			continue
		}
		along, across := b.from(s.toMM(float64(p.x0+i%p.w), float64(p.y0+i/p.w)))
		if math.Abs(across) < b.wide/2-inset && math.Abs(along) < most-sideStepMM {
			filled[int(along+most)/sideStepMM] += s.res * s.res
		}
	}
	least := full * sideStepMM * (b.wide - 2*inset)
	lo := most / sideStepMM
	hi := lo
	for lo > 0 && filled[lo-1] > least {
		lo--
	}
	for hi+1 < len(filled) && filled[hi+1] > least {
		hi++
	}
	area := 0.0
	for _, v := range filled[lo : hi+1] {
		area += v
	}
	from, to := float64(lo*sideStepMM-most), float64((hi+1)*sideStepMM-most)
	b.middle, b.long = b.at((from+to)/2, 0), to-from
	b.fill = area / math.Max(b.long*(b.wide-2*inset), 1e-9)
	return b
}

// partIn is which part of a patch lies in a box.
func (s *sheet) partIn(p *patch, b slimBox) float64 {
	in, all := 0.0, 0.0
	for i, v := range p.in {
		if v == 1 {
			all++
			if b.holds(s.toMM(float64(p.x0+i%p.w), float64(p.y0+i/p.w)), 0.5) {
				in++
			}
		}
	}
	return in / math.Max(all, 1)
}

const sideStepMM = 2

// sides is how far a patch reaches across the box to both sides, every
// sideStepMM along it, mm from its middle line.
func (s *sheet) sides(p *patch, b slimBox) (lo, hi []float64) {
	n := int(b.long / sideStepMM)
	lows, highs := make([]float64, n+1), make([]float64, n+1)
	for k := range lows {
		lows[k], highs[k] = math.Inf(1), math.Inf(-1)
	}
	for i, v := range p.in {
		if v == 0 {
			continue
		}
		along, across := b.from(s.toMM(float64(p.x0+i%p.w), float64(p.y0+i/p.w)))
		if k := int((along + b.long/2) / sideStepMM); k >= 0 && k <= n {
			lows[k], highs[k] = min(lows[k], across-s.res/2), max(highs[k], across+s.res/2)
		}
	}
	for k := range lows {
		if lows[k] < highs[k] {
			lo, hi = append(lo, lows[k]), append(hi, highs[k])
		}
	}
	return lo, hi
}

// from is where a place lies along and across the box, mm from its middle.
func (b slimBox) from(p mat.Point) (along, across float64) {
	x, y := p.X-b.middle.X, p.Y-b.middle.Y
	return x*b.ux + y*b.uy, y*b.ux - x*b.uy
}

// holds reports whether a place lies in the box, or within marginMM of it.
func (b slimBox) holds(p mat.Point, marginMM float64) bool {
	along, across := b.from(p)
	return math.Abs(along) < b.long/2+marginMM && math.Abs(across) < b.wide/2+marginMM
}

// boxOf is the narrowest rectangle round a patch.
func (s *sheet) boxOf(p *patch) (slimBox, bool) {
	var outline loop
	for _, l := range p.loops() {
		if l.area() > outline.area() {
			outline = l
		}
	}
	if len(outline) < leastLoop {
		return slimBox{}, false
	}
	return boxAround(s.samplesOf(outline.smooth(1.2))), true
}

// samplesOf carries points of the sheet to the mat.
func (s *sheet) samplesOf(points []photo.Point) []curve.Sample {
	out := make([]curve.Sample, len(points))
	for i, p := range points {
		out[i] = curve.Sample{At: s.toMM(p.X, p.Y)}
	}
	return out
}

// besideRule is what a region holds beside a rule in it.
func (f *finder) besideRule(r *region, rule slimBox) (out []region) {
	const rimMM, thinMM = 0.8, 0.95
	s := f.sheet
	rest := make([]uint8, len(r.in))
	for i, v := range r.in {
		if v == 1 && !rule.holds(s.toMM(float64(r.x0+i%r.w), float64(r.y0+i/r.w)), rimMM) {
			rest[i] = 1
		}
	}
	for _, q := range s.partsOf(r, openThin(rest, r.w, r.h, s.px(thinMM))) {
		if q.outlineOf(s) {
			out = append(out, q)
		}
	}
	return out
}
