package grid

import (
	"context"
	"maps"
	"math"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

const (
	// scarceSpans is below how many spans of the pitch a lattice is eked out
	// with minor lines: where pieces leave strips narrower than a pitch, there
	// are hardly any others.
	scarceSpans = 350
	// minorStepPx is the least distance in level px of minor lines that can be
	// told from each other.
	minorStepPx = 6
	// minorSpans is how many of their spans are measured at most, minorSamples
	// from how many profiles each.
	minorSpans, minorSamples = 5000, 8
)

// finer returns the lattice of the minor lines, m to a pitch, as far as they
// go, where there are few of the pitch; nil where they are not needed, or do
// not carry on what is known. It grows outwards from that like any other: a
// model fitted to little may be off by a minor line far from it.
func (g *lattice) finer(ctx context.Context, m int) (*lattice, error) {
	if m < 2 || len(g.seen) >= scarceSpans || g.pitchPx()/float64(g.lvl.factor*m) < minorStepPx {
		return nil, nil
	}
	fine := *g
	fine.seen, fine.weighed = maps.Clone(g.seen), nil
	fine.floor = math.Max(0.6*fine.floor, fine.noise)
	for _, family := range families {
		fine.subdivide(family, m)
	}
	err := fine.refit(ctx)
	if err == nil {
		err = fine.grow(ctx, noLimit)
	}
	if err != nil || !fine.beatsChance() || len(fine.seen) < 2*len(g.seen) {
		return nil, ctx.Err()
	}
	fine.dropStrays()
	return &fine, nil
}

// widenTo takes the model of a finer lattice and looks for its own lines as
// far as that reaches.
func (g *lattice) widenTo(fine *lattice, m int) {
	g.model = fine.model.Stretch(float64(m), float64(m))
	flo, fhi := fine.bounds()
	lo, hi := g.bounds()
	for _, f := range families {
		lo[f] = min(lo[f], -floorDiv(-flo[f], m))
		hi[f] = max(hi[f], floorDiv(fhi[f], m))
	}
	g.seen, g.weighed = map[span]sight{}, nil
	g.probeAll(spansIn(lo, hi), laterReachPitch)
}

// addMinors measures minor lines, m to a pitch, within the grid that was
// found, adds what it measured, and refits the first model.
func (f *Found) addMinors(ctx context.Context, p *photo.Photo, fine *lattice, m int) error {
	b := f.Grid
	lo, hi := [2]int{b.MinColumn * m, b.MinRow * m}, [2]int{b.MaxColumn * m, b.MaxRow * m}
	for s := range fine.seen {
		if c := s.cell(); c[0] < lo[0] || c[1] < lo[1] || c[0] > hi[0] || c[1] > hi[1] {
			delete(fine.seen, s)
		}
	}
	if err := fine.refit(ctx); err != nil {
		return ctx.Err()
	}
	u := fine.gauge(p, minorSpans)
	u.reachPx, u.samples = math.Min(u.reachPx, 2), minorSamples
	all := b.Points
	for _, q := range u.measureAll(fine.model, thin(fine.spans(), minorSpans)) {
		if q = inPitches(q, m); !q.OfPitch() {
			all = append(all, q)
		}
	}
	fit, err := lens.SolveFrom(ctx, fine.model.Stretch(float64(m), float64(m)), all, fine.options())
	if err != nil {
		return ctx.Err()
	}
	f.Grid.Points, f.Steps = all, fit.Model
	return nil
}

// inPitches turns a sample counted in m-ths of a pitch into one counted in
// pitches.
func inPitches(p mat.LinePoint, m int) mat.LinePoint {
	whole := floorDiv(p.Index, m)
	p.Part = float64(p.Index-whole*m) / float64(m)
	p.Index = whole
	p.Along /= float64(m)
	return p
}
