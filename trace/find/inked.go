package find

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// What is printed on a mat differs from line to line: majors and minors, every
// fifth or tenth line heavier, one a little beside its place. Each line shows
// on bare ground somewhere; what is measured there holds beside the pieces,
// too.

// printedLine is one line as it was measured.
type printedLine struct {
	// shift is how far the line lies beside its place, half is half its width
	// in full colour, mm; a line that is not printed has no width.
	shift, half float64
}

// inked holds the lines of both directions, by minor steps.
type inked struct {
	step mat.Pitch
	// x are the lines that x passes, from the firstX-th; y likewise.
	firstX, firstY int
	x, y           []printedLine
	slants         []slant
	ticks          []tickBand
	// gain is how much farther from the ground's colour the lines' own lies than
	// their middles in the photograph show, which are blurred.
	gain float64
}

// cover is how much of a place is covered by lines, blurred by sigma mm.
func (p *inked) cover(at mat.Point, sigmaMM float64) float32 {
	for k := range p.ticks {
		if part, ok := p.ticks[k].part(at); ok {
			return float32(part)
		}
	}
	x := linePart(p.x, p.firstX, at.X, p.step.XMM, sigmaMM)
	y := linePart(p.y, p.firstY, at.Y, p.step.YMM, sigmaMM)
	bare := (1 - x) * (1 - y)
	for k := range p.slants {
		bare *= 1 - p.slants[k].part(at, sigmaMM)
	}
	return float32(1 - bare)
}

// linePart is how much of a place v mm across the lines the nearest covers.
func linePart(lines []printedLine, first int, v, step, sigmaMM float64) float64 {
	k := math.Round(v / step)
	i := int(k) - first
	if i < 0 || i >= len(lines) || lines[i].half == 0 {
		return 0
	}
	d := math.Abs(v - k*step - lines[i].shift)
	if d > lines[i].half+3.5*sigmaMM {
		return 0
	}
	return normalPart((lines[i].half-d)/sigmaMM) - normalPart((-lines[i].half-d)/sigmaMM)
}

// linePlace is what one place on a line shows: how wide it is in full colour
// and where its middle lies, mm.
type linePlace struct{ width, shift float64 }

// learnPrint measures every printed line where the ground beside it is bare.
func (f *finder) learnPrint() *inked {
	g, n := f.in.Grid, max(1, f.in.Grid.MinorPerPitch)
	p := &inked{step: f.in.minorStep(), firstX: g.MinColumn * n, firstY: g.MinRow * n}
	p.x = make([]printedLine, (g.MaxColumn-g.MinColumn)*n+1)
	p.y = make([]printedLine, (g.MaxRow-g.MinRow)*n+1)
	known := make([]int, len(p.x)+len(p.y))
	inParallel(len(known), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			var places []linePlace
			if k < len(p.x) {
				places = f.placesOn(p.step.XMM*float64(k+p.firstX), false, p)
				p.x[k], known[k] = lineOf(places), len(places)
			} else {
				places = f.placesOn(p.step.YMM*float64(k-len(p.x)+p.firstY), true, p)
				p.y[k-len(p.x)], known[k] = lineOf(places), len(places)
			}
		}
	})
	fillUnknown(p.x, known[:len(p.x)], p.firstX, n)
	fillUnknown(p.y, known[len(p.x):], p.firstY, n)
	p.setGain(f.in.lineWidthMM(), n)
	return p
}

// setGain parts width from strength: majors are as wide as the grid's reading
// says, and what they are wider in the paler colour is strength.
func (p *inked) setGain(majorMM float64, minors int) {
	var half []float64
	for k, l := range p.x {
		if (k+p.firstX)%minors == 0 && l.half > 0 {
			half = append(half, l.half)
		}
	}
	for k, l := range p.y {
		if (k+p.firstY)%minors == 0 && l.half > 0 {
			half = append(half, l.half)
		}
	}
	p.gain = 1
	if len(half) > 0 && majorMM > 0 {
		const most = 6
		p.gain = min(max(2*median(half)/majorMM, 0.5), most)
	}
	for _, lines := range [2][]printedLine{p.x, p.y} {
		for k := range lines {
			lines[k].half /= p.gain
		}
	}
}

// leastPlaces on a line tell what it is like.
const leastPlaces = 5

// lineOf is the line that most of its places show.
func lineOf(places []linePlace) printedLine {
	if len(places) < leastPlaces {
		return printedLine{}
	}
	var w, s []float64
	for _, q := range places {
		w, s = append(w, q.width), append(s, q.shift)
	}
	l := printedLine{shift: median(s), half: median(w) / 2}
	const thinnestMM = 0.05
	if 2*l.half < thinnestMM {
		return printedLine{}
	}
	return l
}

