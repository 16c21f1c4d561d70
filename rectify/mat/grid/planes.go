package grid

import (
	"context"

	"flatwright/rectify/photo"
)

// searchPlanes looks for lines in the luminance, and in the colours where
// that shows no large lattice. It returns the lattice and the photograph with
// the plane it was found in as its luminance.
func searchPlanes(ctx context.Context, p *photo.Photo) (*photo.Photo, *lattice, error) {
	best, err := search(ctx, newLevel(p))
	if err != nil {
		return nil, nil, err
	}
	plane := p
	if len(best.seen) >= goodSpans || !hasColour(p) || colourless(p) {
		return plane, best, nil
	}
	for _, t := range tints() {
		q := inTint(p, t)
		g, err := search(ctx, newLevel(q))
		if err != nil {
			return nil, nil, err
		}
		if g.evidence() > best.evidence() {
			plane, best = q, g
		}
	}
	return plane, best, nil
}

// evidence is weight against the noise of the plane, so that planes can be
// compared.
func (g *lattice) evidence() float64 {
	if len(g.seen) == 0 || g.noise <= 0 {
		return 0
	}
	return g.weight() / g.noise
}
