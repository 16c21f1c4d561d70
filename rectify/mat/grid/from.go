package grid

import (
	"context"

	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
)

// anchorReachSpans is how far from an anchor, in steps, a first model that is
// exact at the anchors is still trusted.
const anchorReachSpans = 2

// FindFrom reads the mat's lines when a first camera model is known from
// crossings clicked by hand: start maps (column, row) to the photograph, is
// right at the anchors, and keeps its numbering. Lines are looked for around
// the anchors first, since between them the lens may bend the mat by more
// than a line's distance from the next. Errors: *NotFoundError when too few
// lines lie where the model puts them, or the context's.
func FindFrom(ctx context.Context, p *photo.Photo, start lens.Model, anchors [][2]int) (*Found, error) {
	l := newLevel(p)
	floor := newResponse(l).noiseFloor()
	best := &lattice{lvl: l, seen: map[span]sight{}}
	for _, pol := range []polarity{bright, dark} {
		g := &lattice{lvl: l, pol: pol, model: start, seen: map[span]sight{}, floor: heightOf(floor)}
		g.probeAll(spansAround(anchors), firstReachPitch)
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
		if g.beatsChance() && g.weight() > best.weight() {
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

// spansAround lists the spans within anchorReachSpans of any anchor, each
// once.
func spansAround(anchors [][2]int) []span {
	var out []span
	have := map[span]bool{}
	for _, a := range anchors {
		lo := [2]int{a[0] - anchorReachSpans, a[1] - anchorReachSpans}
		hi := [2]int{a[0] + anchorReachSpans, a[1] + anchorReachSpans}
		for _, s := range spansIn(lo, hi) {
			if !have[s] {
				have[s] = true
				out = append(out, s)
			}
		}
	}
	return out
}
