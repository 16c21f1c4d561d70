package grid

import (
	"context"
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
)

// newLattice turns a window's two combs into a lattice whose model holds in
// that window; false when they do not make one.
func newLattice(ctx context.Context, l *level, floor float64, s seed) (*lattice, bool) {
	cols, rows := s.a, s.b
	// Columns are the family whose normal lies nearer to the horizontal.
	if math.Abs(math.Cos(cols.angle)) < math.Abs(math.Cos(rows.angle)) {
		cols, rows = rows, cols
	}
	// Columns count up to the right and rows downwards, so that the mat's
	// frame has the photograph's handedness.
	pts := combPoints(l, s.win, cols, mat.Columns, math.Cos(cols.angle) < 0)
	pts = append(pts, combPoints(l, s.win, rows, mat.Rows, math.Sin(rows.angle) < 0)...)
	g := &lattice{lvl: l, pol: s.win.pol, seen: map[span]sight{}, floor: floor}
	o := g.options()
	o.PlainHomography = true
	fit, err := lens.Solve(ctx, pts, o)
	if err != nil {
		return nil, false
	}
	g.model = fit.Model
	return g, true
}

// combPoints returns a few points along every line of a comb.
func combPoints(l *level, w window, c comb, f mat.Family, flip bool) []mat.LinePoint {
	var out []mat.LinePoint
	for _, t := range c.teeth {
		i := t.index
		if flip {
			i = -i
		}
		a := c.angle + c.fan*t.offset
		nx, ny := math.Cos(a), math.Sin(a)
		for _, v := range []float64{-0.8, -0.4, 0, 0.4, 0.8} {
			x, y := w.cx+t.offset*nx-v*w.half*ny, w.cy+t.offset*ny+v*w.half*nx
			out = append(out, mat.LinePoint{
				Family: f, Index: i, Along: v, At: l.toPhoto(x, y), SigmaPx: float64(l.factor),
			})
		}
	}
	return out
}

// options are the solver's for a lattice whose unit is its own step. While it
// grows only the radial terms are asked for.
func (g *lattice) options() lens.SolveOptions {
	return lens.SolveOptions{
		PitchMM: 1,
		Width:   g.lvl.w * g.lvl.factor, Height: g.lvl.h * g.lvl.factor,
		Allow:    lens.TermK1 | lens.TermK2,
		MaxRMSPx: math.Inf(1),
	}
}

// firstReachPitch and laterReachPitch are how far off its prediction a line
// may run, in pitches, in the seed's window and once a model has been fitted.
const (
	firstReachPitch = 0.2
	laterReachPitch = 0.15
)

// settle probes the spans of the seed's own window and refits; false when too
// few lines are really there.
func (g *lattice) settle(ctx context.Context, s seed) bool {
	box := g.boxAround(s)
	tried := 0
	for _, sp := range box {
		if _, ok := g.course(sp, 0); ok {
			tried++
			if got, ok := g.probe(sp, 0, firstReachPitch); ok {
				g.seen[sp] = got
			}
		}
	}
	if len(g.seen) < 8 || len(g.seen)*4 < tried || !g.bothFamilies(2) {
		return false
	}
	g.raiseFloor()
	if !g.beatsChance() {
		return false
	}
	return g.refit(ctx) == nil
}

// betweenPitch is a place between lines where no mat has another: not a
// half, third, quarter, fifth, eighth or tenth of the pitch.
const betweenPitch = 0.44

// chancePart is the part of the spans seen that may also be seen where there
// is no line.
const chancePart = 0.3

// beatsChance reports whether lines are seen where the lattice has them, and
// not nearly as often between: texture, grain, noise and lettering answer
// everywhere alike.
func (g *lattice) beatsChance() bool {
	spans := thin(g.spans(), 200)
	hits := 0
	for _, sp := range spans {
		for _, across := range []float64{betweenPitch, -betweenPitch} {
			if _, ok := g.probe(sp, across, 0.5*(0.5-betweenPitch)); ok {
				hits++
			}
		}
	}
	return float64(hits) < 2*chancePart*float64(len(spans)) && g.concentrated(spans)
}

// concentratedPart is the part of the reach within which half the spans must
// lie of their prediction. Chance would spread them evenly: half of them
// within half the reach.
const concentratedPart = 0.3

