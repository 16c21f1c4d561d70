package nest

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// pose is where an item lies: its kind's own frame turned and shifted to at.
type pose struct {
	bin, turn int
	at        mat.Point
}

// layout is where all items lie, how deep every two of them overlap and how
// much that weighs.
type layout struct {
	s     *solver
	poses []pose
	// lengths are the bins' lengths as they are now.
	lengths []float64
	// bins is how many of the bins, from the first, may be used.
	bins int
	// overlap is [i*n+j]: depth times penalty; symmetric. weight likewise.
	overlap, weight []float64
	// sum is each item's row of overlap, added up.
	sum []float64
}

func newLayout(s *solver) *layout {
	n := len(s.items)
	l := &layout{
		s: s, poses: make([]pose, n), lengths: append([]float64(nil), s.lengths...), bins: len(s.lengths),
		overlap: make([]float64, n*n), weight: make([]float64, n*n), sum: make([]float64, n),
	}
	l.resetWeights()
	return l
}

func (l *layout) resetWeights() {
	for i := range l.weight {
		l.weight[i] = 1
	}
}

// snapshot is the part of a layout that is kept for later.
type snapshot struct {
	poses   []pose
	lengths []float64
	bins    int
	overlap float64
	// Of the best only: what is left, and how much is used of the last bin.
	left  []int
	reach float64
}

func (l *layout) snapshot() snapshot {
	return snapshot{poses: slices.Clone(l.poses), lengths: slices.Clone(l.lengths), bins: l.bins, overlap: l.total()}
}

func (l *layout) restore(s snapshot) {
	copy(l.poses, s.poses)
	copy(l.lengths, s.lengths)
	l.bins = s.bins
	l.measure()
}

// measure finds all overlaps anew.
func (l *layout) measure() {
	n := len(l.poses)
	for i := range n {
		l.sum[i] = 0
	}
	for i := range n {
		for j := range i {
			v := l.pairOverlap(i, j)
			l.overlap[i*n+j], l.overlap[j*n+i] = v, v
			l.sum[i] += v
			l.sum[j] += v
		}
	}
}

// move puts an item elsewhere and finds its overlaps.
func (l *layout) move(i int, p pose) {
	l.poses[i] = p
	n := len(l.poses)
	l.sum[i] = 0
	for j := range n {
		if j == i {
			continue
		}
		old := l.overlap[i*n+j]
		v := l.pairOverlap(i, j)
		l.sum[i] += v
		if v == old {
			continue
		}
		l.overlap[i*n+j], l.overlap[j*n+i] = v, v
		l.resum(j)
	}
}

// resum adds up a row anew, so that no rounding is carried along.
func (l *layout) resum(j int) {
	n := len(l.poses)
	sum := 0.0
	for _, v := range l.overlap[j*n : j*n+n] {
		sum += v
	}
	l.sum[j] = sum
}

// total returns the sum of all overlaps.
func (l *layout) total() float64 {
	sum := 0.0
	for _, v := range l.sum {
		sum += v
	}
	return sum / 2
}

// weighted returns what an item's overlaps weigh.
func (l *layout) weighted(i int) float64 {
	n := len(l.poses)
	sum := 0.0
	for j, v := range l.overlap[i*n : i*n+n] {
		if v > 0 {
			sum += v * l.weight[i*n+j]
		}
	}
	return sum
}

func (l *layout) pairOverlap(i, j int) float64 {
	p, q := &l.poses[i], &l.poses[j]
	if p.bin != q.bin || p.bin < 0 {
		return 0
	}
	s := l.s
	e := s.entry(i, p.turn, j, q)
	x, y := p.at.X, p.at.Y
	if x <= e.minX || x >= e.maxX || y <= e.minY || y >= e.maxY {
		return 0
	}
	return e.depth(s.store, x, y) * e.weight
}

// entry is another item as the one that is moved sees it: its no-fit polygon
// with the way into its frame.
type entry struct {
	// The box in which the moved item's place may overlap.
	minX, minY, maxX, maxY float64
	// u = cos·(x-px) + sin·(y-py), v = -sin·(x-px) + cos·(y-py).
	px, py, cos, sin float64
	weight           float64
	noFit            *noFit
	a, b             int
	diff             int32
}

// entry describes item j at q to item i at a turn; its weight is the pair's
// penalty alone.
func (s *solver) entry(i, turn, j int, q *pose) entry {
	ki, kj := s.items[i], s.items[j]
	bi, bj := s.boxes[ki][turn], s.boxes[kj][q.turn]
	gap := s.gapOf(s.kinds[ki], s.kinds[kj])
	e := entry{
		minX: q.at.X + bj.MinX - bi.MaxX - gap, maxX: q.at.X + bj.MaxX - bi.MinX + gap,
		minY: q.at.Y + bj.MinY - bi.MaxY - gap, maxY: q.at.Y + bj.MaxY - bi.MinY + gap,
		px: q.at.X, py: q.at.Y, weight: s.penalty[ki*len(s.kinds)+kj],
	}
	t := s.turns
	n := len(t.deg)
	if kj <= ki {
		e.a, e.b, e.diff = kj, ki, t.diff[q.turn*n+turn]
		e.cos, e.sin = t.cos[q.turn], t.sin[q.turn]
	} else {
		e.a, e.b, e.diff = ki, kj, t.diff[turn*n+q.turn]
		e.cos, e.sin = -t.cos[turn], -t.sin[turn]
	}
	return e
}

func (e *entry) local(s *store, x, y float64) (u, v float64) {
	if e.noFit == nil {
		e.noFit = s.get(e.a, e.b, e.diff)
	}
	dx, dy := x-e.px, y-e.py
	return e.cos*dx + e.sin*dy, e.cos*dy - e.sin*dx
}

func (e *entry) depth(s *store, x, y float64) float64 {
	u, v := e.local(s, x, y)
	return e.noFit.depth(u, v)
}

// exit returns the depth and the direction of the shortest way out.
func (e *entry) exit(s *store, x, y float64) (depth, nx, ny float64) {
	u, v := e.local(s, x, y)
	d, nu, nv := e.noFit.exit(u, v)
	return d, e.cos*nu - e.sin*nv, e.sin*nu + e.cos*nv
}

// room is the rectangle in which an item's place must lie at a turn.
type room struct{ minX, minY, maxX, maxY float64 }

// roomFor returns the room in a bin of a length; ok is false when the item
// does not fit.
func (s *solver) roomFor(i, turn, bin int, length float64) (r room, ok bool) {
	b := s.boxes[s.items[i]][turn]
	m := s.p.MarginMM
	r = room{m - b.MinX, m - b.MinY, length - m - b.MaxX, s.widths[bin] - m - b.MaxY}
	slack := 1e-9 * s.widths[bin]
	if r.maxX < r.minX-slack || r.maxY < r.minY-slack {
		return r, false
	}
	r.maxX, r.maxY = math.Max(r.minX, r.maxX), math.Max(r.minY, r.maxY)
	return r, true
}

func (r room) clamp(x, y float64) (float64, float64) {
	return math.Min(math.Max(x, r.minX), r.maxX), math.Min(math.Max(y, r.minY), r.maxY)
}