// fillUnknown gives lines that were seen too little the usual width of their
// kind, majors or minors.
func fillUnknown(lines []printedLine, known []int, first, minors int) {
	for _, major := range [2]bool{true, false} {
		var half []float64
		each := func(do func(k int)) {
			for k := range lines {
				if ((k+first)%minors == 0) == major {
					do(k)
				}
			}
		}
		each(func(k int) {
			if known[k] >= leastPlaces {
				half = append(half, lines[k].half)
			}
		})
		usual := median(half)
		each(func(k int) {
			if known[k] < leastPlaces {
				lines[k] = printedLine{half: usual}
			}
		})
	}
}

// placesOn measures places along the line at v mm where the ground is bare on
// both sides, away from lines that cross it.
func (f *finder) placesOn(v float64, rows bool, p *inked) (out []linePlace) {
	const everyMM, most, clearMM = 2.3, 80, 1.5
	lo, hi, cross, reach := p.span(rows)
	reach = math.Min(1.6, 0.42*reach)
	step := math.Max(everyMM, (hi-lo)/most/2)
	for t := lo + step/2; t < hi && len(out) < most; t += step {
		if math.Abs(t-math.Round(t/cross)*cross) < math.Min(clearMM, cross/4) {
			continue
		}
		at, across := mat.Point{X: v, Y: t}, mat.Point{X: 1}
		if rows {
			at, across = mat.Point{X: t, Y: v}, mat.Point{Y: 1}
		}
		if !f.isBare(at, across, reach) {
			continue
		}
		if q, ok := f.lineAt(at, across, reach); ok {
			out = append(out, q)
		}
	}
	return out
}

// span is the stretch along the lines, and the distance of the lines that
// cross them and of themselves, mm.
func (p *inked) span(rows bool) (lo, hi, cross, own float64) {
	if rows {
		return p.step.XMM * float64(p.firstX), p.step.XMM * float64(p.firstX+len(p.x)-1), p.step.XMM, p.step.YMM
	}
	return p.step.YMM * float64(p.firstY), p.step.YMM * float64(p.firstY+len(p.y)-1), p.step.YMM, p.step.XMM
}

// isBare reports whether nothing lies on the mat about a place on a line.
func (f *finder) isBare(at, across mat.Point, reach float64) bool {
	s := f.sheet
	for _, o := range [5]float64{-reach - 1, -reach, 0, reach, reach + 1} {
		for _, t := range [3]float64{-1, 0, 1} {
			x := (at.X + o*across.X + t*across.Y - s.x0) / s.res
			y := (at.Y + o*across.Y + t*across.X - s.y0) / s.res
			if x < 0 || y < 0 || x >= float64(s.w) || y >= float64(s.h) {
				return false
			}
			if i := s.index(int(x), int(y)); s.seen[i] == 0 || f.mask[i] != 0 {
				return false
			}
		}
	}
	return true
}

// lineAt measures a line's profile at one place, up to reach mm either way.
func (f *finder) lineAt(at, across mat.Point, reach float64) (q linePlace, ok bool) {
	mid := f.in.View.ToPhoto(at)
	end := f.in.View.ToPhoto(mat.Point{X: at.X + across.X, Y: at.Y + across.Y})
	perMM := photo.Point{X: end.X - mid.X, Y: end.Y - mid.Y}
	scale := math.Hypot(perMM.X, perMM.Y)
	if !(scale > 0.5) || math.IsInf(scale, 0) {
		return q, false
	}
	light := func(o float64) [3]float32 { return f.lightAt(mid.X+o*perMM.X, mid.Y+o*perMM.Y) }
	coded := f.groundAt(mid)
	bare, line := f.light(coded), f.light(f.printedOn(coded))
	var left, right, d [3]float32
	for _, o := range [3]float64{0.75, 0.87, 1} {
		a, b := light(-o*reach), light(o*reach)
		for c := range a {
			left[c], right[c] = left[c]+a[c]/3, right[c]+b[c]/3
		}
	}
	for c := range d {
		d[c] = line[c] - bare[c]
	}
	d2 := dot(d, d)
	if d2 < 1 {
		return q, false
	}
	step := offsetStep / scale
	var sum, first float64
	for o := -0.75 * reach; o <= 0.75*reach; o += step {
		c := light(o)
		t := float32((o + reach) / (2 * reach))
		for k := range c {
			c[k] -= left[k] + t*(right[k]-left[k])
		}
		ink := float64(dot(c, d)/d2) * step
		sum, first = sum+ink, first+o*ink
	}
	q.width = sum
	if sum > 0.02 {
		q.shift = min(max(first/sum, -0.3), 0.3)
	}
	return q, true
}
