package lens

import (
	"math"

	"flatwright/rectify/mat"
)

// Bend is what neighbouring lines miss the fit by together: a mat that does
// not lie flat, or is printed unevenly. The zero Bend means none was seen, or
// too few lines to see one.
type Bend struct {
	// RMSMM is the root mean square of the shared miss over the lines used.
	RMSMM float64
	// WorstMM is its largest size, and At the place on the mat. It is what
	// the flat fit leaves, so the error in the place itself; the lens terms
	// and the tilt take up a part of a wide bend.
	WorstMM float64
	At      mat.Point
}

const (
	// bendStretchPitches is the length of the stretches of line whose median
	// counts as one reading.
	bendStretchPitches = 2
	// bendReachPitches is the standard deviation of the smoothing, or
	// 1/bendReachPart of the field when the lines are closer.
	bendReachPitches = 1.5
	bendReachPart    = 18
	// bendCutOff is where the smoothing ends, in standard deviations.
	bendCutOff = 2.5
	// leastBendWeight is the weight of readings below which a place is not
	// judged; a reading at the place itself weighs 1.
	leastBendWeight = 0.8
	// bendSteps is the fineness of the search.
	bendSteps = 20
	// leastBendLines of each family are needed.
	leastBendLines = 5
	// strayPart is the part of a pitch beyond which a sample says nothing of
	// its line: it may lie on another.
	strayPart = 0.3
)

// Bend returns the smooth part of the residuals that the lines share and no
// lens explains. The odd-numbered and the even-numbered lines are smoothed
// apart, and what both agree on counts: the noise of samples, the errors of
// single printed lines and writing on the mat are not shared and drop out.
// Samples set aside take part, since a mat that stands up sets them aside.
func (f *Fit) Bend() Bend {
	if f.Crossings != nil || f.cam.scalePx == 0 {
		return Bend{}
	}
	b := f.bendField()
	if b == nil {
		return Bend{}
	}
	low, high := bounds(f.Hull)
	var out Bend
	sum, n := 0.0, 0.0
	for r := range bendSteps {
		for c := range bendSteps {
			at := mat.Point{
				X: low.X + (high.X-low.X)*(float64(c)+0.5)/bendSteps,
				Y: low.Y + (high.Y-low.Y)*(float64(r)+0.5)/bendSteps,
			}
			product, shared, ok := b.at(at)
			if !ok {
				continue
			}
			sum += product
			n++
			if shared > out.WorstMM {
				out.WorstMM, out.At = shared, at
			}
		}
	}
	out.RMSMM = math.Sqrt(max(sum/max(n, 1), 0))
	return out
}

// bendReading is how far a stretch of a printed line lies from its place.
type bendReading struct {
	at mat.Point
	mm float64
}

// bendField holds the readings by family and by the line's parity.
type bendField struct {
	readings [2][2][]bendReading
	reachMM  float64
}

type stretchKey struct {
	line    lineKey
	stretch int
}

// bendField gathers the readings; nil when there are too few lines.
func (f *Fit) bendField() *bendField {
	stretches := map[stretchKey][]float64{}
	lines := map[lineKey]bool{}
	for _, list := range [2][]mat.LinePoint{f.Points, f.Rejected} {
		for _, p := range list {
			k, mm, ok := f.bendSample(p)
			if !ok {
				continue
			}
			stretches[k] = append(stretches[k], mm)
			lines[k.line] = true
		}
	}
	var count [2]int
	for k := range lines {
		count[familyIndex(k.family)]++
	}
	if min(count[0], count[1]) < leastBendLines {
		return nil
	}
	low, high := bounds(f.Hull)
	b := &bendField{reachMM: max(
		bendReachPitches*max(f.Pitch.XMM, f.Pitch.YMM),
		max(high.X-low.X, high.Y-low.Y)/bendReachPart,
	)}
	for k, all := range stretches {
		if len(all) < leastInBlock {
			continue
		}
		family, odd := familyIndex(k.line.family), k.line.index&1
		b.readings[family][odd] = append(b.readings[family][odd], bendReading{f.stretchMiddle(k), median(all)})
	}
	return b
}

// bendSample returns the stretch a sample lies on and its distance in mm from
// its line's place.
func (f *Fit) bendSample(p mat.LinePoint) (k stretchKey, mm float64, ok bool) {
	on, ok := f.ToMat(p.At)
	if !ok {
		return k, 0, false
	}
	across, along, pitch := on.X, on.Y, f.Pitch.YMM
	if familyIndex(p.Family) == 1 {
		across, along, pitch = on.Y, on.X, f.Pitch.XMM
	}
	mm = across - float64(p.Index)*f.Pitch.Of(p.Family)
	if !(math.Abs(mm) < strayPart*f.Pitch.Of(p.Family)) {
		return k, 0, false
	}
	return stretchKey{lineOf(p), int(math.Floor(along / (bendStretchPitches * pitch)))}, mm, true
}

func (f *Fit) stretchMiddle(k stretchKey) mat.Point {
	across := float64(k.line.index)
	along := bendStretchPitches * (float64(k.stretch) + 0.5)
	if familyIndex(k.line.family) == 0 {
		return f.Pitch.At(across, along)
	}
	return f.Pitch.At(along, across)
}

// at returns the product of the two halves' smooth miss in mm², summed over
// both directions, and the length in mm of what they agree on.
func (b *bendField) at(at mat.Point) (product, sharedMM float64, ok bool) {
	squares := 0.0
	for family := range 2 {
		odd, ok1 := b.smooth(b.readings[family][1], at)
		even, ok2 := b.smooth(b.readings[family][0], at)
		if !ok1 || !ok2 {
			return 0, 0, false
		}
		product += odd * even
		if odd*even > 0 {
			s := min(math.Abs(odd), math.Abs(even))
			squares += s * s
		}
	}
	return product, math.Sqrt(squares), true
}

// smooth returns the mean reading about a place with Gaussian weights; false
// where there is too little.
func (b *bendField) smooth(readings []bendReading, at mat.Point) (float64, bool) {
	sum, weights := 0.0, 0.0
	limit := bendCutOff * bendCutOff
	for i := range readings {
		dx, dy := (readings[i].at.X-at.X)/b.reachMM, (readings[i].at.Y-at.Y)/b.reachMM
		r := dx*dx + dy*dy
		if r > limit {
			continue
		}
		w := math.Exp(-r / 2)
		sum += w * readings[i].mm
		weights += w
	}
	return sum / weights, weights >= leastBendWeight
}

func bounds(points []mat.Point) (low, high mat.Point) {
	if len(points) == 0 {
		return low, high
	}
	low, high = points[0], points[0]
	for _, c := range points {
		low = mat.Point{X: min(low.X, c.X), Y: min(low.Y, c.Y)}
		high = mat.Point{X: max(high.X, c.X), Y: max(high.Y, c.Y)}
	}
	return low, high
}
