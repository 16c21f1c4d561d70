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
func newLattice(ctx context.Context, l *level, s seed) (*lattice, bool) {
	cols, rows := s.a, s.b
	// Columns are the family whose normal lies nearer to the horizontal.
	if math.Abs(math.Cos(cols.angle)) < math.Abs(math.Cos(rows.angle)) {
		cols, rows = rows, cols
	}
	// Columns count up to the right and rows downwards, so that the mat's
	// frame has the photograph's handedness.
	pts := combPoints(l, s.win, cols, mat.Columns, math.Cos(cols.angle) < 0)
	pts = append(pts, combPoints(l, s.win, rows, mat.Rows, math.Sin(rows.angle) < 0)...)
	g := &lattice{lvl: l, pol: s.win.pol, seen: map[span]sight{}, floor: l.floor, noise: l.floor}
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
	// What the lines were like before is the measure: noise, once let in, would
	// lower it.
	standard := g.typicalHeight()
	for round, reach := 0, 2; round < 40 && len(g.seen) < limit; round++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		added := g.growRound(reach, tried, standard)
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

// tighten drops the spans that lie further off than the others, once the model
// stands: texture of the pieces lies anywhere within reach, and must not be
// counted as ink. A line that lies off as a whole, on a page that curls, is
// held against itself.
func (g *lattice) tighten() {
	const leastPx, times = 0.7, 4
	offs := make(map[span]float64, len(g.seen))
	lines := map[span][]float64{}
	for s, v := range g.seen {
		at, ok := g.model.ToMat(v.at)
		if !ok {
			continue
		}
		offs[s] = offLine(s, at) * g.stepAcross(s, 0)
		l := span{s.family, s.index, 0}
		lines[l] = append(lines[l], offs[s])
	}
	middle := make(map[span]float64, len(lines))
	for l, v := range lines {
		middle[l] = median(v)
	}
	var all []float64
	for s, off := range offs {
		offs[s] = math.Min(math.Abs(off), math.Abs(off-middle[span{s.family, s.index, 0}]))
		all = append(all, offs[s])
	}
	limit := math.Max(leastPx, times*median(all))
	for s := range g.seen {
		if off, ok := offs[s]; !ok || off > limit {
			delete(g.seen, s)
		}
	}
	g.raiseFloor()
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
func (g *lattice) growRound(reach int, tried map[span]int, standard float64) int {
	lo, hi := g.cellBounds(reach)
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
	typical := math.Max(g.typicalHeight(), standard)
	g.probeAll(todo, laterReachPitch)
	return g.dropUnsupported(todo, tried, typical)
}

const (
	// faintPart is the part of the typical height of the lines seen below which
	// a span must be borne out by others around it.
	faintPart = 0.6
	// supportReach is how far, in steps, they are looked for, and supportPart
	// which part of all that were probed there must have been met: in a cast
	// shadow most are, in the noise of bare table hardly any.
	supportReach = 2
	supportPart  = 0.4
	// loudTimes the typical height no line of the mat has: those are edges and
	// the grain of a table. A heavy line is some four times as high as a fine.
	loudTimes = 8
)

// typicalHeight is the median height of what has been seen.
func (g *lattice) typicalHeight() float64 {
	hs := make([]float64, 0, len(g.seen))
	for _, v := range g.seen {
		hs = append(hs, v.height)
	}
	return median(hs)
}

// dropUnsupported forgets those of the spans just probed that are faint
// against the typical height and stand alone, or far louder than lines are, and
// returns how many are left.
func (g *lattice) dropUnsupported(probed []span, tried map[span]int, typical float64) int {
	lo, hi := g.cellBounds(0)
	all, met := newOccupancy(lo, hi), newOccupancy(lo, hi)
	for s := range g.seen {
		met.mark(s.cell())
		all.mark(s.cell())
	}
	for s := range tried {
		c := s.cell()
		_, seen := g.seen[s]
		if !seen && c[0] >= lo[0] && c[0] < hi[0] && c[1] >= lo[1] && c[1] < hi[1] {
			all.mark(c)
		}
	}
	all.sum()
	met.sum()
	left := 0
	for _, s := range probed {
		v, ok := g.seen[s]
		switch c := s.cell(); {
		case !ok:
		case v.height > loudTimes*typical:
			delete(g.seen, s)
		case v.height < faintPart*typical && float64(met.count(c, supportReach)) < supportPart*float64(all.count(c, supportReach)):
			delete(g.seen, s)
		default:
			left++
		}
	}
	return left
}

// cellBounds returns the crossings that bound all cells within reach of a span
// seen.
func (g *lattice) cellBounds(reach int) (lo, hi [2]int) {
	lo, hi = [2]int{math.MaxInt, math.MaxInt}, [2]int{math.MinInt, math.MinInt}
	for s := range g.seen {
		for d, v := range s.cell() {
			lo[d], hi[d] = min(lo[d], v-reach), max(hi[d], v+1+reach)
		}
	}
	return lo, hi
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
