package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// tipDepth holds d·tan(θ/2)/σ for interior angles θ of 10° to 170° by 10°: a
// Gaussian blur of standard deviation σ pulls the half-level contour of a
// wedge back from its tip by d. Computed from ∫φ(x−d)(2Φ(x·tan(θ/2))−1)dx =
// ½; a test integrates again.
var tipDepth = [17]float64{
	0.67707, 0.68489, 0.69778, 0.71325, 0.72833, 0.74171, 0.75314, 0.76272, 0.77068,
	0.77726, 0.78265, 0.78704, 0.79055, 0.79329, 0.79534, 0.79676, 0.79759,
}

// tipPull returns how far a blur of blurMM pulls the tip of a corner with
// the interior angle given (0 to π) back along its bisector, in mm.
func tipPull(interiorRad, blurMM float64) float64 {
	k := interiorRad*18/math.Pi - 1
	i := int(min(15, max(0, math.Floor(k))))
	f := min(1, max(0, k-float64(i)))
	d := tipDepth[i]*(1-f) + tipDepth[i+1]*f
	return blurMM * d / math.Tan(max(interiorRad, 0.02)/2)
}

// sharpen decides whether a candidate is a corner and where its sides meet.
// lo and hi are the neighbouring candidates' sample numbers, which may lie a
// turn outside a closed trail.
func (t *trail) sharpen(i, lo, hi int, o FitOptions) (corner, bool) {
	m := meeting{t: t, o: o, lo: lo, hi: hi}
	m.centre(i)
	for range 5 {
		if !m.fit() {
			return m.corner, false
		}
		if t.recentre(&m) {
			continue
		}
		need := t.roundedMM(m.turnRad, o)
		shortA := need - dist(t.at[t.wrap(m.before)], m.at)
		shortB := need - dist(t.at[t.wrap(m.after)], m.at)
		if shortA < 0.1 && shortB < 0.1 {
			break
		}
		m.setGaps(m.gapIn+max(0, shortA), m.gapOut+max(0, shortB))
	}
	m.trust(m.a, m.b)
	return m.corner, t.isTip(m.corner, 0, o) || m.sharpFromAfar()
}

// sharpFromAfar gives a corner whose samples stay off a little more than blur
// explains a second chance: sides fitted from farther off must say the same
// of it. Those of a small radius meet much farther out.
func (m *meeting) sharpFromAfar() bool {
	slack := 0.35 * m.o.CornerGapMM
	if !m.t.isTip(m.corner, slack, m.o) {
		return false
	}
	far := *m
	far.gapIn, far.gapOut = 2.5*m.gapIn, 2.5*m.gapOut
	return far.fit() && m.t.isTip(far.corner, slack, m.o)
}

// meeting is a corner while its sides are being fitted.
type meeting struct {
	corner
	t      *trail
	o      FitOptions
	lo, hi int
	a, b   side
	// gapIn and gapOut are the lengths left out before and after.
	gapIn, gapOut float64
	moved         int
}

// centre takes sample i for the corner's.
func (m *meeting) centre(i int) {
	m.index = i
	g := m.t.openingGap(i, m.lo, m.hi, m.o)
	m.setGaps(g, g)
}

// closeShare is the most of a short side that is left out at either corner.
const closeShare = 0.28

// setGaps takes the lengths to leave out, less where the side is short.
func (m *meeting) setGaps(in, out float64) {
	s := m.t.arcAt(m.index)
	m.gapIn = min(in, closeShare*(s-m.t.arcAt(m.lo)))
	m.gapOut = min(out, closeShare*(m.t.arcAt(m.hi)-s))
}

// fit fits both sides and lets them meet; false when they do not make a
// corner.
func (m *meeting) fit() bool {
	t, o := m.t, m.o
	left, right := t.reachBefore(m.index, m.lo, m.gapIn, o), t.reachAfter(m.index, m.hi, m.gapOut, o)
	var okA, okB, ok bool
	m.a, okA = t.sideOf(left, -m.gapIn, o)
	m.b, okB = t.sideOf(right, -m.gapOut, o)
	if !okA || !okB {
		return false
	}
	m.before, m.after = left.first, right.first
	var ua, ub float64
	m.at, ua, ub, ok = meetSides(m.a, m.b)
	if !ok {
		return false
	}
	m.in, m.out = scale(m.a.away(ua), -1), m.b.away(ub)
	m.turnRad = turn(m.in, m.out)
	doubt := 1.5*math.Hypot(m.a.turnSigma, m.b.turnSigma) + m.smoothTurn()
	return math.Abs(m.turnRad) >= o.CornerTurnDeg*math.Pi/180+doubt && max(ua, ub) < 4*o.CornerArmMM
}

