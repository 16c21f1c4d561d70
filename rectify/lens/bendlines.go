package lens

import (
	"math"
)

const (
	// mostStretches is how many stretches a line is divided into at the most;
	// each stretch's median counts as one reading.
	mostStretches = 30
	// bendCutOff is where the smoothing ends, in standard deviations.
	bendCutOff = 2.5
	// leastBendLines of each family are needed.
	leastBendLines = 5
	// strayPart is the part of a pitch beyond which a sample says nothing of
	// its line: it may lie on another.
	strayPart = 0.3
	// bendSigmas are taken off a shared miss before it counts.
	bendSigmas = 3
	// leastLineWeight is the weight a line must have among its own readings
	// near a place to be asked; a reading at the place itself weighs 1.
	leastLineWeight = 0.3
)

// bendReaches are the standard deviations of the smoothing, in pitches or in
// thirtieths of the field when lines are closer: a lifted corner is as narrow
// as the first, a wave as wide as the last.
var bendReaches = [...]float64{0.8, 1.5, 3}

// bendFamily holds the readings of one family's lines: of each line its
// distances across from its place, by stretches along it. All in mm.
type bendFamily struct {
	pitch, unit  float64 // of lines; length of a stretch
	low          float64 // where the first stretch begins
	first        int     // index of the first line
	samples      [][][]float64
	lines        int // with readings
	smooth       [len(bendReaches)]bendSmooth
	acrossInUnit float64 // one pitch in units of the reaches
}

// bendSmooth is the lines smoothed along themselves: sums of weighted
// readings and of weights, by line and stretch.
type bendSmooth struct {
	reach       float64
	sum, weight [][]float64
	// sigma is the standard deviation of one line's smoothed readings that its
	// neighbours do not share, in mm.
	sigma float64
}

func newBendFamily(pitch, other float64, across, along [2]float64) bendFamily {
	// A stretch lies between crossings, since samples come by whole squares.
	unit := other * math.Ceil(max((along[1]-along[0])/mostStretches/other, 1))
	low := other * math.Floor(along[0]/other+0.01)
	b := bendFamily{pitch: pitch, unit: unit, low: low, first: int(math.Floor(across[0]/pitch)) - 1}
	b.acrossInUnit = pitch / max(pitch, (across[1]-across[0])/mostStretches)
	lines := int(math.Ceil(across[1]/pitch)) + 1 - b.first + 1
	stretches := int(math.Ceil((along[1]-b.low)/unit)) + 1
	b.samples = make([][][]float64, max(lines, 0))
	for i := range b.samples {
		b.samples[i] = make([][]float64, max(stretches, 0))
	}
	return b
}

// add counts a sample of a line; samples outside the field, or so far off that
// they may belong to another line, do not count.
func (b *bendFamily) add(index int, across, along float64) {
	mm := across - float64(index)*b.pitch
	line, stretch := index-b.first, int(math.Floor((along-b.low)/b.unit))
	if !(math.Abs(mm) < strayPart*b.pitch) || line < 0 || line >= len(b.samples) || stretch < 0 || stretch >= len(b.samples[line]) {
		return
	}
	b.samples[line][stretch] = append(b.samples[line][stretch], mm)
}

// settle takes the medians and smooths the lines along themselves; false when
// there are too few lines.
func (b *bendFamily) settle() bool {
	least := b.usualCount()
	readings := make([][]float64, len(b.samples))
	for i, line := range b.samples {
		readings[i] = make([]float64, len(line))
		seen := false
		for k, s := range line {
			readings[i][k] = math.NaN()
			if len(s) >= least {
				readings[i][k] = (quickSelect(s, len(s)/2) + quickSelect(s, (len(s)-1)/2)) / 2
				seen = true
			}
		}
		if seen {
			b.lines++
		}
	}
	b.samples = nil
	for i, reach := range bendReaches {
		b.smooth[i] = smoothAlong(readings, reach)
		b.smooth[i].estimateSigma()
	}
	return b.lines >= leastBendLines
}

// usualCount is how many samples make a reading: as many as a stretch usually
// holds, leastInBlock at the most. A stretch that gave fewer was doubtful.
func (b *bendFamily) usualCount() int {
	var counts []float64
	for _, line := range b.samples {
		for _, s := range line {
			if len(s) > 0 {
				counts = append(counts, float64(min(len(s), leastInBlock)))
			}
		}
	}
	return max(int(median(counts)), 2)
}

