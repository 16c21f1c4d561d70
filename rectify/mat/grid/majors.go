package grid

import (
	"context"
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// useMajors rescales the lattice so that one step is the distance between
// the mat's major lines both ways. It returns how many minor steps divide that
// pitch, and the finer spacings, in pitches, whose lines stand out from those
// between. The two families may have been caught at different lines: first the
// cells are made square, then both families are asked together which of their
// lines are the stronger.
func (g *lattice) useMajors(ctx context.Context, p *photo.Photo, sizes Sizes) (minorPerPitch int, finer []float64, err error) {
	if err := g.subdivideHidden(ctx); err != nil {
		return 0, nil, err
	}
	g.tighten()
	g.weigh(p)
	defer func() { g.weighed = nil }()
	every, phase := g.squareCells()
	inks := g.inks(every, phase)
	var steps []int
	halved, from := strongBoth(inks, halvings, &steps)
	finer = finerSpacings(inks, steps, from)
	every, phase = compose(every, phase, halved, from)
	if every, phase, err = g.byEmphasis(ctx, p, every, phase, sizes, &finer); err != nil {
		return 0, nil, err
	}
	if every == [2]int{1, 1} {
		return g.minors(), finer, nil
	}
	if g.majorsSeen(every, phase) < fewMajors {
		// So few do not hold a model: it is settled on all lines first.
		if err := g.grow(ctx, noLimit); err != nil {
			return 0, nil, err
		}
		g.tighten()
	}
	if err := g.regroupTo(ctx, every, phase); err != nil {
		return 0, nil, err
	}
	return max(g.minors(), every[0], every[1]), finer, nil
}

// subdivideHidden counts lines that stand between the lattice's own and are as
// strong, and those that make its cells square, and grows on them.
func (g *lattice) subdivideHidden(ctx context.Context) error {
	changed := false
	for _, f := range families {
		if m := g.hiddenEquals(f); m > 1 {
			g.subdivide(f, m)
			changed = true
		}
	}
	if g.squareBySubdividing() {
		changed = true
	}
	if !changed {
		return nil
	}
	return g.grow(ctx, 2*firstSpans)
}

// finerSpacings lists, in pitches, the spacings that groupings of the base
// lines have passed through on the way to the pitch: the base itself, and those
// whose own lines stand out.
func finerSpacings(inks [2]map[int]float64, steps []int, phase [2]int) (finer []float64) {
	for k := range steps {
		pitch := 1
		for _, m := range steps[k:] {
			pitch *= m
		}
		if k == 0 || standsOut(inks, steps, k, phase) {
			finer = append(finer, 1/float64(pitch))
		}
	}
	return finer
}

// standsOut reports whether the lines that only the first k groupings share,
// and not the next one too, carry more ink than those between: where every
// fourth line is heavy, every second is so only by half.
func standsOut(inks [2]map[int]float64, steps []int, k int, phase [2]int) bool {
	own := 1
	for _, m := range steps[:k] {
		own *= m
	}
	next := own * steps[k]
	var these, between []float64
	for f := range inks {
		for i, v := range inks[f] {
			switch d := i - phase[f]; {
			case d%next == 0:
			case d%own == 0:
				these = append(these, v)
			default:
				between = append(between, v)
			}
		}
	}
	return len(these) > 0 && median(between) < steadilyWeaker*median(these)
}

// fewMajors is how many spans of majors are few.
const fewMajors = 150

// majorsSeen counts the spans seen of every so many lines.
func (g *lattice) majorsSeen(every, phase [2]int) int {
	n := 0
	for s := range g.seen {
		if (s.index-phase[s.family])%every[s.family] == 0 {
			n++
		}
	}
	return n / max(every[0], every[1])
}

// regroupTo keeps every so many lines of each family, and refits.
func (g *lattice) regroupTo(ctx context.Context, every, phase [2]int) error {
	g.group(every, phase)
	if !g.enough() {
		return errLost
	}
	return g.refit(ctx)
}

// inks returns the ink of every so many lines of each family.
func (g *lattice) inks(every, phase [2]int) (out [2]map[int]float64) {
	for _, f := range families {
		out[f] = regroup(g.inkOrNone(f), every[f], phase[f])
	}
	return out
}

// compose groups lines that are grouped already.
func compose(every, phase, e, p [2]int) (outEvery, outPhase [2]int) {
	for f := range every {
		outEvery[f], outPhase[f] = every[f]*e[f], phase[f]+p[f]*every[f]
	}
	return outEvery, outPhase
}

// aspectSlack is by what part of itself the ratio of a cell's sides may be
// misjudged while the focal length is only guessed, knownSlack when it is known.
const aspectSlack, knownSlack = 0.25, 0.12

// oblong returns which family's lines stand closer and how often the one
// spacing goes into the other, roughly.
func (g *lattice) oblong() (fine mat.Family, ratio float64) {
	r := g.cellAspect()
	if r < 1 {
		return mat.Columns, 1 / r
	}
	return mat.Rows, r
}

// mayDivide reports whether a ratio of spacings may truly be m.
func (g *lattice) mayDivide(ratio float64, m int) bool {
	slack := aspectSlack
	if g.focalPx > 0 {
		slack = knownSlack
	}
	return math.Abs(ratio/float64(m)-1) <= slack
}

// largestOblong is the most that one family may be caught finer than the
// other.
const largestOblong = 12

// squareBySubdividing makes oblong cells square by the fainter lines that
// stand between those of the coarser family, where they are seen.
func (g *lattice) squareBySubdividing() bool {
	const seenPart = 0.3
	fine, r := g.oblong()
	best, bestShare := 1, seenPart
	for m := 2; m <= largestOblong; m++ {
		if !g.mayDivide(r, m) {
			continue
		}
		least := 1.0
		for k := 1; k < m && least > bestShare; k++ {
			share, _ := g.subInk(1-fine, k, m)
			least = math.Min(least, share)
		}
		if least > bestShare {
			best, bestShare = m, least
		}
	}
	if best == 1 {
		return false
	}
	g.subdivide(1-fine, best)
	return true
}

// squareCells groups the lines of the finer family so that the cells become
// square, by the number and phase at which they carry most ink.
func (g *lattice) squareCells() (every, phase [2]int) {
	every = [2]int{1, 1}
	fine, r := g.oblong()
	inkOf := g.inkOrNone(fine)
	best := math.Inf(1)
	for m := 2; m <= largestOblong; m++ {
		if !g.mayDivide(r, m) {
			continue
		}
		p, ratio := strongPhase(inkOf, m)
		// Where the ink does not say, the nearest number is taken.
		if cost := ratio + 0.5*math.Abs(r/float64(m)-1); cost < best {
			best, every[fine], phase[fine] = cost, m, p
		}
	}
	return every, phase
}

// farMM is the height above the mat beyond which no hand holds a phone, and
// largeMM the length beyond which a mat is no longer laid on a table.
const (
	farMM   = 2200
	largeMM = 2000
)

// byEmphasis decides whether a heavier line every third, fifth or tenth makes
// the pitch, or only stresses lines that are a pitch apart already. It makes
// the pitch only if the camera would otherwise hang too high to be held, or
// the mat be larger than mats are.
func (g *lattice) byEmphasis(ctx context.Context, p *photo.Photo, every, phase [2]int, sizes Sizes, finer *[]float64) (outEvery, outPhase [2]int, err error) {
	if sizes.PitchMM <= 0 {
		return every, phase, nil
	}
	// Every tenth line is only told, and the mat's size only known, on more of
	// it. The lattice would grow there later anyway, if these are its majors.
	if every == [2]int{1, 1} {
		if err := g.grow(ctx, noLimit); err != nil {
			return every, phase, err
		}
		g.tighten()
		g.weigh(p)
	}
	for g.tooLarge(every, sizes) {
		m, from := strongStep(g.inks(every, phase), emphases)
		if m == 1 {
			break
		}
		every, phase = compose(every, phase, [2]int{m, m}, from)
		if len(*finer) == 0 {
			*finer = []float64{1}
		}
		for k := range *finer {
			(*finer)[k] /= float64(m)
		}
	}
	return every, phase, nil
}

// tooLarge reports whether the mat is implausibly large or far if every so
// many of the lattice's lines are a pitch apart.
func (g *lattice) tooLarge(every [2]int, sizes Sizes) bool {
	if g.heightSteps(sizes)*sizes.PitchMM/float64(every[0]) >= farMM {
		return true
	}
	lo, hi := g.bounds()
	for _, f := range families {
		first, last := longestRun(g.linesThere(f, lo[f], hi[f]))
		if float64(last-first)/float64(every[f])*sizes.PitchMM >= largeMM {
			return true
		}
	}
	return false
}
