package grid

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// TwoGridsError reports that a photograph shows two grids of comparable size
// that do not continue each other.
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
	// rivalPart is the part of the spans seen from which a second grid is a
	// rival.
	rivalPart = 1.0 / 3
	// rivalCrests is the part of the crests that must lie outside the grid for
	// a rival to be looked for.
	rivalCrests = 0.25
	// rivalTries is in how many windows it is looked for.
	rivalTries = 6
	// rivalSidePx is the size of those windows, in level px.
	rivalSidePx = 400
	// rivalMargin is how many steps beyond the grid its own border reaches.
	rivalMargin = 1.5
)

// rival looks for a second grid outside of the one that was read, and returns
// a *TwoGridsError when there is one of comparable size. What carries on the
// grid at its own pitch, or is far smaller, is none.
func (g *lattice) rival(ctx context.Context, name string) error {
	l := g.lvl
	brights, darks := g.outside(l.brights), g.outside(l.darks)
	if float64(len(brights)+len(darks)) < rivalCrests*float64(len(l.brights)+len(l.darks)) {
		return nil
	}
	ws := append(windows(l, bright, brights, rivalSidePx), windows(l, dark, darks, rivalSidePx)...)
	slices.SortStableFunc(ws, func(a, b window) int { return cmp.Compare(b.merit, a.merit) })
	for _, w := range ws[:min(len(ws), rivalTries)] {
		if err := ctx.Err(); err != nil {
			return err
		}
		crests := brights
		if w.pol == dark {
			crests = darks
		}
		w.gather(crests)
		other := growFrom(ctx, l, w, l.floor)
		if other == nil {
			continue
		}
		apart := other.apartFrom(g)
		if other.carriesOn(g, middleOf(apart)) {
			continue
		}
		if len(apart) >= goodSpans && float64(len(apart)) >= rivalPart*float64(len(g.seen)) && other.weight() >= rivalPart*g.weight() {
			return &TwoGridsError{Photo: name, A: middleOf(g.seen), B: middleOf(apart), SpansA: len(g.seen), SpansB: len(apart)}
		}
	}
	return nil
}

// Lines that run within carryDeg of the grid's own, in cells that are square to
// within carrySquare, are those of the same mat beyond what parts it.
const (
	carryDeg    = 5
	carrySquare = 0.15
)

// carriesOn reports whether a lattice is the other one's own mat seen again:
// at a place of it, its steps run along the other's axes and are as long both
// ways.
func (g *lattice) carriesOn(other *lattice, at photo.Point) bool {
	q, ok := g.model.ToMat(at)
	if !ok {
		return false
	}
	place := func(dx, dy float64) (mat.Point, bool) {
		return other.model.ToMat(g.model.ToPhoto(mat.Point{X: q.X + dx, Y: q.Y + dy}))
	}
	o, ok0 := place(0, 0)
	a, ok1 := place(1, 0)
	b, ok2 := place(0, 1)
	if !ok0 || !ok1 || !ok2 {
		return false
	}
	ax, ay, bx, by := a.X-o.X, a.Y-o.Y, b.X-o.X, b.Y-o.Y
	ratio := math.Hypot(ax, ay) / math.Hypot(bx, by)
	return offAxisDeg(ax, ay) < carryDeg && offAxisDeg(bx, by) < carryDeg && math.Abs(math.Log(ratio)) < carrySquare
}

// offAxisDeg is the angle between a direction and the nearer axis.
func offAxisDeg(x, y float64) float64 {
	a := math.Mod(math.Abs(math.Atan2(y, x))*180/math.Pi, 90)
	return math.Min(a, 90-a)
}

// outside returns the crests that do not lie on the grid.
func (g *lattice) outside(crests []ridge) []ridge {
	var out []ridge
	for _, r := range crests {
		if !g.covers(g.lvl.toPhoto(float64(r.x), float64(r.y))) {
			out = append(out, r)
		}
	}
	return out
}

// covers reports whether a position lies on the grid or its border.
func (g *lattice) covers(at photo.Point) bool {
	lo, hi := g.bounds()
	m, ok := g.model.ToMat(at)
	return ok && m.X > float64(lo[0])-rivalMargin && m.X < float64(hi[0])+rivalMargin &&
		m.Y > float64(lo[1])-rivalMargin && m.Y < float64(hi[1])+rivalMargin
}

// apartFrom returns the spans seen that do not lie on another grid.
func (g *lattice) apartFrom(other *lattice) map[span]sight {
	out := map[span]sight{}
	for s, v := range g.seen {
		if !other.covers(v.at) {
			out[s] = v
		}
	}
	return out
}

func middleOf(seen map[span]sight) (at photo.Point) {
	for _, v := range seen {
		at.X += v.at.X / float64(len(seen))
		at.Y += v.at.Y / float64(len(seen))
	}
	return at
}
