package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// bridgedMM is the SigmaMM from which a sample counts as not measured.
const bridgedMM = 1.0

// bridgeSigmaMM is how well the position of a bridged sample is known all the
// same: it continues the sides, seldom more than four tenths off. Corners
// often lie on bridges, so that to ignore them is to lose corners.
const bridgeSigmaMM = 0.5

// leastNoiseMM is the least error that decisions about the shape allow for:
// neighbouring samples share most of their error, which therefore hardly
// shows in their scatter.
const leastNoiseMM = 0.02

// trail is a run of samples made ready for fitting: positions in mm, weights
// relative to the typical sample, arc length along the lightly smoothed run.
type trail struct {
	at []mat.Point
	w  []float64
	// bridged marks samples that were not measured.
	bridged []bool
	s       []float64
	closed  bool
	total   float64
	// noise is the standard deviation of a sample across the outline, and
	// spread the factor by which correlation between neighbours widens the
	// variance of a mean.
	noise, spread float64
	// dropped counts outliers.
	dropped int
}

// newTrail copies the samples, dropping repeated points.
func newTrail(samples []Sample, closed bool) (*trail, error) {
	t := &trail{closed: closed}
	ref := typicalSigma(samples)
	for i, p := range samples {
		if !finite(p.At) || math.IsNaN(p.SigmaMM) {
			return nil, &SampleError{i, p.At, "not a number; trace this piece again"}
		}
		if n := len(t.at); n > 0 && dist(t.at[n-1], p.At) < 1e-6 {
			continue
		}
		t.at = append(t.at, p.At)
		t.w = append(t.w, relativeWeight(p.SigmaMM, ref))
		t.bridged = append(t.bridged, p.SigmaMM >= bridgedMM)
	}
	for n := len(t.at); closed && n > 1 && dist(t.at[0], t.at[n-1]) < 1e-6; n = len(t.at) {
		t.at, t.w, t.bridged = t.at[:n-1], t.w[:n-1], t.bridged[:n-1]
	}
	t.measure()
	return t, nil
}

func typicalSigma(samples []Sample) float64 {
	var v []float64
	for _, p := range samples {
		if p.SigmaMM > 0 && p.SigmaMM < bridgedMM {
			v = append(v, p.SigmaMM)
		}
	}
	if len(v) == 0 {
		return 0
	}
	return median(v)
}

// sharedErrorMM is the part of a sample's error that its neighbours share and
// its SigmaMM leaves out. It keeps a stretch that was measured a little less
// well from counting for nothing beside its neighbours.
const sharedErrorMM = 0.05

// relativeWeight is 1 for the typical sample, a few hundredths for a bridged
// one.
func relativeWeight(sigma, ref float64) float64 {
	if sigma >= bridgedMM {
		sigma = bridgeSigmaMM
	} else if sigma <= 0 || ref == 0 {
		sigma = ref
	}
	const shared = sharedErrorMM * sharedErrorMM
	return (ref*ref + shared) / (sigma*sigma + shared)
}

// median sorts v.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// measure fills in the arc length along five-point means, so that noise does
// not lengthen it.
func (t *trail) measure() {
	n := len(t.at)
	t.s = make([]float64, n)
	if n < 2 {
		return
	}
	before := t.mean5(0)
	first := before
	for i := 1; i < n; i++ {
		m := t.mean5(i)
		t.s[i] = t.s[i-1] + max(dist(before, m), 1e-9)
		before = m
	}
	t.total = t.s[n-1]
	if t.closed {
		t.total += dist(before, first)
	}
}

func (t *trail) mean5(i int) mat.Point {
	n := len(t.at)
	var sum mat.Point
	k := 0.0
	for j := i - 2; j <= i+2; j++ {
		q := j
		if t.closed {
			q = (j + n) % n
		}
		if q < 0 || q >= n {
			continue
		}
		sum, k = add(sum, t.at[q]), k+1
	}
	return scale(sum, 1/k)
}

// rotated returns the closed trail with sample k first.
func (t *trail) rotated(k int) *trail {
	out := *t
	out.at = append(append([]mat.Point{}, t.at[k:]...), t.at[:k]...)
	out.w = append(append([]float64{}, t.w[k:]...), t.w[:k]...)
	out.bridged = append(append([]bool{}, t.bridged[k:]...), t.bridged[:k]...)
	out.measure()
	return &out
}

// arcAt returns the arc length of sample i, which may lie one turn outside
// a closed trail.
func (t *trail) arcAt(i int) float64 {
	n := len(t.s)
	switch {
	case i < 0:
		return t.s[i+n] - t.total
	case i >= n:
		return t.s[i-n] + t.total
	}
	return t.s[i]
}

// wrap maps a sample number one turn outside back in.
func (t *trail) wrap(i int) int {
	n := len(t.s)
	switch {
	case i < 0:
		return i + n
	case i >= n:
		return i - n
	}
	return i
}

// estimateNoise measures noise and spread from the residuals about local
// parabolas over 17 samples.
func (t *trail) estimateNoise() {
	const half = 8
	n := len(t.at)
	t.noise, t.spread = 0.04, 3
	var all []float64
	var lags [5][]float64
	var res [2*half + 1]float64
	for c := half; c+half < n; c += 2*half + 1 {
		if !t.residuals(c-half, c+half, res[:]) {
			continue
		}
		for _, r := range res {
			all = append(all, math.Abs(r))
		}
		lagProducts(res[:], &lags)
	}
	if len(all) < 3*(2*half+1) {
		return
	}
	// 1.4826 makes the median of absolute values a standard deviation; three
	// of seventeen degrees of freedom went into each parabola.
	t.noise = max(leastNoiseMM, 1.4826*median(all)*math.Sqrt(17.0/14))
	t.spread = spreadOf(lags)
}

// residuals fills res with the distances across the local parabola of
// samples a..b; false when one was not measured.
func (t *trail) residuals(a, b int, res []float64) bool {
	for i := a; i <= b; i++ {
		if t.bridged[i] {
			return false
		}
	}
	mid := t.at[(a+b)/2]
	d := unit(sub(t.at[b], t.at[a]))
	if d == (mat.Point{}) {
		return false
	}
	var f polyFit
	f.reset()
	for i := a; i <= b; i++ {
		r := sub(t.at[i], mid)
		f.push(dot(r, d), cross(d, r), 1)
	}
	f.solve(2)
	for i := range f.u {
		res[i] = f.v[i] - f.eval(f.u[i], 2)
	}
	return true
}

func lagProducts(res []float64, lags *[5][]float64) {
	var sums [5]float64
	for k := range sums {
		for i := k; i < len(res); i++ {
			sums[k] += res[i] * res[i-k]
		}
	}
	for k := range sums {
		lags[k] = append(lags[k], sums[k])
	}
}

// spreadOf turns the medians of lagged products into 1+2·Σρ, held to 1..6.
func spreadOf(lags [5][]float64) float64 {
	m0 := median(lags[0])
	if m0 <= 0 {
		return 3
	}
	sum := 1.0
	for k := 1; k < len(lags); k++ {
		rho := median(lags[k]) / m0
		if rho < 0.05 {
			break
		}
		sum += 2 * rho
	}
	return min(6, max(1, sum*1.2))
}
