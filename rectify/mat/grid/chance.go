package grid

import "math"

// betweenPitch is a place between lines where no mat has another: not a
// half, third, quarter, fifth, eighth or tenth of the pitch.
const betweenPitch = 0.44

// chancePart is the part of the spans seen that may also be seen where there
// is no line.
const chancePart = 0.3

// beatsChance reports whether lines are seen where the lattice has them, and
// not nearly as often between: texture, grain, noise and lettering answer
// everywhere alike.
func (g *lattice) beatsChance() bool {
	spans := thin(g.spans(), 200)
	hits := 0
	for _, sp := range spans {
		for _, across := range []float64{betweenPitch, -betweenPitch} {
			if _, ok := g.probe(sp, across, 0.5*(0.5-betweenPitch)); ok {
				hits++
			}
		}
	}
	return float64(hits) < 2*chancePart*float64(len(spans)) && g.concentrated(spans)
}

// isGround reports whether the lattice took the strips of ground between
// lines of the other polarity for lines: halfway between its own, those then
// stand out more than these.
func (g *lattice) isGround() bool {
	other := *g
	other.pol = -g.pol
	var stronger, tried [2]int
	for _, sp := range thin(g.spans(), 200) {
		tried[sp.family]++
		got, ok := other.probe(sp, 0.5, 0.25)
		if ok && got.height > g.seen[sp].height {
			stronger[sp.family]++
		}
	}
	return stronger[0]*2 > tried[0] || stronger[1]*2 > tried[1]
}

// concentratedPart is the part of the reach within which half the spans must
// lie of their prediction. Chance would spread them evenly: half of them
// within half the reach.
const concentratedPart = 0.3

// concentrated reports whether the spans seen lie close to where the fitted
// model has them, against how far off they were looked for.
func (g *lattice) concentrated(spans []span) bool {
	var parts []float64
	for _, s := range spans {
		at, ok := g.model.ToMat(g.seen[s].at)
		if !ok {
			continue
		}
		pitch := g.stepAcross(s, 0)
		parts = append(parts, math.Abs(offLine(s, at))*pitch/reachPx(laterReachPitch, pitch))
	}
	return median(parts) < concentratedPart
}
