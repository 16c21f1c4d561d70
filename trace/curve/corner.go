package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// moments are prefix sums for total-least-squares lines over any window in
// constant time.
type moments struct{ w, x, y, xx, xy, yy float64 }

func (m moments) minus(o moments) moments {
	return moments{m.w - o.w, m.x - o.x, m.y - o.y, m.xx - o.xx, m.xy - o.xy, m.yy - o.yy}
}

// axis returns the direction of the total-least-squares line, either way.
func (m moments) axis() mat.Point {
	mx, my := m.x/m.w, m.y/m.w
	a, b, c := m.xx/m.w-mx*mx, m.xy/m.w-mx*my, m.yy/m.w-my*my
	// Half-angle form of the major axis, without trigonometry.
	d, h := (a-c)/2, math.Hypot((a-c)/2, b)
	if d >= 0 {
		return unit(mat.Point{X: h + d, Y: b})
	}
	if b < 0 {
		return unit(mat.Point{X: -b, Y: -(h - d)})
	}
	return unit(mat.Point{X: b, Y: h - d})
}

// prefixMoments returns sums over samples 0..i−1; of a closed trail over two
// turns, about the first sample.
func (t *trail) prefixMoments() []moments {
	n := len(t.at)
	m := n
	if t.closed {
		m = 3 * n
	}
	out := make([]moments, m+1)
	for i := range m {
		k := i % n
		p, w := sub(t.at[k], t.at[0]), t.w[k]
		o := out[i]
		out[i+1] = moments{o.w + w, o.x + w*p.X, o.y + w*p.Y, o.xx + w*p.X*p.X, o.xy + w*p.X*p.Y, o.yy + w*p.Y*p.Y}
	}
	return out
}

// turns returns, for every second sample, the angle in radians between the
// directions of the arms before and after it: of the full arms or of arms of
// three fifths, whichever is less. Full arms alone see a turn between two
// corners that are close together.
func (t *trail) turns(o FitOptions) []float64 {
	sums := t.prefixMoments()
	out := t.turnsOver(sums, o.CornerGapMM, o.CornerArmMM)
	for i, a := range t.turnsOver(sums, o.CornerGapMM, 0.6*o.CornerArmMM) {
		if math.Abs(a) < math.Abs(out[i]) {
			out[i] = a
		}
	}
	return out
}

func (t *trail) turnsOver(sums []moments, gapMM, armMM float64) []float64 {
	n := len(t.at)
	base := 0
	if t.closed {
		base = n
	}
	out := make([]float64, n)
	r0, r1, l0, l1 := 0, 0, -base, -base
	for i := 0; i < n; i += 2 {
		s := t.s[i]
		r0 = t.advance(max(r0, i), s+gapMM)
		r1 = t.advance(max(r1, r0), s+gapMM+armMM)
		l0 = t.advance(l0, s-gapMM-armMM)
		l1 = t.advance(max(l1, l0), s-gapMM)
		right, okR := t.armDirection(sums, base, r0, r1, 1)
		left, okL := t.armDirection(sums, base, l0, l1, -1)
		if okR && okL {
			out[i] = turn(left, right)
		}
	}
	return out
}

// advance returns the first sample from i on whose arc length is at least s.
func (t *trail) advance(i int, s float64) int {
	end := len(t.at)
	if t.closed {
		end = 2 * len(t.at)
	}
	for i < end && t.arcAt(i) < s {
		i++
	}
	return i
}

// armDirection returns the direction of samples a..b−1; where too few were
// measured the arm is made longer, away from the corner.
func (t *trail) armDirection(sums []moments, base, a, b, step int) (mat.Point, bool) {
	lo, hi := -base, len(sums)-1-base
	a, b = max(a, lo), min(b, hi)
	for b-a < 4 && a > lo && b < hi {
		if step > 0 {
			b++
		} else {
			a--
		}
	}
	if b-a < 4 {
		return mat.Point{}, false
	}
	least := 0.25 * float64(b-a)
	m := sums[b+base].minus(sums[a+base])
	for k := 0; m.w < least && k < 6 && a > lo && b < hi; k++ {
		if step > 0 {
			b++
		} else {
			a--
		}
		m = sums[b+base].minus(sums[a+base])
	}
	if m.w < 1e-3 {
		return mat.Point{}, false
	}
	d := m.axis()
	if dot(d, sub(t.at[t.wrap(b-1)], t.at[t.wrap(a)])) < 0 {
		d = scale(d, -1)
	}
	return d, true
}

// corner is a place where two sides meet at an angle.
type corner struct {
	// index is the sample next to the corner.
	index int
	at    mat.Point
	// before and after are the last and first trustworthy samples.
	before, after int
	// in and out are the directions of travel at the corner.
	in, out mat.Point
	// turnRad is the change of direction.
	turnRad float64
	// precision is the inverse covariance of at, in 1/mm².
	pxx, pxy, pyy float64
}

