package grid

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
)

// TwoGridsError reports that a photograph shows two grids of comparable size
// and spacing that no camera could take for one.
type TwoGridsError struct {
	Photo string
	// A and B are the middles of both, SpansA and SpansB the stretches between
	// crossings seen of them.
	A, B           photo.Point
	SpansA, SpansB int
}

// Error names both places and what to do.
func (e *TwoGridsError) Error() string {
	return fmt.Sprintf("two grids that disagree are seen in %s, around pixels (%.0f, %.0f) and (%.0f, %.0f): cover one of them, or photograph one mat at a time",
		e.Photo, e.A.X, e.A.Y, e.B.X, e.B.Y)
}

const (
	// rivalPart is the part of the spans and of their weight from which a
	// second grid is a rival.
	rivalPart = 1.0 / 3
	// partCrests is the part of the crests that must lie outside the grid for
	// more grids to be looked for, partTries in how many windows of partSidePx
	// level px, partSpans how many spans of another must be seen.
	partCrests = 0.1
	partTries  = 6
	partSidePx = 400
	partSpans  = 30
	// rivalMargin is how many steps from lines of both families a place still
	// belongs to the grid.
	rivalMargin = 2
	// rivalSpacing is how many times wider or narrower a rival's lines may
	// stand: those of mats do not differ by more, floor tiles and weaves do.
	rivalSpacing = 6
	// straightSteps and straightPx, in level px, are how far the spans of a
	// grid may lie off its own model for it to be taken at its word; or they
	// run smoothly, neighbours differing by smoothPart of it at most.
	straightSteps, straightPx = 0.01, 0.3
	smoothPart                = 0.6
)

// joinParts looks for grids outside of the one that was read. One whose lines
// can be numbered so that one camera explains both is the same mat beyond a
// large piece, and is taken in. One of comparable size for which there are no
// such numbers is another mat: a *TwoGridsError.
func (g *lattice) joinParts(ctx context.Context, name string) error {
	own := g.territory()
	ws, outside := g.windowsOutside(own)
	for tries := 0; tries < partTries && len(ws) > 0; tries++ {
		w := ws[0]
		ws = ws[1:]
		if err := ctx.Err(); err != nil {
			return err
		}
		w.gather(outside[w.pol])
		other := growFrom(ctx, g.lvl, w)
		if other == nil || !other.standsApart(ctx, own) {
			continue
		}
		models, told, err := g.oneWith(ctx, other)
		if err != nil {
			return err
		}
		switch {
		case told && len(models) == 0 && other.comparable(g):
			return &TwoGridsError{Photo: name, A: middleOf(g.seen), B: middleOf(other.seen), SpansA: len(g.seen), SpansB: len(other.seen)}
		case len(models) == 1 && other.pol == g.pol:
			if err := g.join(ctx, other, models[0]); err != nil {
				return err
			}
			own = g.territory()
			ws, outside = g.windowsOutside(own)
		}
	}
	return nil
}

// windowsOutside returns the windows of what lies outside a grid's territory,
// the best first, with the crests there; none where that is little.
func (g *lattice) windowsOutside(own territory) ([]window, crests) {
	l := g.lvl
	outside := crests{}
	for pol, rs := range l.crests {
		outside[pol] = own.outside(l, rs)
	}
	if float64(outside.count()) < partCrests*float64(l.crests.count()) {
		return nil, nil
	}
	return l.bestWindows(outside, partSidePx), outside
}

// standsApart keeps what of a lattice lies outside another's territory, and
// reports whether that is a lattice by itself.
func (g *lattice) standsApart(ctx context.Context, own territory) bool {
	g.keepOutside(own)
	if len(g.seen) < partSpans || !g.bothFamilies(minLines) || g.refit(ctx) != nil || len(g.seen) < partSpans {
		return false
	}
	off, rough := g.ownOff(), g.roughness()
	limit := math.Max(straightSteps, straightPx*float64(g.lvl.factor)/g.pitchPx())
	return max(off[0], off[1]) < limit || max(rough[0], rough[1]) < smoothPart*limit
}

