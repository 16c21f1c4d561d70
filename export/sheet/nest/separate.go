package nest

import "math"

// separate moves overlapping items until nothing overlaps. It gives up, and
// leaves the layout with the least overlap seen, when rounds no longer help.
func (s *solver) separate(l *layout) bool {
	l.resetWeights()
	best := l.snapshot()
	for range s.tuning.strikes {
		start, idle := best.overlap, 0
		for idle < s.tuning.idle {
			if s.over() {
				l.restore(best)
				return false
			}
			s.round(l)
			total := l.total()
			if total == 0 {
				return true
			}
			if total < best.overlap {
				if total < 0.98*best.overlap {
					idle = 0
				}
				best = l.snapshot()
			} else {
				idle++
			}
			s.reweigh(l)
		}
		if !(best.overlap < 0.98*start) {
			break
		}
		l.restore(best)
	}
	l.restore(best)
	return false
}

// round moves every item that overlaps once, in random order.
func (s *solver) round(l *layout) {
	s.store.trim()
	order := s.order[:0]
	for i := range s.movable {
		if l.sum[i] > 0 {
			order = append(order, i)
		}
	}
	s.order = order
	s.rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	for _, i := range order {
		if l.sum[i] == 0 {
			continue
		}
		if s.over() {
			return
		}
		s.moves++
		if best, better := s.seeker.search(l, i); better {
			l.move(i, best.pose())
		}
	}
}

// reweigh makes pairs that overlap heavier, those that overlap most most, and
// the others lighter.
func (s *solver) reweigh(l *layout) {
	most := 0.0
	for _, v := range l.overlap {
		most = math.Max(most, v)
	}
	if most == 0 {
		return
	}
	for k, v := range l.overlap {
		if v > 0 {
			l.weight[k] *= 1.2 + 0.8*v/most
		} else if l.weight[k] > 1 {
			l.weight[k] = math.Max(1, l.weight[k]*0.95)
		}
	}
}
