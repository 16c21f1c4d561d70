package nest

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// frame is all that an item meets in a bin at a turn.
type frame struct {
	bin, turn int
	room      room
	entries   []entry
}

// searcher looks for places. It has its own random numbers and memory.
type searcher struct {
	s        *solver
	rng      *rand.Rand
	frames   []*frame
	spare    []*frame
	contacts []contact
}

// spot is a place in a frame and what its overlaps weigh.
type spot struct {
	f    *frame
	x, y float64
	cost float64
}

// contact is an overlap at a place: how much it weighs and the way out.
type contact struct{ cost, depth, nx, ny float64 }

// begin forgets the frames of the item before.
func (k *searcher) begin() {
	k.spare = append(k.spare, k.frames...)
	k.frames = k.frames[:0]
}

// frame returns the item's surroundings in a bin at a turn, nil where it does
// not fit.
func (k *searcher) frame(l *layout, i, bin, turn int) *frame {
	for _, f := range k.frames {
		if f.bin == bin && f.turn == turn {
			return f
		}
	}
	r, ok := k.s.roomFor(i, turn, bin, l.lengths[bin])
	if !ok {
		return nil
	}
	var f *frame
	if n := len(k.spare); n > 0 {
		f, k.spare = k.spare[n-1], k.spare[:n-1]
	} else {
		f = &frame{}
	}
	f.bin, f.turn, f.room, f.entries = bin, turn, r, f.entries[:0]
	n := len(l.poses)
	for j := range l.poses {
		q := &l.poses[j]
		if j == i || q.bin != bin {
			continue
		}
		e := k.s.entry(i, turn, j, q)
		if e.minX >= r.maxX && e.minX > r.minX || e.maxX <= r.minX || e.minY >= r.maxY && e.minY > r.minY || e.maxY <= r.minY {
			continue
		}
		e.weight *= l.weight[i*n+j]
		f.entries = append(f.entries, e)
	}
	k.frames = append(k.frames, f)
	return f
}

// cost returns what the overlaps at a place weigh, or any value not below
// limit when it is no less.
func (k *searcher) cost(f *frame, x, y, limit float64) float64 {
	sum := 0.0
	for i := range f.entries {
		e := &f.entries[i]
		if x <= e.minX || x >= e.maxX || y <= e.minY || y >= e.maxY {
			continue
		}
		if d := e.depth(k.s.store, x, y); d > 0 {
			if sum += d * e.weight; sum >= limit {
				return sum
			}
		}
	}
	return sum
}

// search returns the best place found for an item, and whether it is better
// than where it lies.
func (k *searcher) search(l *layout, i int) (spot, bool) {
	k.begin()
	now := l.poses[i]
	var found topSpots
	limit := l.weighted(i)
	home := k.frame(l, i, now.bin, now.turn)
	if home != nil {
		found.add(spot{home, now.at.X, now.at.Y, k.cost(home, now.at.X, now.at.Y, math.Inf(1))})
	}
	k.sampleWide(l, i, &found, k.s.tuning.wide)
	k.sampleNear(l, i, &found, k.s.tuning.near)
	best := spot{cost: math.Inf(1)}
	for _, t := range found.list {
		if t.cost > 0 {
			t = k.refine(t)
		}
		if t.cost < best.cost {
			best = t
		}
		if best.cost == 0 {
			break
		}
	}
	return best, best.f != nil && best.cost < limit
}

// manyTurns is how many turns are tried all over.
const manyTurns = 24

func (k *searcher) sampleWide(l *layout, i int, found *topSpots, n int) {
	turns := k.s.kinds[k.s.items[i]].turns
	perFrame, step := 1, 1
	if len(turns) > manyTurns {
		// A turn's surroundings cost more than a place in them, and coarse turns
		// meet each other at fewer angles; fine ones are tried close by.
		perFrame, step = 6, len(turns)/manyTurns
	}
	for n > 0 {
		bin := k.rng.IntN(l.bins)
		f := k.frame(l, i, bin, turns[k.rng.IntN((len(turns)+step-1)/step)*step])
		for c := 0; c < perFrame; c++ {
			n--
			if f == nil {
				continue
			}
			x := f.room.minX + k.rng.Float64()*(f.room.maxX-f.room.minX)
			y := f.room.minY + k.rng.Float64()*(f.room.maxY-f.room.minY)
			found.add(spot{f, x, y, k.cost(f, x, y, found.worst())})
		}
	}
}

