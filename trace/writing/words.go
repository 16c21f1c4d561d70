package writing

import (
	"cmp"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

const (
	// Letters are 2.5 to 25 mm high (common practice, no source); a stroke
	// longer than that is a line.
	leastMM, mostMM = 2.5, 25.0
	// lineMM is the length from which a thin straight stroke is no letter's.
	lineMM = 16.0
	// nearMM bounds the gap between strokes of one block, from below and above.
	nearLeastMM, nearMostMM = 3.0, 12.0
	// inkLeastMM2 is the least ink of a block.
	inkLeastMM2 = 3.0
)

func tails(v []float64, part float64) (lo, hi float64) {
	slices.Sort(v)
	k := int(part * float64(len(v)))
	return v[k], v[len(v)-1-k]
}

// words groups strokes into blocks of writing, the largest first. Strokes that
// meet the border, lines and dashes of a line are left out.
func (s *sheet) words(all []stroke) [][]int {
	all = withoutDashes(letters(all))
	group := make([]int, len(all))
	for i := range group {
		group[i] = i
	}
	for i := range all {
		for j := range i {
			if group[i] != group[j] && all[i].belongs(all[j]) {
				from, to := group[i], group[j]
				for k := range group {
					if group[k] == from {
						group[k] = to
					}
				}
			}
		}
	}
	cells := map[int][]int{}
	for i, g := range group {
		cells[g] = append(cells[g], all[i].cells...)
	}
	var out [][]int
	for _, c := range cells {
		if s.looksWritten(c) {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b []int) int {
		return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a[0], b[0]))
	})
	return out
}

// letters keeps the strokes that may be part of a letter.
func letters(all []stroke) []stroke {
	var out []stroke
	for _, p := range all {
		thin := p.broadMM < 0.12*p.longMM+0.9
		if p.touches || (p.longMM > mostMM && p.broadMM < 3) || (thin && p.longMM > lineMM) || p.broadMM > mostMM {
			continue
		}
		out = append(out, p)
	}
	return out
}

// withoutDashes drops strokes that follow each other in one straight line, at
// least three of them.
func withoutDashes(all []stroke) []stroke {
	next := func(a, b stroke) bool {
		if a.longMM < 2.5 || b.longMM < 2.5 || a.broadMM > 0.3*a.longMM || b.broadMM > 0.3*b.longMM {
			return false
		}
		dx, dy := b.mid.X-a.mid.X, b.mid.Y-a.mid.Y
		d := math.Hypot(dx, dy)
		if d < 0.6*(a.longMM+b.longMM)/2 || d > (a.longMM+b.longMM)/2+6 {
			return false
		}
		along := func(u mat.Point) bool { return math.Abs(u.X*dx+u.Y*dy) > 0.95*d }
		return along(a.dir) && along(b.dir)
	}
	links := make([]int, len(all))
	drop := make([]bool, len(all))
	for i := range all {
		for j := range all {
			if i != j && next(all[i], all[j]) {
				links[i]++
			}
		}
	}
	for i := range all {
		for j := range all {
			if i != j && next(all[i], all[j]) && (links[i] > 1 || links[j] > 1) {
				drop[i] = true
			}
		}
	}
	var out []stroke
	for i, p := range all {
		if !drop[i] {
			out = append(out, p)
		}
	}
	return out
}

// belongs reports whether two strokes are near enough for one block: a gap up
// to the width of a space, which is about as wide as a letter is high.
func (p stroke) belongs(q stroke) bool {
	dx := max(0, max(p.minX-q.maxX, q.minX-p.maxX))
	dy := max(0, max(p.minY-q.maxY, q.minY-p.maxY))
	size := max(p.longMM, q.longMM)
	reach := min(max(1.25*size, nearLeastMM), nearMostMM)
	return math.Hypot(float64(dx), float64(dy))*cellMM < reach
}

// looksWritten reports whether a block is large enough both ways and has ink
// enough to be read.
func (s *sheet) looksWritten(cells []int) bool {
	if float64(len(cells))*cellMM*cellMM < inkLeastMM2 {
		return false
	}
	mid, dir := principal(s, cells)
	lo, hi := extents(s, cells, mid, dir, 0)
	a, b := extents(s, cells, mid, mat.Point{X: -dir.Y, Y: dir.X}, 0)
	return hi-lo >= leastMM && b-a >= leastMM*0.9
}
