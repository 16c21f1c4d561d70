package grid

import (
	"cmp"
	"context"
	"iter"
	"runtime"
	"slices"
	"sync"
)

// windowSides are the sizes, in level px, of the windows in which seeds are
// looked for, in order; triesPerSide is how many of each are looked at.
var windowSides = [...]int{400, 640, 1000}

const triesPerSide = 16

// firstSpans is how far a lattice grows before it is asked which of its lines
// are a pitch apart: enough to tell, and no more of a fine lattice than that.
const firstSpans = 700

// goodSpans is the size at which a lattice is believed without looking for a
// better one.
const goodSpans = 120

// crests are the crests of lines of either polarity.
type crests map[polarity][]ridge

// count is how many there are of both.
func (c crests) count() int { return len(c[bright]) + len(c[dark]) }

// findCrests looks for the crests of a level.
func (l *level) findCrests() {
	brights, darks, floor := findRidges(l)
	l.crests, l.floor = crests{bright: brights, dark: darks}, floor
}

// bestWindows cuts the level into windows of a side and returns those of both
// polarities, the ones with most crossing crests first.
func (l *level) bestWindows(c crests, sidePx int) []window {
	ws := append(windows(l, bright, c[bright], sidePx), windows(l, dark, c[dark], sidePx)...)
	slices.SortStableFunc(ws, func(a, b window) int { return cmp.Compare(b.merit, a.merit) })
	return ws
}

// search returns the largest lattice that any seed grows into.
func search(ctx context.Context, l *level) (*lattice, error) {
	l.findCrests()
	best := &lattice{lvl: l, seen: map[span]sight{}}
	for _, side := range windowSides {
		if side > windowSides[0] && side > 2*max(l.w, l.h) {
			break
		}
		ws := l.bestWindows(l.crests, side)
		for batch := range batches(ws[:min(len(ws), triesPerSide)]) {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			for _, g := range growAll(ctx, l, batch) {
				if g != nil && g.weight() > best.weight() {
					best = g
				}
				if len(best.seen) >= goodSpans {
					return best, nil
				}
			}
		}
	}
	return best, nil
}

// batches yields the first window alone, since it mostly is the right one, and
// then as many at a time as there are processors.
func batches(ws []window) iter.Seq[[]window] {
	return func(yield func([]window) bool) {
		for size := 1; len(ws) > 0; size = runtime.GOMAXPROCS(0) {
			n := min(size, len(ws))
			if !yield(ws[:n]) {
				return
			}
			ws = ws[n:]
		}
	}
}

// growAll grows what each of several windows seeds, at the same time.
func growAll(ctx context.Context, l *level, ws []window) []*lattice {
	out := make([]*lattice, len(ws))
	var wg sync.WaitGroup
	for k, w := range ws {
		wg.Go(func() {
			w.gather(l.crests[w.pol])
			out[k] = growFrom(ctx, l, w)
		})
	}
	wg.Wait()
	return out
}

// growFrom grows the lattice that a window seeds; nil when it seeds none.
func growFrom(ctx context.Context, l *level, w window) *lattice {
	s, ok := newSeed(w)
	if !ok {
		return nil
	}
	g, ok := newLattice(ctx, l, s)
	if !ok || !g.settle(ctx, s) {
		return nil
	}
	if g.grow(ctx, firstSpans) != nil || !g.beatsChance() || g.isGround() {
		return nil
	}
	return g
}
