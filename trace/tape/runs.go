package tape

import (
	"math"
)

// narrowestMM is the least width of a strip; what is narrower is a frayed or
// curled edge.
const narrowestMM = 2.6

// span is a stretch of columns, from first up to (not with) last; last may lie
// past the end of the outline.
type span struct{ first, last int }

// runs returns the strips of the piece, along the outline.
func (s *stripe) runs() []Run {
	var out []Run
	for _, b := range s.spans() {
		colour := s.medianOf(b, s.edge)
		from, to := s.endAt(b.first, colour, true), s.endAt(b.last, colour, false)
		if b.last-b.first >= s.n {
			from, to = 0, s.length
		}
		out = append(out, s.settle(from, to, colour)...)
	}
	return out
}

// spans joins columns of one colour that is not the piece's own.
func (s *stripe) spans() []span {
	start := s.bareColumn()
	if start < 0 {
		return []span{{0, s.n}}
	}
	var out []span
	open := false
	var now span
	var mean lab
	gap := int(math.Round(1.5 / s.step))
	for k := 0; k <= s.n; k++ {
		i := s.wrap(start + k)
		d := s.edge[i]
		strange := d.size() > s.o.Contrast*0.6
		if open && strange && same(d, mean, s.o.Contrast) {
			n := float64(now.last - now.first)
			for j := range mean {
				mean[j] += (d[j] - mean[j]) / min(n+1, 20)
			}
			now.last = start + k + 1
			continue
		}
		if open && start+k-now.last < gap && k < s.n {
			continue
		}
		if open {
			out = append(out, now)
			open = false
		}
		if strange {
			open, now, mean = true, span{start + k, start + k + 1}, d
		}
	}
	return s.strong(out)
}

// same reports whether two colours may belong to one tape: near in themselves,
// or in proportion to how far they are from the piece's own.
func same(a, b lab, contrast float64) bool {
	d := lab{a[0] - b[0], a[1] - b[1], a[2] - b[2]}
	return d.size() < max(contrast, 0.35*max(a.size(), b.size()))
}

// bareColumn returns a column of the piece's own colour, -1 when there is none.
func (s *stripe) bareColumn() int {
	for i, d := range s.edge {
		if s.known[i] && d.size() < s.o.Contrast*0.6 {
			return i
		}
	}
	return -1
}

// strong keeps spans that are long enough and differ enough.
func (s *stripe) strong(in []span) []span {
	var out []span
	for _, b := range in {
		long := float64(b.last-b.first) * s.step
		if long >= s.o.ShortestMM-1 && s.medianOf(b, s.edge).size() > s.o.Contrast {
			out = append(out, b)
		}
	}
	return out
}

func (s *stripe) medianOf(b span, of []lab) lab {
	var c lab
	for k := range c {
		var v []float64
		for i := b.first; i < b.last; i++ {
			v = append(v, of[s.wrap(i)][k])
		}
		c[k] = median(v)
	}
	return c
}

// endAt returns the arc length at which the strip begins or ends near a
// column: the place that best parts columns of its colour from the others,
// strokes counting little (least absolute deviations).
func (s *stripe) endAt(column int, colour lab, begins bool) float64 {
	const reach = 10
	cost := 0.0
	part := func(i int) float64 {
		c := s.wrap(i)
		d := s.raw[c]
		if !s.known[c] {
			d = s.edge[c]
		}
		p := d.dot(colour) / colour.dot(colour)
		if !begins {
			p = 1 - p
		}
		return min(max(p, 0), 1)
	}
	// With the end before column i, those below should be 0, those above 1.
	for i := column - reach; i < column+reach; i++ {
		cost += 1 - part(i)
	}
	best, at := cost, column-reach
	for i := column - reach; i < column+reach; i++ {
		p := part(i)
		if cost += p - (1 - p); cost < best {
			best, at = cost, i+1
		}
	}
	return (float64(at) - 0.5) * s.step
}

