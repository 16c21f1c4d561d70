package grid

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// The lattice grows on whichever lines a window showed best. That may be the
// mat's majors, its minors, or every second major. These methods find out
// which, by comparing how much ink the lines carry.

// subdivisions are the ways mats divide their pitch: halves, quarters,
// eighths of an inch, fifths and tenths of a centimetre (common practice, no
// source).
var subdivisions = []int{2, 3, 4, 5, 8, 10}

// halvings are the groupings by which fine lines make a pitch whatever its
// unit: inches are halved, and so is the centimetre.
var halvings = []int{2, 4, 8}

// emphases are groupings that may either make a pitch (ten millimetres to the
// centimetre) or stress every n-th line of it (five centimetres). Only the
// size of things can tell.
var emphases = []int{3, 5, 6, 10, 12}

const (
	// equalInk is the ratio of ink above which lines found between others
	// count as the same kind.
	equalInk = 0.8
	// weakerInk is the ratio of ink below which lines are a weaker kind: a
	// minor line is printed thinner, paler or both.
	weakerInk = 0.88
	// steadilyWeaker is that ratio where the lines between are weaker all over
	// the mat.
	steadilyWeaker = 0.94
)

// ink is the area of a line's profile: height times width.
func (s sight) ink() float64 { return s.height * s.width }

// families lists both families of lines.
var families = [...]mat.Family{mat.Columns, mat.Rows}

// Sizes is what is known of the size of things in a photograph.
type Sizes struct {
	// PitchMM is the distance between the mat's major lines, 0 unknown.
	PitchMM float64
	// FocalPx is the focal length that the file's tags claim, 0 unknown;
	// FocalUnsure that the photograph was cropped or zoomed since.
	FocalPx     float64
	FocalUnsure bool
	// Kind says which printed lines are a pitch apart: 0 leaves it to the
	// program, n means the n-th widest spacing of mat.Grid.Kinds.
	Kind int
}

// heightSteps returns the camera's distance from the mat at the middle of the
// photograph, in lattice steps.
func (g *lattice) heightSteps(sizes Sizes) float64 {
	f := sizes.FocalPx
	if f <= 0 {
		f = 0.8 * float64(max(g.lvl.w, g.lvl.h)*g.lvl.factor)
	}
	at, ok := g.model.ToMat(g.lvl.toPhoto(float64(g.lvl.w)/2, float64(g.lvl.h)/2))
	if !ok {
		return 0
	}
	return g.model.ScaleMMPerPx(at) * f
}

// cellAspect returns the ratio of a cell's width to its height on the mat.
// Where the focal length is only guessed, to some 20 %, it is good to some
// 15 % at the steepest tilts.
func (g *lattice) cellAspect() float64 {
	if g.focalPx > 0 {
		return g.model.Aspect(g.focalPx)
	}
	return g.model.Aspect(g.model.ScalePx)
}

// subInk probes lines at the fraction k/m between the lattice's own, next to
// spans of a family that are seen, and returns the share of them met and the median of
// their ink relative to the neighbour's.
func (g *lattice) subInk(f mat.Family, k, m int) (share, ratio float64) {
	tried, ratios := 0, []float64{}
	spans := slices.DeleteFunc(g.spans(), func(s span) bool { return s.family != f })
	step := max(1, len(spans)/150)
	for i := 0; i < len(spans); i += step {
		s := spans[i]
		next := span{s.family, s.index + 1, s.at}
		n, ok := g.seen[next]
		if !ok {
			continue
		}
		pitch := g.stepAcross(s, 0)
		if pitch/float64(m) < 4 {
			return 0, 0
		}
		tried++
		if got, ok := g.probe(s, float64(k)/float64(m), math.Min(0.1, 0.25/float64(m))); ok {
			ratios = append(ratios, got.ink()/(0.5*(n.ink()+g.seen[s].ink())))
		}
	}
	if tried < 6 || len(ratios) == 0 {
		return 0, 0
	}
	slices.Sort(ratios)
	return float64(len(ratios)) / float64(tried), ratios[len(ratios)/2]
}

// hiddenEquals returns the m for which the lines at k/m between a family's
// carry as much ink as its own: the lattice had caught only every m-th line.
// 1 when there are none.
func (g *lattice) hiddenEquals(f mat.Family) int {
	for _, m := range []int{2, 3, 5} {
		all := true
		for k := 1; k < m; k++ {
			share, ratio := g.subInk(f, k, m)
			if share < 0.6 || ratio < equalInk {
				all = false
				break
			}
		}
		if all {
			return m
		}
	}
	return 1
}

// minors returns the finest division of the pitch that is printed between
// the lattice's lines, 1 when there is none.
func (g *lattice) minors() int {
	best := 1
	old := g.floor
	g.floor *= 0.6
	defer func() { g.floor = old }()
	for _, m := range subdivisions {
		across, _ := g.subInk(mat.Columns, 1, m)
		down, _ := g.subInk(mat.Rows, 1, m)
		if across > 0.5 && down > 0.5 {
			best = m
		}
	}
	return best
}

