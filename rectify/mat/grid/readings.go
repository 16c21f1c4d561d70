package grid

import (
	"cmp"
	"context"
	"slices"

	"flatwright/rectify/photo"
)

// reading is a lattice and the photograph with the plane it was found in as
// its luminance.
type reading struct {
	plane   *photo.Photo
	lattice *lattice
}

// searchReadings looks for lines in the luminance of the photograph reduced in
// the usual way. Where that shows no large lattice, it looks in coarser
// pictures, in which fine lines between the majors are gone and noise is less,
// in a finer one, and in the colours. A large lattice stands alone; otherwise
// all are returned, the one with the most evidence first.
func searchReadings(ctx context.Context, p *photo.Photo) ([]reading, error) {
	var all []reading
	try := func(plane *photo.Photo, l *level) (large bool, err error) {
		g, err := search(ctx, l)
		if err != nil {
			return false, err
		}
		r := reading{plane, g}
		if len(g.seen) >= goodSpans {
			all = []reading{r}
			return true, nil
		}
		all = append(all, r)
		return false, nil
	}
	for _, f := range searchFactors(p) {
		if large, err := try(p, levelOf(p, f)); large || err != nil {
			return all, err
		}
	}
	if hasColour(p) && !colourless(p) {
		for _, t := range tints() {
			q := inTint(p, t)
			if large, err := try(q, newLevel(q)); large || err != nil {
				return all, err
			}
		}
	}
	slices.SortStableFunc(all, func(a, b reading) int { return cmp.Compare(b.lattice.evidence(), a.lattice.evidence()) })
	return all, nil
}

// leastSidePx is the shorter side of the smallest picture worth searching.
const leastSidePx = 400

// searchFactors lists the reductions in which lines are looked for.
func searchFactors(p *photo.Photo) []int {
	f := searchFactor(p)
	out := []int{f}
	for _, g := range []int{f + (f+1)/2, 2 * f} {
		if g > out[len(out)-1] && min(p.Width, p.Height)/g >= leastSidePx {
			out = append(out, g)
		}
	}
	if f > 1 {
		out = append(out, f-f/2)
	}
	return out
}

// evidence is weight against the noise of the plane, so that planes can be
// compared.
func (g *lattice) evidence() float64 {
	if len(g.seen) == 0 || g.noise <= 0 {
		return 0
	}
	return g.weight() / g.noise
}
