package grid

import (
	"context"

	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
)

// anchorReachSpans is how far from an anchor, in steps, a first model that is
// exact at the anchors is still trusted.
const anchorReachSpans = 2

// leastAnchored is one in how many of the spans around the anchors must be
// there for a lattice to begin with: crossings that were clicked are in sight,
// and noise answers one time in seven.
const leastAnchored = 5

// FindFrom reads the mat's lines when a first camera model is known from
// crossings clicked by hand: start maps (column, row) to the photograph, is
// right at the anchors, and keeps its numbering. Lines are looked for around
// the anchors first, since between them the lens may bend the mat by more
// than a line's distance from the next. Errors: *NotFoundError when too few
// lines lie where the model puts them, or the context's.
func FindFrom(ctx context.Context, p *photo.Photo, start lens.Model, anchors [][2]int) (*Found, error) {
	plane, best, err := startPlanes(ctx, p, start, anchors)
	if err != nil {
		return nil, err
	}
	if !best.enough() {
		return nil, best.notFound(p.Name)
	}
	minors := best.minors()
	best.dropStrays()
	f, err := best.measure(ctx, plane)
	if err != nil {
		return nil, err
	}
	f.Grid.MinorPerPitch = minors
	return f, nil
}

// startPlanes grows the lattice in the luminance, and where that shows none
// in the colours.
func startPlanes(ctx context.Context, p *photo.Photo, start lens.Model, anchors [][2]int) (*photo.Photo, *lattice, error) {
	best, err := startFrom(ctx, newLevel(p), start, anchors)
	if err != nil || best.enough() || !hasColour(p) || colourless(p) {
		return p, best, err
	}
	plane := p
	for _, t := range tints() {
		q := inTint(p, t)
		g, err := startFrom(ctx, tintLevel(q, searchFactor(q)), start, anchors)
		if err != nil {
			return nil, nil, err
		}
		if g.evidence() > best.evidence() {
			plane, best = q, g
		}
	}
	return plane, best, nil
}

// startFrom grows the largest lattice of either polarity from the anchors.
func startFrom(ctx context.Context, l *level, start lens.Model, anchors [][2]int) (*lattice, error) {
	floor := newResponse(l).noiseFloor()
	best := &lattice{lvl: l, seen: map[span]sight{}}
	for _, pol := range []polarity{bright, dark} {
		g := &lattice{lvl: l, pol: pol, model: start, seen: map[span]sight{}, floor: heightOf(floor), noise: heightOf(floor)}
		around := spansAround(anchors)
		g.probeAll(around, firstReachPitch)
		if len(g.seen) < 8 || len(g.seen)*leastAnchored < len(around) || !g.bothFamilies(2) {
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
	return best, nil
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
