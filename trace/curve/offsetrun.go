package curve

import (
	"math"

	"flatwright/rectify/mat"
)

const (
	// runOnTurnRad is the change of direction up to which two segments belong
	// to one side: a traced edge has small kinks that are no corners.
	runOnTurnRad = 10 * math.Pi / 180
	// wiggleMM is how far a traced edge may stray from straight in a bend that
	// is too tight for the distance, and still count as a wiggle of the
	// tracing: no leaning blade follows it.
	wiggleMM = 0.3
)

// runOn makes one side of segments that go on into each other at one
// distance, so that a corner may cut off more than the segment next to it.
func runOn(sides []offsetSide) []offsetSide {
	out := sides[:1:1]
	for _, b := range sides[1:] {
		a := &out[len(out)-1]
		bend := math.Abs(turn(a.last, b.first))
		pa, pb := a.q[len(a.q)-1], b.q[0]
		reach := dist(a.base[len(a.base)-1], pa)
		if bend >= runOnTurnRad || dist(pa, pb) > 1.01*bend*reach+1e-9 {
			out = append(out, b)
			continue
		}
		for k := range b.q {
			if k == 0 && dist(pa, pb) <= 1e-9 {
				continue
			}
			a.q, a.travel, a.base = append(a.q, b.q[k]), append(a.travel, b.travel[k]), append(a.base, b.base[k])
		}
		a.out, a.last = b.out, b.last
	}
	return out
}

// unloop cuts out the loops that an offset makes over wiggles: where a side
// crosses itself and the path itself hardly bends between. Loops over true
// bends are left, to be refused.
func (s *offsetSide) unloop() {
	for i := 0; i+1 < len(s.q); i++ {
		for j := s.wiggleEnd(i); j > i+1; j-- {
			if j+1 >= len(s.q) {
				continue
			}
			x, hit := chordsMeet(s.q[i], s.q[i+1], s.q[j], s.q[j+1])
			if !hit {
				continue
			}
			s.q = cutOut(s.q, i+1, j+1, x)
			s.base = cutOut(s.base, i+1, j+1, s.base[i+1])
			s.travel = cutOut(s.travel, i+1, j+1, s.travel[j])
			break
		}
	}
}

// wiggleEnd returns the last point up to which the path strays from its chord
// from point i on by no more than a wiggle.
func (s *offsetSide) wiggleEnd(i int) int {
	end := i
	for j := i + 2; j < len(s.base); j++ {
		if s.strays(i, j) > wiggleMM {
			return end
		}
		end = j
	}
	return end
}

// cutOut replaces points from..to-1 by one.
func cutOut(q []mat.Point, from, to int, by mat.Point) []mat.Point {
	out := append(q[:from:from], by)
	return append(out, q[to:]...)
}