// roughness is by how much, in steps, neighbouring spans of a line typically
// differ in how far off the model they lie. Lines run smoothly even where the
// model is poor; what was taken for lines does not.
func (g *lattice) roughness() (steps [2]float64) {
	var all [2][]float64
	for s, v := range g.seen {
		next, ok := g.seen[span{s.family, s.index, s.at + 1}]
		if !ok {
			continue
		}
		a, okA := g.model.ToMat(v.at)
		b, okB := g.model.ToMat(next.at)
		if okA && okB {
			all[s.family] = append(all[s.family], math.Abs(offLine(s, a)-offLine(s, b)))
		}
	}
	for f := range all {
		steps[f] = math.Inf(1)
		if len(all[f]) >= minSpans/2 {
			steps[f] = median(all[f])
		}
	}
	return steps
}

// comparable reports whether enough is seen of a lattice, against another, to
// be a rival of it.
func (g *lattice) comparable(other *lattice) bool {
	return len(g.seen) >= goodSpans && float64(len(g.seen)) >= rivalPart*float64(len(other.seen)) &&
		g.weight() >= rivalPart*other.weight()
}

// join takes in another part of the same mat under a model of both, with
// whatever else is seen of the rectangle that holds both: a mat is one. Nothing
// changes where that leads nowhere.
func (g *lattice) join(ctx context.Context, other *lattice, m lens.Model) error {
	wide := *g
	wide.model, wide.seen = m, maps.Clone(g.seen)
	lo, hi := wide.cellBounds(0)
	for _, v := range other.seen {
		at, ok := m.ToMat(v.at)
		if !ok {
			return nil
		}
		lo[0], hi[0] = min(lo[0], int(math.Floor(at.X))), max(hi[0], int(math.Ceil(at.X)))
		lo[1], hi[1] = min(lo[1], int(math.Floor(at.Y))), max(hi[1], int(math.Ceil(at.Y)))
	}
	todo := slices.DeleteFunc(spansIn(lo, hi), func(s span) bool { _, ok := wide.seen[s]; return ok })
	wide.probeAll(todo, laterReachPitch)
	err := wide.refit(ctx)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err == nil && len(wide.seen) > len(g.seen) {
		*g = wide
	}
	return nil
}

// territory is where lines of both families of a lattice are seen.
type territory struct {
	model lens.Model
	lines [2]*occupancy
}

func (g *lattice) territory() territory {
	t := territory{model: g.model}
	lo, hi := g.cellBounds(0)
	for _, f := range families {
		t.lines[f] = newOccupancy(lo, hi)
	}
	for s := range g.seen {
		t.lines[s.family].mark(s.cell())
	}
	for _, f := range families {
		t.lines[f].sum()
	}
	return t
}

// covers reports whether a position lies near lines of both families.
func (t territory) covers(at photo.Point) bool {
	m, ok := t.model.ToMat(at)
	if !ok || math.Abs(m.X) > 1e6 || math.Abs(m.Y) > 1e6 {
		return false
	}
	cell := [2]int{int(math.Floor(m.X)), int(math.Floor(m.Y))}
	return t.lines[0].within(cell, rivalMargin) && t.lines[1].within(cell, rivalMargin)
}

// outside returns the crests that lie elsewhere.
func (t territory) outside(l *level, crests []ridge) []ridge {
	var out []ridge
	for _, r := range crests {
		if !t.covers(l.toPhoto(float64(r.x), float64(r.y))) {
			out = append(out, r)
		}
	}
	return out
}

// keepOutside forgets the spans that lie in another grid's territory.
func (g *lattice) keepOutside(t territory) {
	for s, v := range g.seen {
		if t.covers(v.at) {
			delete(g.seen, s)
		}
	}
}

func middleOf(seen map[span]sight) (at photo.Point) {
	for _, v := range seen {
		at.X += v.at.X / float64(len(seen))
		at.Y += v.at.Y / float64(len(seen))
	}
	return at
}
