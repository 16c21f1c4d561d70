package nest

import (
	"math"
	"slices"
)

// Shares of the budget: by what time pieces that found no room must have been
// squeezed in, and by what time a bin must have been emptied.
const (
	squeezeShare = 0.4
	emptyShare   = 0.6
)

// packBins fills the bins one after the other, then tries to do without the
// last as often as it can, and last draws together what the last one holds.
func (s *solver) packBins() {
	l := newLayout(s)
	left := s.fill(l, s.bySize())
	s.useBins(l)
	l.measure()
	s.keep(l, left)
	if len(left) > 0 {
		s.squeeze(l)
	}
	for len(s.best.left) == 0 && s.emptyLast(l) {
	}
	if !s.p.KeepLast && s.best.bins > 0 && !s.over() {
		s.drawTogether(l)
	}
}

// useBins leaves the layout with the bins up to the last that holds something.
func (s *solver) useBins(l *layout) {
	l.bins = 0
	for _, p := range l.poses[:s.movable] {
		l.bins = max(l.bins, p.bin+1)
	}
}

// squeeze tries to find room for what is left, one item at a time.
func (s *solver) squeeze(l *layout) {
	for _, i := range s.best.left {
		if !slices.Contains(s.best.left, i) {
			continue
		}
		l.restore(s.best)
		l.bins = len(l.lengths)
		if s.over() || s.share() > squeezeShare || !s.roomInBins(l) || !s.putAnywhere(l, i) {
			return
		}
		l.measure()
		if s.separate(l) {
			s.useBins(l)
			s.keep(l, slices.DeleteFunc(slices.Clone(s.best.left), func(k int) bool { return k == i }))
		}
		s.meet()
	}
}

// roomInBins reports whether all items might fit into the bins that the layout
// may use, by area alone.
func (s *solver) roomInBins(l *layout) bool {
	room := 0.0
	for b := range l.bins {
		m := s.p.MarginMM
		room += (l.lengths[b] - 2*m) * (s.widths[b] - 2*m)
	}
	for k, f := range s.fixed {
		if f.bin < l.bins {
			room -= s.insideMM2(s.movable+k, f.bin)
		}
	}
	for i, p := range l.poses[:s.movable] {
		if p.bin >= 0 {
			room -= s.kinds[s.items[i]].areaMM2
		}
	}
	return room >= 0
}

// insideMM2 returns a lower bound of a blocked part's area inside its bin: none
// for one that reaches out of it, for its share inside is not known.
func (s *solver) insideMM2(item, bin int) float64 {
	f := s.fixed[item-s.movable]
	k := s.kinds[s.items[item]]
	b := s.boxes[s.items[item]][0]
	if f.at.X+b.MinX < 0 || f.at.Y+b.MinY < 0 || f.at.X+b.MaxX > s.lengths[bin] || f.at.Y+b.MaxY > s.widths[bin] {
		return 0
	}
	return k.areaMM2
}

// emptyLast tries to do without the last bin in use; on success that is the
// best layout.
func (s *solver) emptyLast(l *layout) bool {
	if s.best.bins < 2 {
		return false
	}
	l.restore(s.best)
	l.bins--
	if !s.roomInBins(l) {
		return false
	}
	for i := range s.movable {
		if l.poses[i].bin == l.bins && !s.putAnywhere(l, i) {
			return false
		}
	}
	l.measure()
	var near []snapshot
	for s.share() < emptyShare && !s.over() {
		bins := s.best.bins
		done := s.separate(l)
		if done {
			s.useBins(l)
			s.keep(l, nil)
		}
		if s.meet() && s.best.bins < bins || done {
			return true
		}
		s.tell()
		near = s.tryAnother(l, near)
	}
	return false
}

// putAnywhere lays an item somewhere in one of the bins that may be used.
func (s *solver) putAnywhere(l *layout, i int) bool {
	for _, b := range s.rng.Perm(l.bins) {
		turns := s.kinds[s.items[i]].turns
		for _, t := range s.rng.Perm(len(turns)) {
			r, ok := s.roomFor(i, turns[t], b, l.lengths[b])
			if !ok {
				continue
			}
			p := pose{bin: b, turn: turns[t]}
			p.at.X = r.minX + s.rng.Float64()*(r.maxX-r.minX)
			p.at.Y = r.minY + s.rng.Float64()*(r.maxY-r.minY)
			l.poses[i] = p
			return true
		}
	}
	return false
}

// drawTogether makes what the last bin holds as short as it can; pieces may go
// over to other bins.
func (s *solver) drawTogether(l *layout) {
	step := 0.05
	for from := s.share(); !s.over(); {
		l.restore(s.best)
		last := l.bins - 1
		reach := s.reach(l.poses, last)
		if reach <= s.shortest(l, last)*(1+1e-6) {
			return
		}
		l.lengths[last] = reach
		if !s.shorten(l, reach*(1-step)) {
			return
		}
		if s.separate(l) {
			l.lengths[last] = s.lengths[last]
			s.useBins(l)
			s.keep(l, nil)
			s.meet()
			continue
		}
		s.meet()
		s.tell()
		part := (s.share() - from) / math.Max(1e-9, 1-from)
		step = math.Max(step*0.7, 0.002*(1-part)+0.0002)
	}
}

// shortest returns the least length in which every item of a bin fits alone.
func (s *solver) shortest(l *layout, bin int) float64 {
	need := 0.0
	for i, p := range l.poses[:s.movable] {
		if p.bin != bin {
			continue
		}
		least := math.Inf(1)
		for _, t := range s.kinds[s.items[i]].turns {
			if b := s.boxes[s.items[i]][t]; b.Height() <= s.widths[bin]-2*s.p.MarginMM {
				least = math.Min(least, b.Width()+2*s.p.MarginMM)
			}
		}
		need = math.Max(need, least)
	}
	return need
}
