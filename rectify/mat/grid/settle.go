package grid

import (
	"context"
	"math"
)

// firstReachPitch and laterReachPitch are how far off its prediction a line
// may run, in pitches, in the seed's window and once a model has been fitted.
const (
	firstReachPitch = 0.2
	laterReachPitch = 0.15
)

// settle probes the spans of the seed's own window and refits; false when too
// few lines are really there.
func (g *lattice) settle(ctx context.Context, s seed) bool {
	box := g.boxAround(s)
	// A part of a large box tells already that there is nothing.
	if first := thin(box, firstLook); len(first) < len(box) {
		tried, hits := g.look(first)
		if hits*firstTimes < tried {
			return false
		}
	}
	tried, _ := g.look(box)
	if len(g.seen) < 8 || len(g.seen)*4 < tried || !g.bothFamilies(2) {
		return false
	}
	g.raiseFloor()
	if !g.beatsChance() {
		return false
	}
	return g.refit(ctx) == nil
}

const (
	// firstLook is how many spans of a seed's window are probed first, and one
	// in firstTimes how many of them must be there: well below what is asked
	// for of all. An odd number, so that it takes from both families.
	firstLook  = 251
	firstTimes = 7
)

// look probes spans for the first time and keeps those met; tried are those
// the model can place.
func (g *lattice) look(spans []span) (tried, hits int) {
	for _, sp := range spans {
		if _, ok := g.course(sp, 0); !ok {
			continue
		}
		tried++
		if got, ok := g.probe(sp, 0, firstReachPitch); ok {
			g.seen[sp] = got
			hits++
		}
	}
	return tried, hits
}

// boxAround lists the spans between the teeth of a seed's combs.
func (g *lattice) boxAround(s seed) []span {
	lo, hi := [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for _, x := range []float64{-1, 1} {
		for _, y := range []float64{-1, 1} {
			at, ok := g.model.ToMat(g.lvl.toPhoto(s.win.cx+x*s.win.half, s.win.cy+y*s.win.half))
			if !ok {
				continue
			}
			lo[0], hi[0] = min(lo[0], int(math.Floor(at.X))), max(hi[0], int(math.Ceil(at.X)))
			lo[1], hi[1] = min(lo[1], int(math.Floor(at.Y))), max(hi[1], int(math.Ceil(at.Y)))
		}
	}
	return spansIn(lo, hi)
}
