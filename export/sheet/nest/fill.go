package nest

import (
	"cmp"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// bySize returns the movable items, the largest first.
func (s *solver) bySize() []int {
	order := make([]int, s.movable)
	for i := range order {
		order[i] = i
	}
	size := func(i int) float64 {
		k := s.kinds[s.items[i]]
		return k.radius * math.Sqrt(k.areaMM2)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	return order
}

// fill places the items one after the other, each in the first bin with room
// and there as far towards x = 0 as it goes (bottom-left fill along scan
// lines). It returns those that found none.
func (s *solver) fill(l *layout, order []int) (left []int) {
	for i := range s.movable {
		l.poses[i].bin = -1
	}
	for k := range s.fixed {
		l.poses[s.movable+k] = s.fixed[k]
	}
	for _, i := range order {
		if s.ctx.Err() != nil || !s.fillOne(l, i) {
			left = append(left, i)
		}
	}
	return left
}

func (s *solver) fillOne(l *layout, i int) bool {
	for bin := range l.bins {
		if p, ok := s.leftmost(l, i, bin); ok {
			l.poses[i] = p
			return true
		}
	}
	return false
}

// fillTurns bounds how many turns are tried per item, and scanLines how many
// lines per turn.
const (
	fillTurns = 8
	scanLines = 80
)

// leftmost returns the free place nearest x = 0 that the scan lines of a bin
// show for an item.
func (s *solver) leftmost(l *layout, i, bin int) (pose, bool) {
	k := s.seeker
	k.begin()
	best, found := pose{}, false
	bestX := math.Inf(1)
	turns := s.kinds[s.items[i]].turns
	step := max(1, len(turns)/fillTurns)
	for t := 0; t < len(turns); t += step {
		f := k.frame(l, i, bin, turns[t])
		if f == nil {
			continue
		}
		maxX := s.boxes[s.items[i]][f.turn].MaxX
		for _, y := range s.scanLines(f) {
			x := s.firstFree(f, y, bestX-maxX)
			if x <= f.room.maxX && x+maxX < bestX-1e-9*s.meanRadius {
				bestX, found = x+maxX, true
				best = pose{bin: bin, turn: f.turn, at: mat.Point{X: x, Y: y}}
			}
		}
	}
	return best, found
}

// scanLines returns the y at which an item may come to lie: at the borders,
// above and below what is there, and some in between.
func (s *solver) scanLines(f *frame) []float64 {
	ys := []float64{f.room.minY, f.room.maxY}
	for i := range f.entries {
		e := &f.entries[i]
		ys = append(ys, e.minY-s.hair, e.maxY+s.hair)
	}
	const between = 24
	for i := 1; i < between; i++ {
		ys = append(ys, f.room.minY+(f.room.maxY-f.room.minY)*float64(i)/between)
	}
	ys = slices.DeleteFunc(ys, func(y float64) bool { return y < f.room.minY || y > f.room.maxY })
	slices.Sort(ys)
	ys = slices.Compact(ys)
	for len(ys) > scanLines {
		kept := ys[:0]
		for i, y := range ys {
			if i%2 == 0 {
				kept = append(kept, y)
			}
		}
		ys = kept
	}
	return ys
}

// firstFree returns the least x on a line at which nothing overlaps; anything
// beyond limit when there is none up to it.
func (s *solver) firstFree(f *frame, y, limit float64) float64 {
	x := f.room.minX
	for again := true; again && x <= limit; {
		again = false
		for i := range f.entries {
			e := &f.entries[i]
			if x <= e.minX || x >= e.maxX || y <= e.minY || y >= e.maxY {
				continue
			}
			if next := s.pass(e, x, y); next > x {
				x, again = next, true
			}
		}
	}
	return x
}

// pass returns the least x from the given one on at which an item is out of
// another, along one line.
func (s *solver) pass(e *entry, x, y float64) float64 {
	for again := true; again; {
		again = false
		u, v := e.local(s.store, x, y)
		for i := range e.noFit.parts {
			p := &e.noFit.parts[i]
			from, to := p.span(u, v, e.cos, -e.sin)
			if from < 0 && to > 0 {
				x += to + s.hair
				u, v = e.local(s.store, x, y)
				again = true
			}
		}
	}
	return x
}
