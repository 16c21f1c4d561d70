package nest

import (
	"math"
)

// exploreShare is the part of the budget in which the strip is shortened in
// long steps; the rest goes to short ones.
const exploreShare = 0.75

// packStrip makes the strip as short as it can in the time.
func (s *solver) packStrip() {
	l := newLayout(s)
	left := s.fill(l, s.bySize())
	l.measure()
	s.keep(l, left)
	if len(left) > 0 {
		return
	}
	if s.movable < 2 {
		return
	}
	s.explore(l)
	s.compress(l)
}

// keep takes a layout without overlaps as the best, less what is left.
func (s *solver) keep(l *layout, left []int) {
	last := l.bins - 1
	reach := s.reach(l.poses, last)
	if s.p.Bins == nil {
		l.lengths[last] = reach
	}
	s.best = l.snapshot()
	s.best.left, s.best.reach = left, reach
	s.tell()
}

// By how much the strip is shortened at a time while exploring, as a share of
// its length: more after each success, half after a failure.
const (
	longestStep  = 0.03
	shortestStep = 0.003
)

// explore shortens the strip in steps. Where that fails it goes on from one of
// the layouts that came close, with two large items exchanged.
func (s *solver) explore(l *layout) {
	step := longestStep
	patient := s.tuning
	defer func() { s.tuning = patient }()
	var near []snapshot
	try := func() bool { return s.shorten(l, s.best.lengths[0]*(1-step)) }
	if !try() {
		return
	}
	for s.share() < exploreShare && !s.over() {
		s.tuning = patient
		if step > shortestStep {
			// Long steps succeed soon or not at all.
			s.tuning.idle, s.tuning.strikes = 20, 1
		}
		done := s.separate(l)
		if done {
			s.keep(l, nil)
			step = math.Min(longestStep, 1.25*step)
		}
		if s.meet() || done {
			near = near[:0]
			l.restore(s.best)
			if !try() {
				return
			}
			continue
		}
		if step > shortestStep {
			step = math.Max(shortestStep, step/2)
			near = near[:0]
			l.restore(s.best)
			if !try() {
				return
			}
			continue
		}
		near = s.tryAnother(l, near)
	}
}

// tryAnother takes the layout among those that came close and goes on from one
// of them, closer ones likelier, with two large items exchanged.
func (s *solver) tryAnother(l *layout, near []snapshot) []snapshot {
	near = insertByOverlap(near, l.snapshot())
	pick := int(math.Abs(s.rng.NormFloat64()) * 0.25 * float64(len(near)))
	l.restore(near[min(pick, len(near)-1)])
	s.exchange(l)
	return near
}

const keptNear = 20

func insertByOverlap(list []snapshot, n snapshot) []snapshot {
	list = append(list, n)
	for i := len(list) - 1; i > 0 && list[i].overlap < list[i-1].overlap; i-- {
		list[i], list[i-1] = list[i-1], list[i]
	}
	return list[:min(len(list), keptNear)]
}

// exchange swaps the places of two items, large and not of one kind.
func (s *solver) exchange(l *layout) {
	order := s.bySize()
	n := len(order)
	top := max(2, n/2)
	for range 30 {
		a, b := order[s.rng.IntN(top)], order[s.rng.IntN(top)]
		if s.items[a] == s.items[b] {
			continue
		}
		pa, pb := l.poses[a], l.poses[b]
		s.put(l, a, pb)
		s.put(l, b, pa)
		break
	}
	l.measure()
}

// put lays an item about where a pose says, inside its bin; false when it was
// found to fit there at no turn.
func (s *solver) put(l *layout, i int, p pose) bool {
	turns := s.kinds[s.items[i]].turns
	for range 20 {
		t := turns[s.rng.IntN(len(turns))]
		if r, ok := s.roomFor(i, t, p.bin, l.lengths[p.bin]); ok {
			p.turn = t
			p.at.X, p.at.Y = r.clamp(p.at.X, p.at.Y)
			l.poses[i] = p
			return true
		}
	}
	return false
}

// compress shortens the strip in ever smaller steps from the best layout.
func (s *solver) compress(l *layout) {
	from := s.share()
	t := s.tuning
	defer func() { s.tuning = t }()
	s.tuning.idle, s.tuning.strikes = 30, 2
	for !s.over() {
		part := (s.share() - from) / math.Max(1e-9, 1-from)
		step := 0.0005 * math.Pow(0.02, part)
		l.restore(s.best)
		if !s.shorten(l, s.best.lengths[0]*(1-step)) {
			return
		}
		if s.separate(l) {
			s.keep(l, nil)
		}
		s.meet()
	}
}

// shorten moves the far border in: what lies beyond a random line is shifted,
// and all is kept inside or goes to another bin. It reports whether that could
// be done.
func (s *solver) shorten(l *layout, length float64) bool {
	last := l.bins - 1
	cut := l.lengths[last] - length
	at := s.rng.Float64() * length
	l.lengths[last] = length
	for i := range s.movable {
		p := &l.poses[i]
		if p.bin != last {
			continue
		}
		if p.at.X > at {
			p.at.X -= cut
		}
		if !s.keepInside(l, i) {
			return false
		}
	}
	l.measure()
	return true
}

// keepInside shifts an item into its bin, turned otherwise if need be, or into
// another.
func (s *solver) keepInside(l *layout, i int) bool {
	p := &l.poses[i]
	if r, ok := s.roomFor(i, p.turn, p.bin, l.lengths[p.bin]); ok {
		p.at.X, p.at.Y = r.clamp(p.at.X, p.at.Y)
		return true
	}
	return s.put(l, i, *p) || s.putAnywhere(l, i)
}
