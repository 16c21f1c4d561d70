package curve

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// cornerCut is the place found so far at which two sides of a corner are cut off:
// the one that takes least off.
type cornerCut struct {
	a, b    *offsetSide
	leastMM float64
	cut     func()
}

// nearestCut finds where two sides of a corner are cut off, or one is prolonged
// to cut the other; nil when they do not meet. U and v are how far a goes on and b
// has gone to where their directions meet. A side that ends before the other by
// no more than touchMM meets it: beside a right angle it ends on the other's line,
// but for the tolerance of their chords.
func nearestCut(a, b *offsetSide, u, v, touchMM float64) func() {
	c := &cornerCut{a: a, b: b, leastMM: math.Inf(1)}
	c.cross()
	c.prolong(u, v, touchMM)
	if c.cut == nil {
		c.pass()
	}
	return c.cut
}

// take takes a cut that takes so much off, when none before took less.
func (c *cornerCut) take(mm float64, cut func()) {
	if mm < c.leastMM {
		c.leastMM, c.cut = mm, cut
	}
}

// offA and offB are what a cut at x takes off: of a behind its chord i, of b
// before its chord j.
func (c *cornerCut) offA(i int, x mat.Point) float64 {
	return dist(x, c.a.q[i+1]) + pathMM(c.a.q[i+1:])
}

func (c *cornerCut) offB(j int, x mat.Point) float64 {
	return pathMM(c.b.q[:j+1]) + dist(x, c.b.q[j])
}

// cross looks where the sides cross.
func (c *cornerCut) cross() {
	a, b := c.a, c.b
	for i := len(a.q) - 2; i >= 0; i-- {
		for j := 0; j+1 < len(b.q); j++ {
			if x, hit := chordsMeet(a.q[i], a.q[i+1], b.q[j], b.q[j+1]); hit {
				c.take(c.offA(i, x)+c.offB(j, x), func() { a.cutAfter(i, x); b.cutBefore(j, x) })
			}
		}
	}
}

// prolong looks where one side is prolonged to the other. It may reach somewhat
// further than to where the directions meet, since the other bends, and by a
// quarter of the gap where they curl. Where it reaches beyond by a hair it ends
// there.
func (c *cornerCut) prolong(u, v, touchMM float64) {
	a, b := c.a, c.b
	pa, pb := a.q[len(a.q)-1], b.q[0]
	more := math.Max(wiggleMM, dist(pa, pb)/4)
	from, to := along(pa, a.out, -touchMM), along(pa, a.out, 4*math.Max(u, 0)+more)
	for j := 0; j+1 < len(b.q); j++ {
		if x, hit := chordsMeet(from, to, b.q[j], b.q[j+1]); hit {
			c.take(dist(pa, x)+c.offB(j, x), func() {
				b.cutBefore(j, x)
				if dot(sub(x, pa), a.out) < 0 {
					a.q[len(a.q)-1] = x
				}
			})
		}
	}
	from, to = along(pb, b.in, touchMM), along(pb, b.in, -4*math.Max(-v, 0)-more)
	for i := len(a.q) - 2; i >= 0; i-- {
		if x, hit := chordsMeet(from, to, a.q[i], a.q[i+1]); hit {
			c.take(dist(pb, x)+c.offA(i, x), func() {
				a.cutAfter(i, x)
				if dot(sub(x, pb), b.in) > 0 {
					b.q[0] = x
				}
			})
		}
	}
}

// pass looks where sides pass each other by, as they do that curl at the corner:
// ends of their chords that lie within a wiggle of each other are taken for one
// place.
func (c *cornerCut) pass() {
	a, b := c.a, c.b
	for i := len(a.q) - 1; i > 0; i-- {
		for j := 0; j+1 < len(b.q); j++ {
			if p, q := a.q[i], b.q[j]; dist(p, q) <= wiggleMM {
				x := along(p, sub(q, p), 0.5)
				c.take(pathMM(a.q[i:])+pathMM(b.q[:j+1]), func() { a.cutAfter(i-1, x); b.cutBefore(j, x) })
			}
		}
	}
}