// smoothTurn returns how far the outline would turn in the gap if it went on
// bending like its sides, as far as they bend the way the corner turns. A
// small radius must not pass for a corner because parabolas fit it badly.
func (m *meeting) smoothTurn() float64 {
	way := math.Copysign(1, m.turnRad)
	in, out := max(0, -m.a.bend()*way), max(0, m.b.bend()*way)
	return (in + out) / 2 * (m.gapIn + m.gapOut)
}

// recentre moves the corner's sample to the one nearest to where the sides
// meet, when that is another one by more than a third of the gap: a bridged
// corner turns somewhere on the bridge.
func (t *trail) recentre(m *meeting) bool {
	best, at := math.Inf(1), m.index
	s := t.arcAt(m.index)
	look := func(step, end int) {
		for i := m.index; i != end && math.Abs(t.arcAt(i)-s) < 6; i += step {
			if d := dist(t.at[t.wrap(i)], m.at); d < best {
				best, at = d, i
			}
		}
	}
	look(-1, m.lo)
	look(1, m.hi)
	if math.Abs(t.arcAt(at)-s) < m.o.CornerGapMM/3 || m.moved > 2 || at < -len(t.at) || at >= 2*len(t.at) {
		return false
	}
	m.moved++
	m.centre(at)
	return true
}

// openingGap returns how far from a candidate its two sides are 2.6 blur
// deviations apart, but no less than the corner gap: nearer samples of a
// narrow tip are drawn to each other.
func (t *trail) openingGap(i, lo, hi int, o FitOptions) float64 {
	s := t.arcAt(i)
	a, b := i, i
	gap := o.CornerGapMM
	for ; gap < 20; gap += 0.4 {
		for a > lo && s-t.arcAt(a) < gap {
			a--
		}
		for b < hi && t.arcAt(b)-s < gap {
			b++
		}
		if a == lo || b == hi || dist(t.at[t.wrap(a)], t.at[t.wrap(b)]) >= 2.6*o.BlurMM {
			break
		}
	}
	return gap
}

// roundedMM returns how far from a corner of the turn given blur moves the
// samples: until the other side is 2.5 standard deviations off.
func (t *trail) roundedMM(turnRad float64, o FitOptions) float64 {
	interior := math.Pi - math.Abs(turnRad)
	if interior >= math.Pi/2 {
		return o.CornerGapMM
	}
	return max(o.CornerGapMM, 2.5*o.BlurMM/math.Sin(max(interior, 0.03)))
}

func (t *trail) reachAfter(i, hi int, gapMM float64, o FitOptions) reach {
	a := t.advance(i, t.arcAt(i)+gapMM)
	end := hi
	for end > a && t.arcAt(hi)-t.arcAt(end) < min(o.CornerGapMM, closeShare*(t.arcAt(hi)-t.arcAt(i))) && (t.closed || hi < len(t.at)-1) {
		end--
	}
	return reach{a, 1, end - a + 1}
}

func (t *trail) reachBefore(i, lo int, gapMM float64, o FitOptions) reach {
	a := i
	for a > lo && t.arcAt(i)-t.arcAt(a) < gapMM {
		a--
	}
	end := lo
	for end < a && t.arcAt(end)-t.arcAt(lo) < min(o.CornerGapMM, closeShare*(t.arcAt(i)-t.arcAt(lo))) && (t.closed || lo > 0) {
		end++
	}
	return reach{a, -1, a - end + 1}
}

// trust turns the sides' errors into the precision of the corner's place.
func (c *corner) trust(a, b side) {
	for _, s := range []struct {
		d     mat.Point
		sigma float64
	}{{c.in, a.sigma}, {c.out, b.sigma}} {
		n, k := leftOf(s.d), 1/max(s.sigma*s.sigma, 1e-4)
		c.pxx, c.pxy, c.pyy = c.pxx+k*n.X*n.X, c.pxy+k*n.X*n.Y, c.pyy+k*n.Y*n.Y
	}
}

// bridgeSlackMM is how much farther off the samples of a bridged tip may be.
const bridgeSlackMM = 0.2

