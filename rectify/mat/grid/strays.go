package grid

import "flatwright/rectify/mat"

// dropStrays keeps, of each family, the run of lines that are really there:
// the edge of a rule, a plank's grain or the mat's rim may pass for a few
// spans, but carry hardly any ink, or lie beyond lines that are not seen at
// all. Spans beyond the frame do not count.
func (g *lattice) dropStrays() {
	for _, f := range families {
		lo, hi := g.bounds()
		there := g.linesThere(f, lo[f], hi[f])
		first, last := longestRun(there)
		for i := lo[f]; i <= hi[f]; i++ {
			if i < lo[f]+first || i > lo[f]+last {
				g.dropLine(f, i)
			}
		}
	}
}

// linesThere says of each line from lo to hi whether enough of it is seen,
// with enough ink, against its family's typical line.
func (g *lattice) linesThere(f mat.Family, lo, hi int) []bool {
	inkOf := g.lineInk(f)
	var shares, inks []float64
	for i := lo; i <= hi; i++ {
		if v, ok := inkOf[i]; ok {
			shares, inks = append(shares, g.share(f, i)), append(inks, v)
		}
	}
	share, ink := median(shares), median(inks)
	there := make([]bool, hi-lo+1)
	for i := lo; i <= hi; i++ {
		// Fewer than three spans have no ink on record.
		v, ok := inkOf[i]
		here := g.share(f, i)
		there[i-lo] = ok && v >= 0.35*ink && here >= 0.25*share && v*here >= 0.2*ink*share
	}
	return there
}

// longestRun returns the first and last of the longest run of lines that are
// there. A single line that is not, under a long piece, does not break it; nor
// do more where enough lines follow on the other side: large pieces may hide
// several lines whole, but nothing beyond a mat goes on at its pitch.
func longestRun(there []bool) (first, last int) {
	const enough = 3
	bestFirst, bestLast := 0, -1
	start, end, before := -1, -1, 0
	for _, r := range runs(there) {
		many := r[1]-r[0]+1 >= enough
		if start < 0 || r[0]-end > 2 && !(many && before >= enough && r[0]-end <= before) {
			start, before = r[0], 0
		}
		before += r[1] - r[0] + 1
		end = r[1]
		if end-start > bestLast-bestFirst {
			bestFirst, bestLast = start, end
		}
	}
	return bestFirst, bestLast
}

// runs lists the unbroken runs of what is there, first and last.
func runs(there []bool) (out [][2]int) {
	for i, ok := range there {
		switch {
		case !ok:
		case i > 0 && there[i-1]:
			out[len(out)-1][1] = i
		default:
			out = append(out, [2]int{i, i})
		}
	}
	return out
}

// share returns which part of a line's spans inside the frame and the grid
// are seen.
func (g *lattice) share(f mat.Family, index int) float64 {
	lo, hi := g.bounds()
	tried, seen := 0, 0
	for at := lo[1-f]; at < hi[1-f]; at++ {
		s := span{f, index, at}
		c, ok := g.course(s, 0)
		if !ok {
			continue
		}
		if x, y, _, _ := c.at(0.5); !g.lvl.inside(x, y, 8) {
			continue
		}
		tried++
		if _, ok := g.seen[s]; ok {
			seen++
		}
	}
	if tried == 0 {
		return 0
	}
	return float64(seen) / float64(tried)
}

// dropLine forgets a line.
func (g *lattice) dropLine(f mat.Family, index int) {
	for s := range g.seen {
		if s.family == f && s.index == index {
			delete(g.seen, s)
		}
	}
}