// candidate is a sample that may be a corner, and the turn in radians, always
// positive, of the arms there.
type candidate struct {
	index int
	turn  float64
}

// candidates returns samples where the direction changes most, no two within
// the corner gap and half an arm, in order along the trail.
func (t *trail) candidates(turns []float64, o FitOptions) []candidate {
	least := 0.7 * o.CornerTurnDeg * math.Pi / 180
	reach := o.CornerGapMM * 1.75
	var order []int
	for i, a := range turns {
		if math.Abs(a) >= least {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmpFloat(math.Abs(turns[b]), math.Abs(turns[a]))
	})
	var kept []candidate
	blocked := make([]bool, len(turns))
	for _, i := range order {
		if blocked[i] {
			continue
		}
		lo, hi := t.block(blocked, i, reach)
		if peak(turns, t, i, lo, hi) {
			kept = append(kept, candidate{t.plateau(turns, i, lo, hi), math.Abs(turns[i])})
		}
	}
	kept = t.splitPairs(kept, o)
	slices.SortFunc(kept, func(a, b candidate) int { return a.index - b.index })
	return slices.CompactFunc(kept, func(a, b candidate) bool { return a.index == b.index })
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// block marks the samples within reach of i and returns their range.
func (t *trail) block(blocked []bool, i int, reach float64) (lo, hi int) {
	n := len(t.at)
	s := t.s[i]
	lo, hi = i, i
	for (t.closed && lo > i-n/2 || lo > 0) && t.arcAt(lo-1) > s-reach {
		lo--
		blocked[t.wrap(lo)] = true
	}
	for (t.closed && hi < i+n/2 || hi < n-1) && t.arcAt(hi+1) < s+reach {
		hi++
		blocked[t.wrap(hi)] = true
	}
	return lo, hi
}

func peak(turns []float64, t *trail, i, lo, hi int) bool {
	for k := lo; k <= hi; k++ {
		if math.Abs(turns[t.wrap(k)]) > math.Abs(turns[i]) {
			return false
		}
	}
	return true
}

// plateau returns the middle of the samples around i whose turn is nearly as
// large: of a sharp corner the arms see the same turn all through the gap.
func (t *trail) plateau(turns []float64, i, lo, hi int) int {
	var sum, weight float64
	top := math.Abs(turns[i])
	for k := lo; k <= hi; k++ {
		if a := math.Abs(turns[t.wrap(k)]); a > 0.85*top {
			sum, weight = sum+float64(k-lo)*(a-0.85*top), weight+a-0.85*top
		}
	}
	if weight == 0 {
		return i
	}
	return t.wrap(lo + int(sum/weight+0.5))
}

// splitPairs replaces a candidate between two corners close together, the end
// of a slit, by those two: long arms see one turn of them both, short arms see
// each.
func (t *trail) splitPairs(list []candidate, o FitOptions) []candidate {
	const least, share = 100 * math.Pi / 180, 0.35
	if !slices.ContainsFunc(list, func(c candidate) bool { return c.turn > least }) {
		return list
	}
	fine := t.turnsOver(t.prefixMoments(), share*o.CornerGapMM, share*o.CornerArmMM)
	var out []candidate
	for _, c := range list {
		a, b, ok := 0, 0, false
		if c.turn > least {
			a, b, ok = t.pairAround(fine, c.index, o)
		}
		if !ok {
			out = append(out, c)
			continue
		}
		out = append(out, candidate{a, math.Abs(fine[a])}, candidate{b, math.Abs(fine[b])})
	}
	return out
}

// pairAround returns the two samples of most turn before and after sample i,
// when there is much less turn between them.
func (t *trail) pairAround(fine []float64, i int, o FitOptions) (a, b int, ok bool) {
	const clear = 0.6
	n, s := len(t.at), t.arcAt(i)
	reach := o.CornerArmMM
	a, b = i, i
	// Turns are known for every second sample.
	second := func(k int) int { return t.wrap(k) - t.wrap(k)%2 }
	at := func(k int) float64 { return math.Abs(fine[second(k)]) }
	for k := i - 1; k > -n && (t.closed || k >= 0) && s-t.arcAt(k) <= reach; k-- {
		if at(k) > at(a) {
			a = k
		}
	}
	for k := i + 1; k < 2*n && (t.closed || k < n) && t.arcAt(k)-s <= reach; k++ {
		if at(k) > at(b) {
			b = k
		}
	}
	if t.arcAt(b)-t.arcAt(a) < 2*o.CornerGapMM || (fine[second(a)] > 0) != (fine[second(b)] > 0) {
		return 0, 0, false
	}
	dip := math.Inf(1)
	for k := a; k <= b; k++ {
		dip = min(dip, at(k))
	}
	least := min(at(a), at(b))
	if least < math.Pi/4 || dip > clear*least {
		return 0, 0, false
	}
	return second(a), second(b), true
}