// settle holds a stretch against the corners and against what a strip looks
// like, and returns what is left of it.
func (s *stripe) settle(from, to float64, colour lab) []Run {
	if to-from > s.length {
		from, to = 0, s.length
	}
	width, steady := s.widthOf(from, to, colour)
	if width < narrowestMM {
		return nil
	}
	from, to = s.withoutCutEnds(from, to, width)
	from, to = s.snap(from), s.snap(to)
	if to-from < s.o.ShortestMM {
		return nil
	}
	// Measure what is left once more, without what the corners held.
	if w, k := s.widthOf(from, to, colour); w > 0 {
		width, steady = w, k
	}
	b := span{int(math.Ceil(from / s.step)), int(math.Floor(to / s.step))}
	colour = s.medianOf(b, s.edge)
	r := Run{WidthMM: width, Contrast: colour.size(), Confidence: steady * s.share(b, colour)}
	r.Whole = to-from >= s.length-1e-9
	r.FromMM = s.round(from)
	r.ToMM = r.FromMM + to - from
	r.From, r.To = s.position(r.FromMM), s.position(r.ToMM)
	usual := s.usual.toLab()
	r.colour = lab{usual[0] + colour[0]/lightnessWeight, usual[1] + colour[1], usual[2] + colour[2]}
	for k := range r.seen {
		var v []float64
		for i := b.first; i < b.last; i++ {
			v = append(v, s.shown[s.wrap(i)][k])
		}
		r.seen[k] = median(v)
	}
	return []Run{r}
}

// share is the part of a stretch that is of the colour.
func (s *stripe) share(b span, colour lab) float64 {
	n := 0
	for i := b.first; i < b.last; i++ {
		if same(s.edge[s.wrap(i)], colour, s.o.Contrast) {
			n++
		}
	}
	return float64(n) / float64(max(1, b.last-b.first))
}

// snap carries an end to a corner close by.
func (s *stripe) snap(at float64) float64 {
	c, ok := s.nearestCorner(at, s.o.SnapMM)
	if !ok {
		return at
	}
	d := s.apart(at, c)
	if d > s.length/2 {
		d -= s.length
	}
	return at + d
}

// withoutCutEnds drops the stretches beyond a corner where the strip shows its
// cut end only: as long as the strip is wide, seen askew.
func (s *stripe) withoutCutEnds(from, to, width float64) (float64, float64) {
	for {
		cs := s.within(from, to)
		if len(cs) == 0 {
			return from, to
		}
		head, tail := cs[0], cs[len(cs)-1]
		headMM, tailMM := head.at-from, to-tail.at
		switch {
		case headMM <= tailMM && headMM < endMM(width, head.turnRad):
			from = head.at
		case tailMM < endMM(width, tail.turnRad):
			to = tail.at
		case headMM < endMM(width, head.turnRad):
			from = head.at
		default:
			return from, to
		}
	}
}

// endMM is the longest that a strip's cut end can be at a corner.
func endMM(width, turn float64) float64 {
	return width/max(math.Abs(math.Sin(turn)), 0.35) + 3
}

// widthOf returns the usual depth at which the colour ends inwards, 0 where it
// does not end like a strip, and 0 to 1 how steady that depth is.
func (s *stripe) widthOf(from, to float64, colour lab) (float64, float64) {
	var depth []float64
	through, all := 0, 0
	for i := int(math.Ceil(from / s.step)); i < int(math.Floor(to/s.step)); i++ {
		d, ends, ok := s.depthAt(s.wrap(i), colour)
		if !ok {
			continue
		}
		all++
		if ends {
			depth = append(depth, d)
		} else if d >= s.o.WidestMM-1 {
			through++
		}
	}
	if len(depth) < 4 || len(depth) < all/3 || through > len(depth) {
		return 0, 0
	}
	w := median(depth)
	n := len(depth)
	spread := (depth[(3*n)/4] - depth[n/4]) / w
	share := float64(n) / float64(n+through)
	return w, share / (1 + 0.5*spread*spread)
}

// depthAt follows a column inwards to where the strip's colour ends; ends is
// false when it goes on to the last usable row.
func (s *stripe) depthAt(i int, colour lab) (depthMM float64, ends, ok bool) {
	row := s.cells[i*s.rows : (i+1)*s.rows]
	use := s.usable[i*s.rows : (i+1)*s.rows]
	size := colour.dot(colour)
	last := -1
	for k := range row {
		if !use[k] {
			break
		}
		if row[k].dot(colour)/size > 0.5 {
			last = k
		} else if k-last >= 4 { // a stroke is narrower than 2 mm
			return firstMM + (float64(last)+0.5)*rowMM, true, last >= 0
		}
	}
	return firstMM + float64(last)*rowMM, false, last >= 0
}