// isTip tells whether the samples come as close to the corner as a blurred
// sharp corner would; a rounded one stays farther off. Where the tip was not
// measured there is nothing to say against a corner. slackMM is allowed on
// top.
func (t *trail) isTip(c corner, slackMM float64, o FitOptions) bool {
	d, tip := math.Inf(1), c.index
	for i := c.before; i <= c.after; i++ {
		if off := dist(t.at[t.wrap(i)], c.at); off < d {
			d, tip = off, i
		}
	}
	if t.nearBridge(tip, o.CornerGapMM/2) {
		slackMM += bridgeSlackMM
		if math.Abs(c.turnRad) < 1.6*o.CornerTurnDeg*math.Pi/180 {
			return false
		}
		if math.Abs(c.turnRad) > 2*o.CornerTurnDeg*math.Pi/180 {
			return true
		}
	}
	return d <= 1.6*tipPull(math.Pi-math.Abs(c.turnRad), o.BlurMM)+slackMM+3*t.noise
}

// nearBridge tells whether a sample within reachMM of sample i was not
// measured.
func (t *trail) nearBridge(i int, reachMM float64) bool {
	n := len(t.at)
	for _, step := range [2]int{-1, 1} {
		for k := i; k >= -n && k < 2*n && math.Abs(t.arcAt(k)-t.arcAt(i)) <= reachMM; k += step {
			if !t.closed && (k < 0 || k >= n) {
				break
			}
			if t.bridged[t.wrap(k)] {
				return true
			}
		}
	}
	return false
}

// corners returns the corners of the trail in order. A failed candidate
// shortens its neighbours' sides, so the weakest of neighbouring failures are
// dropped and the rest tried again.
func (t *trail) corners(o FitOptions) []corner {
	turns := t.turns(o)
	cand := t.candidates(turns, o)
	known := map[[3]int]verdict{}
	for {
		tried := make([]corner, len(cand))
		good := make([]bool, len(cand))
		failed := false
		for k := range cand {
			lo, hi := t.neighbours(cand, k)
			at := [3]int{cand[k].index, lo, hi}
			v, seen := known[at]
			if !seen {
				v.corner, v.good = t.sharpen(cand[k].index, lo, hi, o)
				known[at] = v
			}
			tried[k], good[k] = v.corner, v.good
			failed = failed || !v.good
		}
		if !failed {
			return t.inOrder(tried)
		}
		cand = dropWeakest(cand, good)
	}
}

// inOrder brings corners that moved across the seam of a closed trail back
// into one turn and sorts them; of two that moved to one place one is kept.
func (t *trail) inOrder(cs []corner) []corner {
	n := len(t.at)
	for i := range cs {
		shift := t.wrap(cs[i].index) - cs[i].index
		cs[i].index += shift
		cs[i].before += shift
		cs[i].after += shift
	}
	slices.SortFunc(cs, func(a, b corner) int { return a.index - b.index })
	out := cs[:0]
	for i, c := range cs {
		if i > 0 && c.index <= out[len(out)-1].after && c.before <= out[len(out)-1].index || c.index >= n {
			continue
		}
		out = append(out, c)
	}
	return out
}

// verdict is what sharpen said of a candidate.
type verdict struct {
	corner corner
	good   bool
}

// dropWeakest removes failed candidates that no failed neighbour is weaker
// than.
func dropWeakest(cand []candidate, good []bool) []candidate {
	m := len(cand)
	var out []candidate
	for k, c := range cand {
		before, after := (k+m-1)%m, (k+1)%m
		weaker := func(j int) bool {
			return j != k && !good[j] && (cand[j].turn < c.turn || cand[j].turn == c.turn && j < k)
		}
		if good[k] || weaker(before) || weaker(after) {
			out = append(out, c)
		}
	}
	return out
}

// neighbours returns the sample numbers of the candidates before and after
// candidate k, up to a turn outside a closed trail.
func (t *trail) neighbours(cand []candidate, k int) (lo, hi int) {
	n, m, i := len(t.at), len(cand), cand[k].index
	lo, hi = 0, n-1
	if t.closed {
		lo, hi = i-n/2+1, i+n/2-1
	}
	if k > 0 {
		lo = max(lo, cand[k-1].index)
	} else if t.closed && m > 1 {
		lo = max(lo, cand[m-1].index-n)
	}
	if k < m-1 {
		hi = min(hi, cand[k+1].index)
	} else if t.closed && m > 1 {
		hi = min(hi, cand[0].index+n)
	}
	return lo, hi
}
