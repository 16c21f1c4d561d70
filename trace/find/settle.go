package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

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

// runs calls do with the start and length of every run of one kind.
func runs(bad []bool, kind bool, do func(from, length int)) {
	n := len(bad)
	start := 0
	for start < n && bad[start] == bad[wrap(start-1, n)] {
		start++
	}
	for i := 0; i < n; {
		k := 1
		for i+k < n && bad[wrap(start+i+k, n)] == bad[wrap(start+i, n)] {
			k++
		}
		if bad[wrap(start+i, n)] == kind {
			do(wrap(start+i, n), k)
		}
		i += k
	}
}

// longest is the length of the longest run of marked points.
func longest(bad []bool) int {
	best := 0
	runs(bad, true, func(_, length int) { best = max(best, length) })
	return best
}

// drown marks runs of up to island good points that lie between runs of at
// least sea marked ones: a lone edge in an unseen stretch is something else's.
func drown(bad []bool, island, sea int) {
	n := len(bad)
	was := slices.Clone(bad)
	all := func(from int) bool {
		for k := 0; k < sea; k++ {
			if !was[wrap(from+k, n)] {
				return false
			}
		}
		return true
	}
	runs(was, false, func(from, length int) {
		if length <= island && all(from-sea) && all(from+length) {
			for k := 0; k < length; k++ {
				bad[wrap(from+k, n)] = true
			}
		}
	})
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
	clear(stray)
	const kinkPx = 0.8
	for i := range bad {
		stray[i] = !bad[i] && b.offSidePx(bad, i) > kinkPx
	}
	for i := range bad {
		bad[i] = bad[i] || stray[i]
	}
}

// offSidePx returns how far point i lies off the straight side that passes
// it: the line through the points some way before and some way after it. It
// is 0 where those do not lie on one line, as about corners and in bends.
func (b *border) offSidePx(bad []bool, i int) float64 {
	const near, far, enough, straightPx = 7, 22, 8, 0.3
	n := len(b.at)
	var arms loop
	for _, step := range [2]int{-1, 1} {
		before := len(arms)
		for d := near; d <= far; d++ {
			if j := wrap(i+step*d, n); !bad[j] {
				arms = append(arms, b.at[j])
			}
		}
		if len(arms)-before < enough {
			return 0
		}
	}
	f := fitLine(arms, 0, len(arms)-1)
	if f.rms > straightPx {
		return 0
	}
	p := b.at[i]
	return math.Abs((p.X-f.x)*f.ty - (p.Y-f.y)*f.tx)
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
