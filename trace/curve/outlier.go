package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// outlierHalf is half the window of samples that an outlier is judged by; a
// bump of up to outlierHalf−1 samples is outvoted.
const outlierHalf = 6

// dropOutliers takes the weight of samples that lie more than five standard
// deviations off the median of their neighbourhood, across the outline. Tips
// of sharp corners go too; no fit uses those.
func (t *trail) dropOutliers() {
	n := len(t.at)
	drop := make([]bool, n)
	for i := range n {
		if t.w[i] > 0 && t.strays(i) && t.offMedian(i) > 5*t.noise {
			drop[i] = true
		}
	}
	for i, d := range drop {
		if d {
			t.w[i] = 0
			t.dropped++
		}
	}
}

func (t *trail) neighbour(i int) mat.Point {
	n := len(t.at)
	if t.closed {
		return t.at[(i%n+n)%n]
	}
	return t.at[clampInt(i, n-1)]
}

// strays is the quick test: against the middle of its neighbours four off.
func (t *trail) strays(i int) bool {
	var a, b mat.Point
	for k := 3; k <= 6; k++ {
		a, b = add(a, t.neighbour(i-k)), add(b, t.neighbour(i+k))
	}
	d := sub(b, a)
	m := sub(t.at[i], scale(add(a, b), 1.0/8))
	return math.Abs(cross(d, m)) > 2*t.noise*norm(d)
}

// offMedian returns the distance of sample i across the outline from the
// median of the samples around it.
func (t *trail) offMedian(i int) float64 {
	var a, b mat.Point
	for k := 4; k <= outlierHalf+2; k++ {
		a, b = add(a, t.neighbour(i-k)), add(b, t.neighbour(i+k))
	}
	across := leftOf(unit(sub(b, a)))
	var v [2*outlierHalf + 1]float64
	for k := range v {
		v[k] = dot(sub(t.neighbour(i+k-outlierHalf), t.at[i]), across)
	}
	slices.Sort(v[:])
	return math.Abs(v[outlierHalf])
}