// concentrated reports whether the spans seen lie close to where the fitted
// model has them, against how far off they were looked for.
func (g *lattice) concentrated(spans []span) bool {
	var parts []float64
	for _, s := range spans {
		at, ok := g.model.ToMat(g.seen[s].at)
		if !ok {
			continue
		}
		pitch := g.stepAcross(s, 0)
		parts = append(parts, math.Abs(offLine(s, at))*pitch/reachPx(laterReachPitch, pitch))
	}
	return median(parts) < concentratedPart
}

// boxAround lists the spans between the teeth of a seed's combs.
func (g *lattice) boxAround(s seed) []span {
	lo, hi := [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for _, x := range []float64{-1, 1} {
		for _, y := range []float64{-1, 1} {
			at, ok := g.model.ToMat(g.lvl.toPhoto(s.win.cx+x*s.win.half, s.win.cy+y*s.win.half))
			if !ok {
				continue
			}
			lo[0], hi[0] = min(lo[0], int(math.Floor(at.X))), max(hi[0], int(math.Ceil(at.X)))
			lo[1], hi[1] = min(lo[1], int(math.Floor(at.Y))), max(hi[1], int(math.Ceil(at.Y)))
		}
	}
	return spansIn(lo, hi)
}

// spansIn lists the spans of the lattice between crossings lo and hi; none
// when the bounds are absurd.
func spansIn(lo, hi [2]int) []span {
	if hi[0]-lo[0] > maxLines || hi[1]-lo[1] > maxLines {
		return nil
	}
	var out []span
	for i := lo[0]; i <= hi[0]; i++ {
		for j := lo[1]; j <= hi[1]; j++ {
			if j < hi[1] {
				out = append(out, span{mat.Columns, i, j})
			}
			if i < hi[0] {
				out = append(out, span{mat.Rows, j, i})
			}
		}
	}
	return out
}

// maxLines bounds the lines of a family, so that no false lattice of a few
// pixels' pitch eats the machine.
const maxLines = 400

// bothFamilies reports whether at least n different lines of each family have
// been seen.
func (g *lattice) bothFamilies(n int) bool {
	var lines [2]map[int]bool
	for f := range lines {
		lines[f] = map[int]bool{}
	}
	for s := range g.seen {
		lines[s.family][s.index] = true
	}
	return len(lines[0]) >= n && len(lines[1]) >= n
}

// raiseFloor sets the least height of a line to a fraction of what has been
// seen, so that tape texture and wood grain no longer pass, but the same
// lines in a cast shadow do.
func (g *lattice) raiseFloor() {
	hs := make([]float64, 0, len(g.seen))
	for _, s := range g.seen {
		hs = append(hs, s.height)
	}
	slices.Sort(hs)
	g.floor = math.Max(g.floor, 0.25*hs[len(hs)/2])
}

// noLimit lets a lattice grow as far as there are lines.
const noLimit = math.MaxInt

// grow probes outwards from what has been seen, refitting after every round,
// until nothing new is met or limit spans have been. Spans up to some steps
// away are tried, so that the lattice crosses pieces that cover it.
func (g *lattice) grow(ctx context.Context, limit int) error {
	tried := map[span]int{}
	for round, reach := 0, 2; round < 40 && len(g.seen) < limit; round++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		added := g.growRound(reach, tried)
		if added > 0 {
			if err := g.refit(ctx); err != nil {
				return err
			}
			g.raiseFloor()
		}
		if added*10 > len(g.seen) {
			// The model has changed enough for another look everywhere.
			clear(tried)
		}
		if added*20 <= len(g.seen) {
			if reach >= maxReachSpans {
				return nil
			}
			reach *= 2
		}
	}
	return nil
}

const (
	// maxReachSpans is the widest gap, in steps, that a lattice grows across.
	maxReachSpans = 8
	// maxTries is how often a span that is not met is tried, until the model
	// changes for good.
	maxTries = 2
)

