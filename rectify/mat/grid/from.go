package grid

import (
	"context"

	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
)

// FindFrom reads the mat's lines when a first camera model is known, from
// corners clicked by hand for instance: start maps (column, row) to the
// photograph and keeps its numbering. Errors: *NotFoundError when too few
// lines lie where the model puts them, or the context's.
func FindFrom(ctx context.Context, p *photo.Photo, start lens.Model) (*Found, error) {
	l := newLevel(p)
	floor := newResponse(l).noiseFloor()
	best := &lattice{lvl: l, seen: map[span]sight{}}
	for _, pol := range []polarity{bright, dark} {
		g := &lattice{lvl: l, pol: pol, model: start, seen: map[span]sight{}, floor: heightOf(floor)}
		lo, hi := g.reachOfFrame()
		g.probeAll(spansIn(lo, hi), laterReachPitch)
		if len(g.seen) < 8 || !g.bothFamilies(2) {
			continue
		}
		g.raiseFloor()
		err := g.refit(ctx)
		if err == nil {
			err = g.grow(ctx, noLimit)
		}
		if err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			continue
		}
		if g.weight() > best.weight() {
			best = g
		}
	}
	if !best.enough() {
		return nil, best.notFound(p.Name)
	}
	minors := best.minors()
	best.dropStrays()
	f, err := best.measure(ctx, p)
	if err != nil {
		return nil, err
	}
	f.Grid.MinorPerPitch = minors
	return f, nil
}
