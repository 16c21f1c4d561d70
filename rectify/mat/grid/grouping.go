package grid

import (
	"math"
	"slices"
)

// strongBoth finds whether every m-th line of both families carries clearly
// more ink than those between, and the phase of the strong ones; 1 and 0 when
// all carry alike. Of the groupings tried the smallest is taken, and the strong
// lines are then looked at in the same way: eighths make halves, and halves the
// inch. A mat's pitch is the same both ways, so the families are weighed
// together, each with a phase of its own; steps, when not nil, lists them.
func strongBoth(inks [2]map[int]float64, tries []int, steps *[]int) (every, phase [2]int) {
	every = [2]int{1, 1}
	for {
		m, ph := strongStep(inks, tries)
		if m == 1 {
			return every, phase
		}
		if steps != nil {
			*steps = append(*steps, m)
		}
		for f := range inks {
			phase[f] += ph[f] * every[f]
			every[f] *= m
			inks[f] = regroup(inks[f], m, ph[f])
		}
	}
}

// strongStep returns the smallest grouping that the families show together; 1
// when there is none.
func strongStep(inks [2]map[int]float64, tries []int) (m int, phase [2]int) {
	for _, m := range tries {
		phase, ratio := groupingOf(inks, m)
		weaker := ratio < weakerInk || ratio < steadilyWeaker && m == 2 && alternates(inks, phase)
		if weaker && beyondChance(inks, m, phase) && !outdone(inks, m, ratio) {
			return m, phase
		}
	}
	return 1, phase
}

// beyondChance reports whether the lines between those of a grouping carry less
// ink by clearly more than scatter explains: of both families together, or of
// one alone without an exception. The best of many groupings of faint lines that
// are all alike always shows some difference.
func beyondChance(inks [2]map[int]float64, m int, phase [2]int) bool {
	const (
		// pooledTimes and aloneTimes the standard error: a few dozen groupings
		// and phases are tried.
		pooledTimes, aloneTimes = 3.5, 5
		// leastAlone is how few lines of one family may speak for both.
		leastAlone = 3
	)
	pooled, alone := true, [2]bool{true, true}
	for d := 1; d < m; d++ {
		var all []float64
		for f := range inks {
			own := contrasts(inks[f], m, phase[f], d)
			all = append(all, own...)
			alone[f] = alone[f] && len(own) >= leastAlone && slices.Min(own) > 0 && timesError(own) >= aloneTimes
		}
		pooled = pooled && timesError(all) >= pooledTimes
	}
	return pooled || alone[0] || alone[1]
}

// contrasts lists by how much the lines of a phase carry more ink than those d
// steps to their sides, over the sum of both: 0 for equal lines, 1 where there
// are none between.
func contrasts(inkOf map[int]float64, m, phase, d int) []float64 {
	rs := inkRatios(inkOf, m, phase, d)
	for k, r := range rs {
		r = math.Max(r, 0)
		rs[k] = (1 - r) / (1 + r)
	}
	return rs
}

// timesError is the median of contrasts over its standard error, as their
// scatter tells it.
func timesError(v []float64) float64 {
	const leastScatter = 0.035
	if len(v) == 0 {
		return 0
	}
	mid, off := spread(v)
	return mid * math.Sqrt(float64(len(v))) / math.Max(1.4826*off, leastScatter)
}

// alternates reports whether most other lines of both families carry more ink
// than their neighbours: thin lines differ little from a little thinner ones,
// but they do so all the way. Lines that are hardly there are not asked.
func alternates(inks [2]map[int]float64, phase [2]int) bool {
	const (
		leastLines = 6
		familyPart = 0.7
		mostPart   = 0.78
		thereInk   = 0.35
	)
	triedAll, moreAll := 0, 0
	for f := range inks {
		var all []float64
		for _, v := range inks[f] {
			all = append(all, v)
		}
		least := thereInk * median(all)
		tried, more := 0, 0
		for i, v := range inks[f] {
			a, okA := inks[f][i-1]
			b, okB := inks[f][i+1]
			if (i-phase[f])%2 != 0 || !okA || !okB || min(v, a, b) <= least {
				continue
			}
			tried++
			if v > (a+b)/2 {
				more++
			}
		}
		if tried < leastLines || float64(more) < familyPart*float64(tried) {
			return false
		}
		triedAll, moreAll = triedAll+tried, moreAll+more
	}
	return triedAll >= 2*leastLines+4 && float64(moreAll) >= mostPart*float64(triedAll)
}

// outdone reports whether lines stand out far more when counted another way:
// where every fifth is heavy, a few of every eighth are so by chance.
func outdone(inks [2]map[int]float64, m int, ratio float64) bool {
	const clearly = 0.1
	for _, rival := range []int{2, 3, 5} {
		if m%rival == 0 {
			continue
		}
		if _, r := groupingOf(inks, rival); r < ratio-clearly {
			return true
		}
	}
	return false
}

// groupingOf returns the phases whose lines, every m-th of each family, stand
// out most, and the ratio of the others' ink to theirs: the mean of both
// families', or that of the one which has lines enough to tell; 1 when neither
// has. A mat that is divided one way only would be misread, but none is
// printed so, and pieces often leave one family too little to tell by.
func groupingOf(inks [2]map[int]float64, m int) (phase [2]int, ratio float64) {
	sum, n := 0.0, 0
	for f := range inks {
		p, r, ok := strongPhaseIfAny(inks[f], m)
		if r == 1 {
			// It does not say: the heaviest lines are the likeliest, should the
			// other family group them.
			p = heaviestPhase(inks[f], m)
		}
		phase[f] = p
		if !ok {
			continue
		}
		sum += r
		n++
	}
	if n == 0 {
		return phase, 1
	}
	return phase, sum / float64(n)
}
