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
	// faint tells that it began with crests that noise may make as well.
	faint bool
}

// faintPoints is how many samples a grid that began with faint crests must
// have to be believed: noise makes small lattices.
const faintPoints = 300

// believable reports whether a grid was not made of noise.
func (r reading) believable(f *Found) bool { return !r.faint || len(f.Grid.Points) >= faintPoints }

// eachReading looks for lines in the luminance of the photograph reduced in
// the usual way, and hands on what it finds when that is a large lattice. If
// that is none, or take refuses it, it looks in coarser pictures, in which fine
// lines between the majors are gone and noise is less, in a finer one, for
// fainter lines, and in the colours. Last it hands on the small lattices, the one with the most
// evidence first. It stops when take accepts, or at an error of its own.
func eachReading(ctx context.Context, p *photo.Photo, take func(reading) (accepted bool)) error {
	var small []reading
	try := func(plane *photo.Photo, l *level) (accepted bool, err error) {
		g, err := search(ctx, l)
		if err != nil {
			return false, err
		}
		r := reading{plane, g, l.faint}
		if len(g.seen) >= goodSpans {
			return take(r), nil
		}
		small = append(small, r)
		return false, nil
	}
	for _, f := range searchFactors(p) {
		if accepted, err := try(p, levelOf(p, f)); accepted || err != nil {
			return err
		}
	}
	faint := newLevel(p)
	faint.faint = true
	if accepted, err := try(p, faint); accepted || err != nil {
		return err
	}
	if hasColour(p) && !colourless(p) {
		for _, t := range tints() {
			q := inTint(p, t)
			if accepted, err := try(q, tintLevel(q, searchFactor(q))); accepted || err != nil {
				return err
			}
		}
	}
	slices.SortStableFunc(small, func(a, b reading) int { return cmp.Compare(b.lattice.evidence(), a.lattice.evidence()) })
	for _, r := range small {
		if take(r) {
			return nil
		}
	}
	return nil
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
