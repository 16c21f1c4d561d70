package edge

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"flatwright/rectify/photo"
)

// colour is a step or a level in the three channels.
type colour [3]float64

func (c colour) length() float64 { return math.Sqrt(c[0]*c[0] + c[1]*c[1] + c[2]*c[2]) }

// candidate is a step of brightness or colour across the chord.
type candidate struct {
	part, across float64
	step         colour
	strength     float64
}

const (
	// stations are looked at along a side.
	stations = 96
	// ends of the side, in parts, where corners may be rounded, turned down or
	// clicked short.
	ends = 0.02
	// perStation candidates are kept.
	perStation = 8
	// leastStep, in 8-bit levels, is a step worth keeping.
	leastStep = 5
	// stepReachPx is how many px on either side of a step are compared, and
	// stepGapPx how many lie between: the blur of the lens.
	stepReachPx, stepGapPx = 4, 1
)

// candidates gathers the steps across the chord.
func candidates(p *photo.Photo, f frame, o Options) []candidate {
	reach := int(math.Ceil(o.ReachPx))
	width := min(f.length/stations, 12)
	line := make([]colour, 2*reach+1)
	steps := make([]candidate, 0, 2*reach+1)
	var all []candidate
	for k := range stations {
		part := ends + (1-2*ends)*(float64(k)+0.5)/stations
		if !p.Inside(f.at(part, 0), 0) {
			continue
		}
		for i := range line {
			line[i] = colourAt(p, f, part, float64(i-reach), width)
		}
		steps = steps[:0]
		for i := stepReachPx + stepGapPx; i+stepReachPx+stepGapPx < len(line); i++ {
			c := candidate{part: part, across: float64(i - reach), step: stepAt(line, i)}
			c.strength = c.step.length()
			steps = append(steps, c)
		}
		all = append(all, strongest(steps)...)
	}
	return all
}

// colourAt is the mean colour over a short stretch along the chord.
func colourAt(p *photo.Photo, f frame, part, across, width float64) (c colour) {
	const n = 5
	for k := range n {
		at := f.at(part+(float64(k)/(n-1)-0.5)*width/f.length, across)
		v := nearest(p, at)
		for i := range c {
			c[i] += v[i] / n
		}
	}
	return c
}

func nearest(p *photo.Photo, at photo.Point) colour {
	x := min(max(int(math.Round(at.X)), 0), p.Width-1)
	y := min(max(int(math.Round(at.Y)), 0), p.Height-1)
	i := 3 * (y*p.Width + x)
	return colour{float64(p.RGB[i]), float64(p.RGB[i+1]), float64(p.RGB[i+2])}
}

func stepAt(line []colour, i int) (step colour) {
	for k := 1 + stepGapPx; k <= stepReachPx+stepGapPx; k++ {
		for c := range step {
			step[c] += (line[i+k-1][c] - line[i-k+1][c]) / stepReachPx
		}
	}
	return step
}

// strongest keeps the highest of the local maxima.
func strongest(steps []candidate) []candidate {
	var kept []candidate
	for i := 1; i+1 < len(steps); i++ {
		s := steps[i]
		if s.strength > leastStep && s.strength >= steps[i-1].strength && s.strength > steps[i+1].strength {
			kept = append(kept, s)
		}
	}
	slices.SortStableFunc(kept, func(a, b candidate) int { return cmp.Compare(b.strength, a.strength) })
	return kept[:min(len(kept), perStation)]
}

const (
	// draws is the number of curves tried.
	draws = 1500
	// agreePx is how far a step may lie from a curve that it agrees with.
	agreePx = 2.5
	// leastAgree stations must agree.
	leastAgree = stations * 3 / 10
)

// draw returns the curve that the most steps agree on. Steps count by the
// root of their strength, so that a strong thing lying across does not
// outweigh a faint edge; they add as colours, so that an edge with the same two sides along
// its length goes before a chance row of others.
func draw(steps []candidate, f frame, o Options) (bow, bool) {
	if len(steps) < leastAgree {
		return bow{}, false
	}
	random := rand.New(rand.NewPCG(5, 6))
	best, most := bow{}, 0.0
	for range draws {
		b, ok := drawn(random, steps)
		if !ok || !o.believes(b) {
			continue
		}
		if s := agreement(steps, b, o); s > most {
			best, most = b, s
		}
	}
	if most == 0 {
		return best, false
	}
	return tighten(steps, best)
}

func drawn(random *rand.Rand, steps []candidate) (bow, bool) {
	var part, across [3]float64
	for i := range 3 {
		c := steps[random.IntN(len(steps))]
		part[i], across[i] = c.part, c.across
	}
	if max(part[0], part[1], part[2])-min(part[0], part[1], part[2]) < 0.3 {
		return bow{}, false
	}
	return through(part, across)
}

// believes bounds where a curve's ends and middle may lie.
func (o Options) believes(b bow) bool {
	return math.Abs(b.at(0)) <= o.ReachPx && math.Abs(b.at(1)) <= o.ReachPx && math.Abs(b.at(0.5)) <= o.ReachPx
}

// agreement sums the steps along a curve, less the farther its ends lie from
// the corners given.
func agreement(steps []candidate, b bow, o Options) float64 {
	var sum colour
	for _, s := range steps {
		off := (s.across - b.at(s.part)) / agreePx
		if off*off > 1 {
			continue
		}
		w := (1 - off*off) / math.Sqrt(s.strength)
		for i := range sum {
			sum[i] += w * s.step[i]
		}
	}
	from, to := b.at(0)/o.CornerPx, b.at(1)/o.CornerPx
	return sum.length() / (1 + 0.25*(from*from+to*to))
}

// tighten fits the curve to the steps that agree.
func tighten(steps []candidate, b bow) (bow, bool) {
	terms := 3
	for round := range 3 {
		var part, across, weight []float64
		for _, s := range steps {
			if math.Abs(s.across-b.at(s.part)) < agreePx {
				part, across, weight = append(part, s.part), append(across, s.across), append(weight, 1)
			}
		}
		if len(part) < leastAgree {
			return b, false
		}
		if round == 2 {
			terms = 4
		}
		next, ok := fitBow(part, across, weight, terms)
		if !ok {
			return b, false
		}
		b = next
	}
	return b, true
}
