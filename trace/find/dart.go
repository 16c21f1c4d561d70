package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// lookout tells what the photograph shows near border points.
type lookout struct {
	// tape reports whether a place near border point i has the piece's colour.
	tape func(i int, p photo.Point) bool
	// tip returns where a dart ends whose sides were lost gap px apart near
	// border point i; nil to leave it where they meet.
	tip func(i int, d dart, gap float64) photo.Point
	// filled returns how much of the triangle a, x, b near border points i and j
	// has the piece's light; nil to go by colours alone.
	filled func(i, j int, a, x, b photo.Point) (float64, bool)
}

// lookout is what a border's readings do not tell.
func (f *finder) lookout(b *border) *lookout {
	v := sight{f, b}
	return &lookout{v.tape, v.tip, v.filled}
}

// sight is a border in its photograph.
type sight struct {
	f *finder
	b *border
}

func (l *sight) tape(i int, p photo.Point) bool { return l.f.isTape(l.b, i, p) }

// dart is a slit that runs to a point: its tip and the direction it points
// in, px, and half the angle between its sides.
type dart struct {
	tip, dir photo.Point
	half     float64
}

// dartOf is the dart of two sides that meet at x.
func dartOf(x photo.Point, before, after lineFit) dart {
	d := dart{tip: x}
	ux, uy := before.tx-after.tx, before.ty-after.ty
	if l := math.Hypot(ux, uy); l > 0 {
		d.dir = photo.Point{X: ux / l, Y: uy / l}
	}
	cos := -(before.tx*after.tx + before.ty*after.ty)
	d.half = max(math.Acos(math.Min(math.Max(cos, -1), 1))/2, 0.005)
	return d
}

// at is the place back px before the tip and aside px to its right.
func (d *dart) at(back, aside float64) photo.Point {
	return photo.Point{X: d.tip.X - back*d.dir.X - aside*d.dir.Y, Y: d.tip.Y - back*d.dir.Y + aside*d.dir.X}
}

// tip is where the light that a dart lacks says, or else where ground is
// seen.
func (l *sight) tip(i int, d dart, gap float64) photo.Point {
	if p, ok := l.measuredTip(i, d, gap); ok {
		return p
	}
	return l.seenTip(i, d, gap)
}

// seenTip draws a dart's tip back to where ground is seen: legs that are
// nearly parallel meet far off when they err a little. The last stretch of a
// dart is too thin to be seen.
func (l *sight) seenTip(i int, d dart, gap float64) photo.Point {
	return d.until(gap, func(p photo.Point) bool { return !l.tape(i, p) })
}

// until draws a tip back to where what lies between the sides is seen, less
// the last stretch, which is too thin for it; gap is how far apart, px, the
// sides were lost.
func (d *dart) until(gap float64, seen func(p photo.Point) bool) photo.Point {
	// Legs back px before the tip are 2·back·tan(half) apart.
	const thinPx = 1.2
	thin := thinPx / (2 * math.Tan(d.half))
	most := gap / (2 * math.Tan(d.half))
	for back := 0.0; back < most; back++ {
		if !seen(d.at(back, 0)) {
			continue
		}
		if back > 2*thin+4 {
			return d.at(back-thin, 0)
		}
		return d.tip
	}
	return d.tip
}

// cross is what one cut across a slit shows: its width and middle, px.
type cross struct{ back, width, aside float64 }

// Bounds of the widths by which a dart is measured, px: below, noise and the
// tape's grain are as much; above, the sides are read one by one.
const dartThinPx, dartWidePx = 0.7, 6.0

// measuredTip finds the tip from the widths of the slit before it. However a
// lens blurs a slit, the light that it lacks over a cut across it is its
// width; both width and middle run straight to the tip, where there is no
// width left. A shade on the ground in the slit changes the widths all alike
// and not where they end.
func (l *sight) measuredTip(i int, d dart, gap float64) (photo.Point, bool) {
	q := probe{p: l.f.in.Photo}
	q.aim(l.b.in[i], l.b.bg[i])
	q.t = l.f.coded
	if q.luma {
		q.t = l.f.linear
	}
	span := float64(q.levelOf(l.b.in[i]) - q.levelOf(l.b.bg[i]))
	const leastSpan = 20
	if math.Abs(span) < leastSpan {
		return d.tip, false
	}
	cuts := l.cuts(&q, d, gap, span)
	const enough = 8
	if len(cuts) < enough {
		return d.tip, false
	}
	width := throughPoints(cuts, func(c cross) float64 { return c.width })
	if width.slope <= 0.01 || width.off > 0.5 {
		return d.tip, false
	}
	back := -width.level / width.slope
	middle := throughPoints(cuts, func(c cross) float64 { return c.aside })
	most := cuts[len(cuts)-1].back
	if nearest := cuts[0].back; back > nearest || nearest-back > most-nearest+8 {
		return d.tip, false
	}
	return d.at(back, middle.level+middle.slope*back), true
}

// cuts measures the slit from where it is wide to where it is lost in the
// tape's grain, and returns the cuts nearest the tip first.
func (l *sight) cuts(q *probe, d dart, gap, span float64) (out []cross) {
	longest := max(3*gap, dartWidePx) / (2 * math.Tan(d.half))
	longest = min(max(longest, 20), 90)
	for back := -10.0; back < longest; back++ {
		c, ok := cutAcross(q, d, back, span)
		if !ok || c.width < dartThinPx {
			out = out[:0]
			continue
		}
		if c.width > dartWidePx {
			break
		}
		out = append(out, c)
	}
	return out
}

// cutAcross integrates one cut. The tape's own level is read on both sides.
func cutAcross(q *probe, d dart, back, span float64) (cross, bool) {
	const step, beside = 0.5, 3
	reach := max(back, 0)*math.Tan(d.half) + 4.5
	level := func(side float64) (v float64) {
		for k := range 2 * beside {
			p := d.at(back, side*(reach+step*float64(k)))
			v += float64(q.at(p.X, p.Y)) / (2 * beside)
		}
		return v
	}
	left, right := level(-1), level(1)
	if math.Abs(left-right) > 0.5*math.Abs(span) {
		return cross{}, false
	}
	var sum, first float64
	for o := -reach; o <= reach; o += step {
		p := d.at(back, o)
		t := (o + reach) / (2 * reach)
		lack := (left + (right-left)*t - float64(q.at(p.X, p.Y))) / span * step
		sum, first = sum+lack, first+lack*o
	}
	if sum < dartThinPx/2 {
		return cross{}, false
	}
	return cross{back, sum, first / sum}, true
}

// trend is a straight line through the values of cuts against how far back
// they lie, and the median distance from it.
type trend struct{ level, slope, off float64 }

// throughPoints is the line of the median slope between pairs (Theil 1950,
// Sen 1968; from memory): printed lines in the slit spoil some of the cuts.
func throughPoints(cuts []cross, value func(cross) float64) (t trend) {
	var v []float64
	for i := range cuts {
		for j := i + 1; j < len(cuts); j++ {
			v = append(v, (value(cuts[j])-value(cuts[i]))/(cuts[j].back-cuts[i].back))
		}
	}
	t.slope = median(v)
	v = v[:0]
	for _, c := range cuts {
		v = append(v, value(c)-t.slope*c.back)
	}
	t.level = median(v)
	for k := range v {
		v[k] = math.Abs(v[k] - t.level)
	}
	t.off = median(v)
	return t
}

// median sorts v; it is 0 for nothing.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}