// pathMM is the length of a chain of points.
func pathMM(q []mat.Point) float64 {
	sum := 0.0
	for i := 1; i < len(q); i++ {
		sum += dist(q[i-1], q[i])
	}
	return sum
}

// cutAfter ends the side at x on its chord i.
func (s *offsetSide) cutAfter(i int, x mat.Point) {
	s.q = append(s.q[:i+1:i+1], x)
	s.travel = s.travel[:i+2]
}

// cutBefore begins the side at x on its chord j.
func (s *offsetSide) cutBefore(j int, x mat.Point) {
	s.q = append([]mat.Point{x}, s.q[j+1:]...)
	s.travel = s.travel[j:]
}

// bridge takes out the small steps back that a side makes over wiggles and whose
// chords do not cross: it goes straight on from before the step to behind it, as
// far as it must and as the path strays from straight by no more than a wiggle
// between. A true bend strays further, and is left to be refused.
func (s *offsetSide) bridge() {
	for i := 1; i < len(s.q); i++ {
		if !s.backwards(i) {
			continue
		}
		for w := 1; ; w++ {
			from, to := i-1-w, i+w
			if from < 0 || to >= len(s.q) || s.strays(from, to) > wiggleMM {
				break
			}
			if dot(sub(s.q[to], s.q[from]), sub(s.base[to], s.base[from])) <= 0 {
				continue
			}
			s.q, s.base, s.travel = slices.Delete(s.q, from+1, to), slices.Delete(s.base, from+1, to), slices.Delete(s.travel, from+1, to)
			i = max(0, from-1)
			break
		}
	}
}

// tidy takes out steps back of no more than a hair, which corners leave that are
// cut where sides touch. The side's ends stay.
func (s *offsetSide) tidy(hairMM float64) {
	for i := 1; i < len(s.q) && len(s.q) > 2; i++ {
		if !s.backwards(i) || dist(s.q[i-1], s.q[i]) > hairMM {
			continue
		}
		gone := max(1, i-1)
		s.q, s.travel = slices.Delete(s.q, gone, gone+1), slices.Delete(s.travel, gone, gone+1)
		i = 0
	}
}

// strays is how far the path strays from its chord between two points.
func (s *offsetSide) strays(from, to int) float64 {
	worst := 0.0
	for k := from + 1; k < to; k++ {
		worst = math.Max(worst, pointToChord(s.base[k], s.base[from], s.base[to]))
	}
	return worst
}

// trimEnds takes off what runs backwards at either end of a side while the path
// itself is no longer there than a wiggle: a traced curve may curl within its
// last tenth of a millimetre, and would then turn the whole corner round.
func (s *offsetSide) trimEnds() {
	n := len(s.q)
	last := n - 1
	for last > 1 && s.backwards(last) && pathMM(s.base[last-1:]) <= wiggleMM {
		last--
	}
	first := 0
	for first < last-1 && s.backwards(first+1) && pathMM(s.base[:first+2]) <= wiggleMM {
		first++
	}
	if first > 0 {
		s.in, s.first = s.travel[first], s.travel[first]
	}
	if last < n-1 {
		s.out, s.last = s.travel[last], s.travel[last]
	}
	s.q, s.base, s.travel = s.q[first:last+1], s.base[first:last+1], s.travel[first:last+1]
	if dot(s.in, s.first) < 0 {
		s.in = s.first
	}
	if dot(s.out, s.last) < 0 {
		s.out = s.last
	}
}

// backwards reports whether the side runs against the path from the point before
// one to it.
func (s *offsetSide) backwards(i int) bool {
	return dot(sub(s.q[i], s.q[i-1]), add(s.travel[i-1], s.travel[i])) <= 0
}