// growRound probes every span not yet seen whose centre lies within reach
// steps of one seen, and returns how many were met.
func (g *lattice) growRound(reach int, tried map[span]int) int {
	lo, hi := [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for s := range g.seen {
		for d, v := range s.cell() {
			lo[d], hi[d] = min(lo[d], v-reach), max(hi[d], v+1+reach)
		}
	}
	near := newOccupancy(lo, hi)
	for s := range g.seen {
		near.mark(s.cell())
	}
	near.sum()
	todo := slices.DeleteFunc(spansIn(lo, hi), func(s span) bool {
		_, done := g.seen[s]
		return done || tried[s] >= maxTries || !near.within(s.cell(), reach)
	})
	for _, s := range todo {
		tried[s]++
	}
	return g.probeAll(todo, laterReachPitch)
}

// cell is the square of the lattice that a span borders on.
func (s span) cell() [2]int {
	if s.family == mat.Columns {
		return [2]int{s.index, s.at}
	}
	return [2]int{s.at, s.index}
}

// occupancy answers whether any marked cell lies near another, by a table of
// sums.
type occupancy struct {
	lo, size [2]int
	sums     []int32
}

func newOccupancy(lo, hi [2]int) *occupancy {
	o := &occupancy{lo: lo, size: [2]int{hi[0] - lo[0] + 2, hi[1] - lo[1] + 2}}
	o.sums = make([]int32, max(o.size[0], 0)*max(o.size[1], 0))
	return o
}

// mark sets a cell within the bounds.
func (o *occupancy) mark(c [2]int) {
	o.sums[(c[1]-o.lo[1]+1)*o.size[0]+c[0]-o.lo[0]+1] = 1
}

// sum turns marks into sums over all cells above and to the left.
func (o *occupancy) sum() {
	w := o.size[0]
	for y := 1; y < o.size[1]; y++ {
		row := int32(0)
		for x := 1; x < w; x++ {
			row += o.sums[y*w+x]
			o.sums[y*w+x] = row + o.sums[(y-1)*w+x]
		}
	}
}

// within reports whether a marked cell lies within reach of c both ways.
func (o *occupancy) within(c [2]int, reach int) bool {
	clip := func(v, d int) int { return min(max(v-o.lo[d]+1, 0), o.size[d]-1) }
	x0, x1 := clip(c[0]-reach-1, 0), clip(c[0]+reach, 0)
	y0, y1 := clip(c[1]-reach-1, 1), clip(c[1]+reach, 1)
	w := o.size[0]
	return o.sums[y1*w+x1]-o.sums[y0*w+x1]-o.sums[y1*w+x0]+o.sums[y0*w+x0] > 0
}

// probeAll probes spans on all processors and keeps those met.
func (g *lattice) probeAll(todo []span, reachPitch float64) int {
	got := make([]sight, len(todo))
	hit := make([]bool, len(todo))
	eachRowBand(len(todo), func(k0, k1 int) {
		for k := k0; k < k1; k++ {
			got[k], hit[k] = g.probe(todo[k], 0, reachPitch)
		}
	})
	n := 0
	for k, s := range todo {
		if hit[k] {
			g.seen[s] = got[k]
			n++
		}
	}
	return n
}

// refit solves the lattice's model anew from everything seen, and drops the
// spans that lie far from where the new model puts them.
func (g *lattice) refit(ctx context.Context) error {
	spans := g.spans()
	used := thin(spans, refitSpans)
	pts := make([]mat.LinePoint, len(used))
	for k, s := range used {
		pts[k] = mat.LinePoint{
			Family: s.family, Index: s.index, Along: float64(s.at) + 0.5,
			At: g.seen[s].at, SigmaPx: 0.15 * float64(g.lvl.factor),
		}
	}
	fit, err := lens.SolveFrom(ctx, g.model, pts, g.options())
	if err != nil {
		return err
	}
	g.model = fit.Model
	for _, s := range spans {
		at, ok := g.model.ToMat(g.seen[s].at)
		if !ok || math.Abs(offLine(s, at)) > 0.12 {
			delete(g.seen, s)
		}
	}
	if !g.bothFamilies(2) {
		return errLost
	}
	return nil
}

// refitSpans is how many spans a refit is made from while the lattice grows:
// more would cost time and tell nothing new.
const refitSpans = 500

// thin returns about n of the spans, evenly spread over their order.
func thin(spans []span, n int) []span {
	if len(spans) <= n {
		return spans
	}
	out := make([]span, 0, n)
	for k := range n {
		out = append(out, spans[k*len(spans)/n])
	}
	return out
}

// offLine returns how far a point lies from a span's line, in steps.
func offLine(s span, at mat.Point) float64 {
	if s.family == mat.Columns {
		return at.X - float64(s.index)
	}
	return at.Y - float64(s.index)
}

// spans lists what has been seen in a fixed order, so that the same
// photograph always gives the same bytes.
func (g *lattice) spans() []span {
	out := make([]span, 0, len(g.seen))
	for s := range g.seen {
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b span) int {
		if a.family != b.family {
			return int(a.family) - int(b.family)
		}
		if a.index != b.index {
			return a.index - b.index
		}
		return a.at - b.at
	})
	return out
}