// smoothAlong smooths each line on its own with Gaussian weights.
func smoothAlong(readings [][]float64, reach float64) bendSmooth {
	s := bendSmooth{reach: reach}
	wide := int(bendCutOff * reach)
	for _, line := range readings {
		sum, weight := make([]float64, len(line)), make([]float64, len(line))
		for k, v := range line {
			if math.IsNaN(v) {
				continue
			}
			for i := max(k-wide, 0); i <= min(k+wide, len(line)-1); i++ {
				d := float64(i-k) / reach
				w := math.Exp(-d * d / 2)
				sum[i] += w * v
				weight[i] += w
			}
		}
		s.sum, s.weight = append(s.sum, sum), append(s.weight, weight)
	}
	return s
}

// estimateSigma takes the differences of neighbouring lines, in which what
// they share drops out.
func (s *bendSmooth) estimateSigma() {
	var d []float64
	for i := 1; i < len(s.sum); i++ {
		for k := range s.sum[i] {
			if s.weight[i][k] > leastLineWeight && s.weight[i-1][k] > leastLineWeight {
				d = append(d, math.Abs(s.sum[i][k]/s.weight[i][k]-s.sum[i-1][k]/s.weight[i-1][k]))
			}
		}
	}
	if len(d) >= leastBlocks {
		s.sigma = madUnit * median(d) / math.Sqrt2
		return
	}
	s.sigma = math.Inf(1)
}

// shared returns by how many mm the lines about a place miss their own places
// together, the largest of all reaches; false where no lines run close
// by, two at least within a reach.
func (b *bendFamily) shared(across, along float64) (mm miss, ok bool) {
	line, stretch := across/b.pitch-float64(b.first), int(math.Floor((along-b.low)/b.unit))
	if !b.near(&b.smooth[0], line, stretch) {
		return miss{}, false
	}
	for i := range b.smooth {
		v, seen := b.sharedOver(&b.smooth[i], line, stretch)
		ok = ok || seen
		mm = mm.larger(v)
	}
	return mm, ok
}

// near reports whether a line runs within its narrowest reach of a place.
func (b *bendFamily) near(s *bendSmooth, line float64, stretch int) bool {
	if stretch < 0 || len(s.sum) == 0 || stretch >= len(s.sum[0]) {
		return false
	}
	wide := s.reach / b.acrossInUnit
	for i := max(int(math.Ceil(line-wide)), 0); i <= min(int(line+wide), len(s.sum)-1); i++ {
		if s.weight[i][stretch] > leastLineWeight {
			return true
		}
	}
	return false
}

// sharedOver is what the lines within a reach of a place share; nothing when
// one line's being left out turns the sign, or brings it below bendSigmas
// standard errors.
func (b *bendFamily) sharedOver(s *bendSmooth, line float64, stretch int) (mm miss, ok bool) {
	wide := bendCutOff * s.reach / b.acrossInUnit
	var values, weights []float64
	weight, squares := 0.0, 0.0
	for i := max(int(math.Ceil(line-wide)), 0); i <= min(int(line+wide), len(s.sum)-1); i++ {
		own := s.weight[i][stretch]
		if own < leastLineWeight {
			continue
		}
		d := (float64(i) - line) * b.acrossInUnit / s.reach
		w := math.Exp(-d*d/2) * min(own, 1)
		v := s.sum[i][stretch] / own
		values, weights = append(values, v), append(weights, w)
		weight, squares = weight+w, squares+w*w
	}
	if len(values) < 2 || weight < 1 {
		return miss{}, false
	}
	mm = leastOfMeans(values, weights)
	if mm.least < bendSigmas*s.sigma*math.Sqrt(squares)/weight {
		return miss{}, true
	}
	return mm, true
}

// miss is what the lines of a family about a place miss their own places by,
// in mm, without its sign: the mean of all, and the least mean with any one
// line left out.
type miss struct{ mean, least float64 }

func (m miss) larger(other miss) miss {
	return miss{max(m.mean, other.mean), max(m.least, other.least)}
}

// leastOfMeans is the weighted mean of values and the one nearest to zero with
// any one left out; both 0 when leaving one out turns the sign.
func leastOfMeans(values, weights []float64) miss {
	sum, weight := 0.0, 0.0
	for i, v := range values {
		sum += weights[i] * v
		weight += weights[i]
	}
	mean := sum / weight
	out := miss{math.Abs(mean), math.Abs(mean)}
	for i, v := range values {
		m := (sum - weights[i]*v) / (weight - weights[i])
		if !(m*mean > 0) {
			return miss{}
		}
		out.least = min(out.least, math.Abs(m))
	}
	return out
}
