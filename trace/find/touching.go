package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// Two pieces that lie a millimetre apart hang together where the photograph
// blurs the gap away. What is left of it are two slits that run towards each
// other, or, where it begins at a corner, one that runs on towards the ground
// beyond.

// Bounds of what is taken for the two ends of a gap.
const (
	gapHalfMM  = 1.4  // half of its greatest width
	gapLeastMM = 4.0  // of each slit; two round sides open soon
	gapAcross  = 22.0 // from tip to tip, or to the ground ahead, mm
	gapLongMM  = 12.0 // from which slits lead farther than that; pen marks are shorter
	gapFarMM   = 45.0
	gapAhead   = 0.94 // cosine between a slit's way and the way to the other's tip
	gapNearTip = 8.0  // mm of a slit that tell its way
)

// slit is a narrow gap into a region: its inner end, sheet px, the unit vector in
// which it runs on, and how long it is, mm.
type slit struct {
	tip, way photo.Point
	longMM   float64
}

// partTouching cuts a region between the tips of slits that run towards each
// other, or from one to the ground ahead, where that leaves two things large
// enough to be pieces.
func (s *sheet) partTouching(r *region) []region {
	slits := s.slitsOf(r)
	for i, a := range slits {
		var ends []photo.Point
		for _, b := range slits[:i] {
			if s.facing(a, b) {
				ends = append(ends, b.tip)
			}
		}
		if end, ok := s.groundAhead(r, a); ok {
			ends = append(ends, end)
		}
		for _, end := range ends {
			if parts := s.cutBetween(r, a.tip, end); len(parts) > 1 {
				var out []region
				for k := range parts {
					out = append(out, s.partTouching(&parts[k])...)
				}
				return out
			}
		}
	}
	return []region{*r}
}

// groundAhead is where a slit would come out of the region when it ran on.
func (s *sheet) groundAhead(r *region, a slit) (photo.Point, bool) {
	for t := 2.0; t*s.res < gapAcross; t++ {
		p := photo.Point{X: a.tip.X + t*a.way.X, Y: a.tip.Y + t*a.way.Y}
		x, y := int(math.Round(p.X))-r.x0, int(math.Round(p.Y))-r.y0
		if x < 0 || y < 0 || x >= r.w || y >= r.h || r.in[y*r.w+x] == 0 {
			return p, true
		}
	}
	return photo.Point{}, false
}

// facing reports whether two slits run towards each other.
func (s *sheet) facing(a, b slit) bool {
	x, y := b.tip.X-a.tip.X, b.tip.Y-a.tip.Y
	d := math.Hypot(x, y)
	most := gapAcross
	if min(a.longMM, b.longMM) > gapLongMM {
		most = gapFarMM
	}
	if d*s.res > most || d == 0 {
		return false
	}
	return (x*a.way.X+y*a.way.Y)/d > gapAhead && -(x*b.way.X+y*b.way.Y)/d > gapAhead
}

// slitsOf finds the slits of a region: what closing it fills, long and with one
// end inside.
func (s *sheet) slitsOf(r *region) (out []slit) {
	narrow := r.narrows(math.Max(2, s.px(gapHalfMM)))
	labels, list := blobs(narrow, 1, r.w, r.h)
	at := make([][]photo.Point, len(list)+1)
	for i, l := range labels {
		if l > 0 {
			at[l] = append(at[l], photo.Point{X: float64(i % r.w), Y: float64(i / r.w)})
		}
	}
	for _, pts := range at[1:] {
		if q, ok := s.slitOf(r, narrow, pts); ok {
			out = append(out, q)
		}
	}
	return out
}

