package nest

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// edge is a side of a convex polygon: the inside has nx·x + ny·y < c, and
// (nx, ny) has length 1.
type edge struct{ nx, ny, c float64 }

// convex is a convex polygon by its sides, with its box.
type convex struct {
	minX, minY, maxX, maxY float64
	edges                  []edge
}

// noFit is the no-fit polygon of two kinds, A at rest and B turned by a fixed
// angle, in A's frame: B overlaps A (the gap counted) when the shift from A to
// B lies in one of the parts.
type noFit struct {
	minX, minY, maxX, maxY float64
	parts                  []convex
	uses                   atomic.Int32
	grid                   atomic.Pointer[grid]
}

// newNoFit makes the no-fit polygon of kinds a and b, b turned by turnDeg.
func newNoFit(a, b *kind, turnDeg, gapMM float64) *noFit {
	sin, cos := polygon.SinCosDeg(turnDeg)
	turned := make([][]mat.Point, len(b.parts))
	for i, part := range b.parts {
		turned[i] = make([]mat.Point, len(part))
		for j, p := range part {
			turned[i][j] = mat.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}
		}
	}
	n := &noFit{minX: math.Inf(1), minY: math.Inf(1), maxX: math.Inf(-1), maxY: math.Inf(-1)}
	aNormals, bNormals := make([][]float64, len(a.parts)), make([][]float64, len(turned))
	for i, pa := range a.parts {
		aNormals[i] = normalsOf(pa, 1)
	}
	for i, pb := range turned {
		bNormals[i] = normalsOf(pb, -1)
	}
	for i, pa := range a.parts {
		for j, pb := range turned {
			c := difference(pa, pb, append(append(make([]float64, 0, len(pa)+len(pb)), aNormals[i]...), bNormals[j]...), gapMM)
			n.parts = append(n.parts, c)
			n.minX, n.maxX = math.Min(n.minX, c.minX), math.Max(n.maxX, c.maxX)
			n.minY, n.maxY = math.Min(n.minY, c.minY), math.Max(n.maxY, c.maxY)
		}
	}
	size := func(c convex) float64 { return math.Min(c.maxX-c.minX, c.maxY-c.minY) }
	slices.SortStableFunc(n.parts, func(p, q convex) int {
		if size(p) > size(q) {
			return -1
		}
		if size(p) < size(q) {
			return 1
		}
		return 0
	})
	return n
}

// difference returns the Minkowski sum of a and -b, of which the directions of
// the normals are given, grown by gapMM. Corners
// turned by more than 60° are cut off outside of the rounded corner, so that
// what is grown too much is at most 0.16 of the gap.
func difference(a, b []mat.Point, normals []float64, gapMM float64) convex {
	slices.Sort(normals)
	normals = slices.CompactFunc(normals, func(p, q float64) bool { return math.Abs(q-p) < 1e-10 })
	if gapMM > 0 {
		normals = filled(normals)
	}
	c := convex{edges: make([]edge, 0, len(normals))}
	for _, rad := range normals {
		sin, cos := math.Sincos(rad)
		c.edges = append(c.edges, edge{cos, sin, support(a, cos, sin) + support(b, -cos, -sin) + gapMM})
	}
	c.maxX = support(a, 1, 0) + support(b, -1, 0) + gapMM
	c.minX = -(support(a, -1, 0) + support(b, 1, 0) + gapMM)
	c.maxY = support(a, 0, 1) + support(b, 0, -1) + gapMM
	c.minY = -(support(a, 0, -1) + support(b, 0, 1) + gapMM)
	return c
}

// normalsOf returns the directions of the outer normals of a ring with
// positive area, or of its image in the origin for a sign of -1, in rad.
func normalsOf(ring []mat.Point, sign float64) []float64 {
	out := make([]float64, 0, len(ring))
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		rad := math.Atan2(-sign*(q.X-p.X), sign*(q.Y-p.Y))
		if rad < -math.Pi+1e-10 {
			rad = math.Pi
		}
		out = append(out, rad)
	}
	return out
}

// filled adds directions where two that follow lie more than 60° apart.
func filled(normals []float64) []float64 {
	var out []float64
	for i, rad := range normals {
		out = append(out, rad)
		next := normals[(i+1)%len(normals)]
		if i+1 == len(normals) {
			next += 2 * math.Pi
		}
		n := math.Ceil((next-rad)/(math.Pi/3) - 1e-6)
		for k := 1.0; k < n; k++ {
			out = append(out, rad+(next-rad)*k/n)
		}
	}
	return out
}

func support(ring []mat.Point, nx, ny float64) float64 {
	far := math.Inf(-1)
	for _, p := range ring {
		if v := nx*p.X + ny*p.Y; v > far {
			far = v
		}
	}
	return far
}

// depth returns how deep (x, y) lies in the no-fit polygon: 0 outside, inside
// the greatest depth in any part. The true depth of penetration is no less.
func (n *noFit) depth(x, y float64) float64 {
	deep := 0.0
	if x <= n.minX || x >= n.maxX || y <= n.minY || y >= n.maxY {
		return 0
	}
	if g := n.grid.Load(); g != nil {
		if g.border != nil {
			return n.trueDepth(g, x, y)
		}
		for _, i := range g.at(x, y) {
			if d := n.parts[i].depthOver(x, y, deep); d > deep {
				deep = d
			}
		}
		return deep
	}
	for i := range n.parts {
		p := &n.parts[i]
		if x-p.minX <= deep || p.maxX-x <= deep || y-p.minY <= deep || p.maxY-y <= deep {
			continue
		}
		if d := p.depthOver(x, y, deep); d > deep {
			deep = d
		}
	}
	return deep
}

