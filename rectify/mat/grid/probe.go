package grid

import "math"

// probeSamples is how many profiles a span is probed with in the level.
const probeSamples = 7

// maxReachPx bounds, in level px, how far off its prediction a line is looked
// for: a model fitted to its neighbours is never that far off.
const maxReachPx = 5

// profileStepPx is the spacing of a profile's samples.
const profileStepPx = 0.5

// probe looks for a printed line along a span within reach of where the model
// expects it. across shifts the whole span, for looking between lines. The
// span counts as seen when a ridge of the right polarity stands at one offset
// along most of its length.
func (g *lattice) probe(s span, across, reachPitch float64) (sight, bool) {
	c, ok := g.course(s, across)
	if !ok {
		return sight{}, false
	}
	pitch := g.stepAcross(s, across)
	if !(pitch > 3) || c.length() < 3 {
		return sight{}, false
	}
	reach := reachPx(reachPitch, pitch)
	arm := armFor(pitch)
	n := int(math.Ceil((reach + 3*arm + 1) / profileStepPx))
	var prof profiles
	if !g.sample(&prof, c, n) {
		return sight{}, false
	}
	return g.judge(c, &prof, n, reach, arm)
}

// maxArmPx bounds armFor, and with maxReachPx the length of a profile.
const (
	maxArmPx      = 3.5
	profileLength = 2*int((maxReachPx+3*maxArmPx+1)/profileStepPx+1) + 1
)

// profiles are the rows of samples across a span, kept off the heap.
type profiles [probeSamples][profileLength]float64

// reachPx is how far off its prediction a line is looked for, in level px.
func reachPx(reachPitch, pitchPx float64) float64 {
	return math.Min(math.Max(reachPitch*pitchPx, 1), maxReachPx)
}

// armFor is the distance at which the ground beside a line is taken: two to
// four level pixels, less where the lines stand close.
func armFor(pitchPx float64) float64 {
	return math.Min(math.Max(pitchPx*0.1, 2), maxArmPx)
}

// sample fills the first 2n+1 values of each row from the level; false when
// the span leaves it.
func (g *lattice) sample(prof *profiles, c bowed, n int) bool {
	reach := float64(n)*profileStepPx + 1
	for k := range prof {
		x, y, nx, ny := c.at(0.12 + 0.76*float64(k)/(probeSamples-1))
		if !g.lvl.inside(x, y, reach+1) {
			return false
		}
		row := prof[k][:2*n+1]
		for i := range row {
			o := float64(i-n) * profileStepPx
			row[i] = g.lvl.at(x+o*nx, y+o*ny)
		}
	}
	return true
}

// judge decides from a span's profiles whether a line runs there, and where.
func (g *lattice) judge(c bowed, prof *profiles, n int, reach, arm float64) (sight, bool) {
	a := int(math.Round(arm / profileStepPx))
	lim := min(int(reach/profileStepPx), n-a)
	resp := func(row *[profileLength]float64, i int) float64 {
		return float64(g.pol) * (row[i] - 0.5*(row[i-a]+row[i+a]))
	}
	// The median over the rows at each offset is immune to a diagonal or a
	// scar that crosses a few of them.
	var med [profileLength]float64
	var col [probeSamples]float64
	for i := a; i <= 2*n-a; i++ {
		for k := range prof {
			col[k] = resp(&prof[k], i)
		}
		med[i] = middle(&col)
	}
	best := n
	for i := n - lim; i <= n+lim; i++ {
		if med[i] > med[best] {
			best = i
		}
	}
	h := med[best]
	if h < g.floor || best == n-lim || best == n+lim {
		return sight{}, false
	}
	if g.besideStronger(&med, best, n, a, h) {
		return sight{}, false
	}
	agree, width := 0, 0.0
	for k := range prof {
		row := &prof[k]
		if max(resp(row, best), resp(row, best-1), resp(row, best+1)) > 0.4*h {
			agree++
		}
	}
	if agree*3 < len(prof)*2 {
		return sight{}, false
	}
	for i := n - lim; i <= n+lim; i++ {
		if d := i - best; d >= -a && d <= a {
			width += math.Max(med[i], 0) / h * profileStepPx
		}
	}
	off := float64(best-n) * profileStepPx
	if curve := med[best-1] - 2*h + med[best+1]; curve < 0 {
		off += profileStepPx * 0.5 * (med[best-1] - med[best+1]) / curve
	}
	x, y, nx, ny := c.at(0.5)
	return sight{at: g.lvl.toPhoto(x+off*nx, y+off*ny), height: h, width: width}, true
}

// middle returns the median of v, which it sorts by insertion: the fastest
// way for so few.
func middle(v *[probeSamples]float64) float64 {
	for i := 1; i < len(v); i++ {
		x, j := v[i], i
		for ; j > 0 && v[j-1] > x; j-- {
			v[j] = v[j-1]
		}
		v[j] = x
	}
	return v[len(v)/2]
}

// besideStronger reports whether a line of the other polarity stands close by
// and is the stronger: then this ridge is but the strip of ground beside it.
// A line's own answer at its sides is half its height.
func (g *lattice) besideStronger(med *[profileLength]float64, best, n, arm int, h float64) bool {
	for i := max(best-2*arm, arm); i <= min(best+2*arm, 2*n-arm); i++ {
		if -med[i] > 1.3*h {
			return true
		}
	}
	return false
}