// slitOf is the slit that some pixels of a region's patch make up.
func (s *sheet) slitOf(r *region, narrow []uint8, pts []photo.Point) (slit, bool) {
	if float64(len(pts)) < s.px(gapLeastMM) {
		return slit{}, false
	}
	// The two ends: the point farthest from any, and the one farthest from that.
	one := farthestFrom(pts, pts[0])
	two := farthestFrom(pts, one)
	long := math.Hypot(one.X-two.X, one.Y-two.Y)
	if long < s.px(gapLeastMM) {
		return slit{}, false
	}
	const inside, mouth = 0.04, 0.12
	a, b := r.groundRound(narrow, one, s.px(2.5)), r.groundRound(narrow, two, s.px(2.5))
	if a > b {
		a, b, one = b, a, two
	}
	if a > inside || b < mouth {
		return slit{}, false
	}
	var x, y, n float64
	for _, p := range pts {
		if math.Hypot(p.X-one.X, p.Y-one.Y) < s.px(gapNearTip) {
			x, y, n = x+p.X, y+p.Y, n+1
		}
	}
	x, y = one.X-x/n, one.Y-y/n
	d := math.Hypot(x, y)
	if d == 0 {
		return slit{}, false
	}
	tip := photo.Point{X: one.X + float64(r.x0), Y: one.Y + float64(r.y0)}
	return slit{tip: tip, way: photo.Point{X: x / d, Y: y / d}, longMM: long * s.res}, true
}

func farthestFrom(pts []photo.Point, o photo.Point) photo.Point {
	return slices.MaxFunc(pts, func(a, b photo.Point) int {
		return int(math.Hypot(a.X-o.X, a.Y-o.Y)*8) - int(math.Hypot(b.X-o.X, b.Y-o.Y)*8)
	})
}

// isValley reports whether the colour between two tips is nearer to the
// ground's than on both sides. The sheet holds departures from the ground.
func (s *sheet) isValley(a, b photo.Point) bool {
	const most, part = 0.93, 0.7
	places, lower := 0, 0
	s.alongGap(a, b, func(middle, left, right float32) {
		places++
		if middle < most*min(left, right) {
			lower++
		}
	})
	return float64(lower) >= part*float64(places)
}

// alongGap tells, at every pixel between two tips, the least departure from the
// ground within a millimetre across, and those beside it.
func (s *sheet) alongGap(a, b photo.Point, tell func(middle, left, right float32)) {
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	ux, uy := (b.X-a.X)/math.Max(d, 1e-9), (b.Y-a.Y)/math.Max(d, 1e-9)
	near, far := s.px(1), s.px(2.5)
	for t := 1.0; t < d; t++ {
		x, y := a.X+t*ux, a.Y+t*uy
		at := func(o float64) float32 { return s.departure(x-o*uy, y+o*ux) }
		middle := at(0)
		for o := -near; o <= near; o++ {
			middle = min(middle, at(o))
		}
		tell(middle, at(-far), at(far))
	}
}

// departure is how far the sheet's colour has gone from the ground's, log units;
// 0 beyond the sheet.
func (s *sheet) departure(x, y float64) float32 {
	i, j := int(math.Round(x)), int(math.Round(y))
	if i < 0 || j < 0 || i >= s.w || j >= s.h {
		return 0
	}
	k := s.index(i, j)
	return sqrtf(s.ch[0][k]*s.ch[0][k] + s.ch[1][k]*s.ch[1][k] + s.ch[2][k]*s.ch[2][k])
}

// cutBetween takes a line between two places of the sheet out of a region and
// returns what it leaves; nothing where the colour shows no gap there.
func (s *sheet) cutBetween(r *region, a, b photo.Point) []region {
	if !s.isValley(a, b) {
		return nil
	}
	const half = 1.2 // px; so that no diagonal step is left
	in := slices.Clone(r.in)
	d := math.Hypot(b.X-a.X, b.Y-a.Y)
	ux, uy := (b.X-a.X)/d, (b.Y-a.Y)/d
	for i := range in {
		x, y := float64(r.x0+i%r.w)-a.X, float64(r.y0+i/r.w)-a.Y
		if t := x*ux + y*uy; t > -2 && t < d+2 && math.Abs(y*ux-x*uy) <= half {
			in[i] = 0
		}
	}
	return s.partsOf(r, in)
}