// depthOver returns the depth in a convex polygon, or anything not above least
// when it is no more.
func (p *convex) depthOver(x, y, least float64) float64 {
	d := math.Inf(1)
	for _, e := range p.edges {
		if v := e.c - e.nx*x - e.ny*y; v < d {
			if v <= least {
				return 0
			}
			d = v
		}
	}
	return d
}

// exit returns, besides the depth, the direction of the shortest way out of
// the part that is deepest.
func (n *noFit) exit(x, y float64) (depth, nx, ny float64) {
	look := func(p *convex) {
		d, k := math.Inf(1), -1
		for j, e := range p.edges {
			if v := e.c - e.nx*x - e.ny*y; v < d {
				d, k = v, j
			}
		}
		if d > depth {
			depth, nx, ny = d, p.edges[k].nx, p.edges[k].ny
		}
	}
	if g := n.grid.Load(); g != nil {
		if x > n.minX && x < n.maxX && y > n.minY && y < n.maxY {
			if g.border != nil {
				return n.trueExit(g, x, y)
			}
			for _, i := range g.at(x, y) {
				look(&n.parts[i])
			}
		}
		return depth, nx, ny
	}
	for i := range n.parts {
		p := &n.parts[i]
		if x-p.minX > depth && p.maxX-x > depth && y-p.minY > depth && p.maxY-y > depth {
			look(p)
		}
	}
	return depth, nx, ny
}

// span returns the stretch of the line through (·, y) along x, in the
// direction (ux, uy) from point (x, y), inside the convex polygon, in mm along
// the direction.
func (p *convex) span(x, y, ux, uy float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for _, e := range p.edges {
		along := e.nx*ux + e.ny*uy
		room := e.c - e.nx*x - e.ny*y
		switch {
		case math.Abs(along) < 1e-8:
			if room <= 0 {
				return 0, 0
			}
		case along > 0:
			to = math.Min(to, room/along)
		default:
			from = math.Max(from, room/along)
		}
		if from >= to {
			return 0, 0
		}
	}
	return from, to
}

// store keeps no-fit polygons. The one of kinds a ≤ b is kept; the other way
// round is its image in the origin.
type store struct {
	kinds []*kind
	turns *turnTable
	gapOf func(a, b *kind) float64
	slots []atomic.Pointer[noFit]
	// sparse takes their place where there would be too many slots.
	sparse sync.Map
	count  atomic.Int64
	// usesForGrid is how often a no-fit polygon is asked for before it gets a
	// grid: where there are many turns most are asked for a few times only.
	usesForGrid int32
	// exact asks for true depths. Making a no-fit polygon takes much longer then:
	// it is for few turns only.
	exact bool
}

// mostExact is up to how many no-fit polygons are made with true depths.
const mostExact = 4000

// mostKept bounds the store: when it is full it is emptied.
const mostKept = 30000

func newStore(kinds []*kind, turns *turnTable, gapOf func(a, b *kind) float64) *store {
	uses := int32(4)
	if len(turns.diffDeg) > manyTurns {
		uses = 100
	}
	s := &store{
		kinds: kinds, turns: turns, gapOf: gapOf, usesForGrid: uses,
		exact: len(kinds)*len(kinds)*len(turns.diffDeg) <= mostExact,
	}
	if n := len(kinds) * len(kinds) * len(turns.diffDeg); n <= mostSlots {
		s.slots = make([]atomic.Pointer[noFit], n)
	}
	return s
}

// mostSlots is up to how many no-fit polygons have a slot of their own.
const mostSlots = 1 << 22

// load returns the no-fit polygon kept under a number, nil when there is none.
func (s *store) load(k int) *noFit {
	if s.slots != nil {
		return s.slots[k].Load()
	}
	if v, ok := s.sparse.Load(k); ok {
		return v.(*noFit)
	}
	return nil
}

func (s *store) keep(k int, n *noFit) {
	if s.slots != nil {
		s.slots[k].Store(n)
		return
	}
	s.sparse.Store(k, n)
}

// get returns the no-fit polygon of kinds a ≤ b with a turn's index between.
func (s *store) get(a, b int, diff int32) *noFit {
	slot := (a*len(s.kinds)+b)*len(s.turns.diffDeg) + int(diff)
	if n := s.load(slot); n != nil {
		if n.uses.Add(1) == s.usesForGrid && !s.exact && len(n.parts) >= gridFrom && len(n.parts) < math.MaxUint16 {
			n.grid.Store(newGrid(n))
		}
		return n
	}
	ka, kb := s.kinds[a], s.kinds[b]
	n := newNoFit(ka, kb, s.turns.diffDeg[diff], s.gapOf(ka, kb))
	if s.exact && len(n.parts) > 1 && len(n.parts) < math.MaxUint16 {
		g := newGrid(n)
		g.border = newBoundary(n, g)
		n.grid.Store(g)
	}
	s.keep(slot, n)
	s.count.Add(1)
	return n
}

// trim empties the store when it is full. Nobody may read it meanwhile.
func (s *store) trim() {
	if s.count.Load() < mostKept {
		return
	}
	for i := range s.slots {
		s.slots[i].Store(nil)
	}
	s.sparse.Clear()
	s.count.Store(0)
}
