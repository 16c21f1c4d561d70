package scene

import (
	"math"
	"sort"

	"flatwright/rectify/mat"
)

// pairUp finds the quarter turn and the shift of the found frame
// under which most of the truth is covered, and pairs pieces under it: truth
// index to found index.
func pairUp(truth Truth, found []Outline) (motion, map[int]int) {
	best, pairs, score := turn(0), map[int]int{}, 0.0
	for q := range 4 {
		r := quarterTurn(q)
		for _, m := range shiftCandidates(truth, found, r) {
			if p, s := pairUnder(truth, found, m); s > score {
				best, pairs, score = m, p, s
			}
		}
	}
	return best, pairs
}

// quarterTurn is exact, so that whole pitches stay whole.
func quarterTurn(q int) motion {
	c := [4]float64{1, 0, -1, 0}
	return motion{cos: c[q%4], sin: c[(q+3)%4]}
}

// maxCandidates bounds how many shifts are tried for each turn.
const maxCandidates = 12

// voteMM is the width of the bins in which shifts are counted: found centres
// are good to a fraction of it.
const voteMM = 3

// shiftCandidates lets every pair of a found and a true piece of like area
// vote for the shift that brings their centres together. A file of outlines
// may be moved by any amount, so the shift is the mean of the votes that
// agree.
func shiftCandidates(truth Truth, found []Outline, r motion) []motion {
	type bin struct{ x, y int }
	type tally struct {
		sum   mat.Point
		votes int
	}
	votes := map[bin]tally{}
	for _, f := range found {
		if len(f.Polygon) < 3 {
			continue
		}
		c, area := r.apply(centroid(f.Polygon)), math.Abs(signedArea(f.Polygon))
		for _, t := range truth.Pieces {
			if ratio := area / math.Abs(signedArea(t.Outline)); ratio < 0.7 || ratio > 1.4 {
				continue
			}
			d := sub(centroid(t.Outline), c)
			k := bin{int(math.Round(d.X / voteMM)), int(math.Round(d.Y / voteMM))}
			v := votes[k]
			votes[k] = tally{mat.Point{X: v.sum.X + d.X, Y: v.sum.Y + d.Y}, v.votes + 1}
		}
	}
	var list []bin
	for k := range votes {
		list = append(list, k)
	}
	sort.Slice(list, func(i, j int) bool {
		a, b := list[i], list[j]
		if votes[a].votes != votes[b].votes {
			return votes[a].votes > votes[b].votes
		}
		return a.x < b.x || (a.x == b.x && a.y < b.y)
	})
	var out []motion
	for _, k := range list[:min(len(list), maxCandidates)] {
		v, m := votes[k], r
		m.dx, m.dy = v.sum.X/float64(v.votes), v.sum.Y/float64(v.votes)
		out = append(out, m)
	}
	return out
}

// pairUnder pairs pieces by overlap under a motion, best first, and returns
// the sum of the overlaps.
func pairUnder(truth Truth, found []Outline, m motion) (map[int]int, float64) {
	type candidate struct {
		truth, found int
		overlap      float64
	}
	var list []candidate
	for i, f := range found {
		if len(f.Polygon) < 3 {
			continue
		}
		moved := m.applyAll(f.Polygon)
		for j, t := range truth.Pieces {
			if v := overlap(t.Outline, moved); v >= matchOverlap {
				list = append(list, candidate{j, i, v})
			}
		}
	}
	sort.SliceStable(list, func(a, b int) bool { return list[a].overlap > list[b].overlap })
	pairs, used, sum := map[int]int{}, map[int]bool{}, 0.0
	for _, c := range list {
		if _, taken := pairs[c.truth]; taken || used[c.found] {
			continue
		}
		pairs[c.truth], used[c.found] = c.found, true
		sum += c.overlap
	}
	return pairs, sum
}

// overlap is the area of the intersection over that of the union, by a
// lattice of about 1500 points over both; good to a few per cent.
func overlap(a, b []mat.Point) float64 {
	a, b = thinned(a), thinned(b)
	box, other := boundsOf(a), boundsOf(b)
	if box.minX > other.maxX || box.maxX < other.minX || box.minY > other.maxY || box.maxY < other.minY {
		return 0
	}
	box = bounds{
		min(box.minX, other.minX), min(box.minY, other.minY),
		max(box.maxX, other.maxX), max(box.maxY, other.maxY),
	}
	const n = 39
	both, either := 0, 0
	for i := range n {
		for j := range n {
			p := mat.Point{
				X: box.minX + (box.maxX-box.minX)*(float64(i)+0.5)/n,
				Y: box.minY + (box.maxY-box.minY)*(float64(j)+0.5)/n,
			}
			inA, inB := contains(a, p), contains(b, p)
			if inA && inB {
				both++
			}
			if inA || inB {
				either++
			}
		}
	}
	return float64(both) / float64(max(either, 1))
}

// thinned is a ring of about 160 points evenly spaced along a denser one, for
// areas only: leaving out every other point would cut off the ends of long
// straight sides.
func thinned(ring []mat.Point) []mat.Point {
	const enough = 160
	if len(ring) <= enough {
		return ring
	}
	length := 0.0
	for i := range ring {
		d := sub(ring[(i+1)%len(ring)], ring[i])
		length += math.Hypot(d.X, d.Y)
	}
	out := make([]mat.Point, 0, enough)
	next, at := 0.0, 0.0
	for i := range ring {
		d := sub(ring[(i+1)%len(ring)], ring[i])
		side := math.Hypot(d.X, d.Y)
		for ; next < at+side; next += length / enough {
			t := (next - at) / side
			out = append(out, mat.Point{X: ring[i].X + t*d.X, Y: ring[i].Y + t*d.Y})
		}
		at += side
	}
	return out
}