// subdivide renumbers the lattice so that each old step across a family's
// lines makes m new ones.
func (g *lattice) subdivide(f mat.Family, m int) {
	finer := [2]float64{1, 1}
	finer[f] = 1 / float64(m)
	g.model = g.model.Stretch(finer[0], finer[1])
	old := g.seen
	g.seen = map[span]sight{}
	for s, v := range old {
		if s.family == f {
			s.index *= m
			g.seen[s] = v
			continue
		}
		for k := range m {
			sub := span{s.family, s.index, s.at*m + k}
			if got, ok := g.probe(sub, 0, laterReachPitch); ok {
				g.seen[sub] = got
			}
		}
	}
}

// lineInk returns the median ink of each line of a family.
func (g *lattice) lineInk(f mat.Family) map[int]float64 {
	all := map[int][]float64{}
	for s, v := range g.seen {
		if s.family != f {
			continue
		}
		ink := v.ink()
		if g.weighed != nil {
			var ok bool
			if ink, ok = g.weighed[s]; !ok {
				continue
			}
		}
		all[s.index] = append(all[s.index], ink)
	}
	out := map[int]float64{}
	for i, v := range all {
		if len(v) < 3 {
			continue
		}
		slices.Sort(v)
		out[i] = v[len(v)/2]
	}
	return out
}

// inkOrNone is lineInk with no ink on record for lines that are not there:
// where the lattice is finer than what its threshold lets pass.
func (g *lattice) inkOrNone(f mat.Family) map[int]float64 {
	inkOf := g.lineInk(f)
	lo, hi := g.bounds()
	for i := lo[f]; i <= hi[f]; i++ {
		if _, ok := inkOf[i]; !ok && g.share(f, i) < 0.05 {
			inkOf[i] = 0
		}
	}
	return inkOf
}

// regroup keeps every m-th line from a phase on, and renumbers them.
func regroup(inkOf map[int]float64, m, phase int) map[int]float64 {
	out := map[int]float64{}
	for i, v := range inkOf {
		if d := i - phase; d%m == 0 {
			out[d/m] = v
		}
	}
	return out
}

// strongPhase returns the phase whose lines, every m-th, stand out most from
// those between, and the ratio of ink of the strongest in-between phase to
// theirs. Lines are compared with their neighbours, so that light and blur
// that change over the mat do not count; the ratio has a margin for scatter
// added, and is 1 when there are too few lines to say.
func strongPhase(inkOf map[int]float64, m int) (phase int, ratio float64) {
	phase, ratio, _ = strongPhaseIfAny(inkOf, m)
	return phase, ratio
}

// strongPhaseIfAny is strongPhase that also tells whether any phase has lines
// enough to say.
func strongPhaseIfAny(inkOf map[int]float64, m int) (phase int, ratio float64, told bool) {
	ratio = 1
	for try := range m {
		worst, ok := 0.0, true
		for d := 1; d < m && ok; d++ {
			var r float64
			r, ok = inkRatio(inkOf, m, try, d)
			worst = math.Max(worst, r)
		}
		told = told || ok
		if ok && worst < ratio {
			phase, ratio = try, worst
		}
	}
	return phase, ratio, told
}

// heaviestPhase returns the phase whose lines, every m-th, carry most ink.
func heaviestPhase(inkOf map[int]float64, m int) (phase int) {
	most := 0.0
	for try := range m {
		var vs []float64
		for i, v := range inkOf {
			if (((i-try)%m)+m)%m == 0 {
				vs = append(vs, v)
			}
		}
		if v := median(vs); v > most {
			phase, most = try, v
		}
	}
	return phase
}

// inkRatio returns the typical ink of the lines d steps to either side of
// those of a phase, relative to theirs, plus its scatter; false when there
// are too few to say.
func inkRatio(inkOf map[int]float64, m, phase, d int) (ratio float64, ok bool) {
	rs := inkRatios(inkOf, m, phase, d)
	if len(rs) < 2 {
		return 0, false
	}
	mid, off := spread(rs)
	return mid + off, true
}

// inkRatios lists the ink of the lines d steps to either side of those of a
// phase, relative to theirs.
func inkRatios(inkOf map[int]float64, m, phase, d int) (rs []float64) {
	for i, v := range inkOf {
		if (((i-phase)%m)+m)%m != 0 || v == 0 {
			continue
		}
		if w, ok := meanOf(inkOf, i+d, i+d-m); ok {
			rs = append(rs, w/v)
		}
	}
	return rs
}

// meanOf returns the mean ink of two lines, or of the one there is.
func meanOf(inkOf map[int]float64, a, b int) (float64, bool) {
	x, okX := inkOf[a]
	y, okY := inkOf[b]
	switch {
	case okX && okY:
		return 0.5 * (x + y), true
	case okX:
		return x, true
	default:
		return y, okY
	}
}

// group keeps, of each family, every m-th line from its phase on, renumbers
// the lattice, and looks at the longer spans where the shorter were seen.
func (g *lattice) group(every, phase [2]int) {
	lo, hi := g.bounds()
	g.model = g.model.Shift(mat.Point{X: float64(phase[0]), Y: float64(phase[1])}).
		Stretch(float64(every[0]), float64(every[1]))
	for _, f := range families {
		lo[f] = floorDiv(lo[f]-phase[f], every[f])
		hi[f] = -floorDiv(phase[f]-hi[f], every[f])
	}
	g.seen, g.weighed = map[span]sight{}, nil
	g.probeAll(spansIn(lo, hi), laterReachPitch)
}

// floorDiv divides and rounds down.
func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}