// sampleNear tries places about where the item lies, at its own turn and those
// next to it.
func (k *searcher) sampleNear(l *layout, i int, found *topSpots, n int) {
	now := l.poses[i]
	kd := k.s.kinds[k.s.items[i]]
	for range n {
		turn := now.turn
		if len(kd.turns) > manyTurns && k.rng.IntN(4) == 0 {
			step := 1 + k.rng.IntN(6)
			if k.rng.IntN(2) == 0 {
				step = -step
			}
			turn = k.s.beside(kd, turn, step)
		}
		f := k.frame(l, i, now.bin, turn)
		if f == nil {
			continue
		}
		r := kd.radius * 0.3
		x, y := f.room.clamp(now.at.X+r*k.rng.NormFloat64(), now.at.Y+r*k.rng.NormFloat64())
		found.add(spot{f, x, y, k.cost(f, x, y, found.worst())})
	}
}

// topSpots keeps the few best places, the best first.
type topSpots struct{ list []spot }

const keptSpots = 3

func (t *topSpots) worst() float64 {
	if len(t.list) < keptSpots {
		return math.Inf(1)
	}
	return t.list[len(t.list)-1].cost
}

func (t *topSpots) add(s spot) {
	if s.cost >= t.worst() {
		return
	}
	if len(t.list) < keptSpots {
		t.list = append(t.list, s)
	} else {
		t.list[len(t.list)-1] = s
	}
	for i := len(t.list) - 1; i > 0 && t.list[i].cost < t.list[i-1].cost; i-- {
		t.list[i], t.list[i-1] = t.list[i-1], t.list[i]
	}
}

// refine walks downhill. The cost is piecewise linear in the place, and its
// low points lie where ways out of overlaps end: they are tried one by one, in
// pairs, and along the axes.
func (k *searcher) refine(t spot) spot {
	for range k.s.tuning.walks {
		k.meet(t)
		if len(k.contacts) == 0 {
			t.cost = 0
			return t
		}
		next := k.bestWayOut(t)
		if !(next.cost < t.cost) {
			break
		}
		t = next
		if t.cost == 0 {
			return t
		}
	}
	return k.descend(t)
}

// meet lists the overlaps at a place, those that weigh most first.
func (k *searcher) meet(t spot) {
	k.contacts = k.contacts[:0]
	for i := range t.f.entries {
		e := &t.f.entries[i]
		if t.x <= e.minX || t.x >= e.maxX || t.y <= e.minY || t.y >= e.maxY {
			continue
		}
		d, nx, ny := e.exit(k.s.store, t.x, t.y)
		if d <= 0 {
			continue
		}
		k.contacts = append(k.contacts, contact{d * e.weight, d, nx, ny})
		for j := len(k.contacts) - 1; j > 0 && k.contacts[j].cost > k.contacts[j-1].cost; j-- {
			k.contacts[j], k.contacts[j-1] = k.contacts[j-1], k.contacts[j]
		}
	}
}

func (k *searcher) bestWayOut(t spot) spot {
	best := t
	try := func(dx, dy float64) {
		x, y := t.f.room.clamp(t.x+dx, t.y+dy)
		if c := k.cost(t.f, x, y, best.cost); c < best.cost {
			best = spot{t.f, x, y, c}
		}
	}
	c := k.contacts
	if len(c) > 4 {
		c = c[:4]
	}
	for i, p := range c {
		d := p.depth + k.s.hair
		try(p.nx*d, p.ny*d)
		if math.Abs(p.nx) > 0.1 && math.Abs(p.ny) > 1e-9 {
			try(d/p.nx, 0)
		}
		if math.Abs(p.ny) > 0.1 && math.Abs(p.nx) > 1e-9 {
			try(0, d/p.ny)
		}
		for _, q := range c[:i] {
			det := p.nx*q.ny - p.ny*q.nx
			if math.Abs(det) < 0.05 {
				continue
			}
			e := q.depth + k.s.hair
			try((d*q.ny-e*p.ny)/det, (e*p.nx-d*q.nx)/det)
		}
	}
	return best
}

// descend tries steps along changing directions, shorter after each failure.
func (k *searcher) descend(t spot) spot {
	step := k.s.meanRadius * 0.1
	for n := 0; n < k.s.tuning.steps && t.cost > 0; n++ {
		var dx, dy float64
		switch k.rng.IntN(4) {
		case 0:
			dx = step
		case 1:
			dy = step
		case 2:
			dx, dy = step, step
		default:
			dx, dy = step, -step
		}
		ok := false
		for _, sign := range [2]float64{1, -1} {
			x, y := t.f.room.clamp(t.x+sign*dx, t.y+sign*dy)
			if c := k.cost(t.f, x, y, t.cost); c < t.cost {
				t = spot{t.f, x, y, c}
				ok = true
				break
			}
		}
		if ok {
			step *= 1.2
		} else {
			step *= 0.5
		}
	}
	return t
}

func (t spot) pose() pose {
	return pose{bin: t.f.bin, turn: t.f.turn, at: mat.Point{X: t.x, Y: t.y}}
}
