package session

import (
	"math"
	"slices"

	"flatwright/app/desk/view"
	"flatwright/rectify/lens"
	"flatwright/trace/pattern"
)

// Carried tells what became of the maker's marks when a photograph was traced
// anew.
type Carried struct {
	// Kept counts the marks that were found a place again: leaning cuts, and
	// pieces with a name, number or thickness.
	Kept int
	// LostCuts and LostPieces name the old edges and pieces whose marks found
	// none.
	LostCuts, LostPieces []string
}

// Lost counts the marks that found no place.
func (c Carried) Lost() int { return len(c.LostCuts) + len(c.LostPieces) }

const (
	// sameLineMM is how far an outline may lie from where it was traced before
	// and still be the same one: less than the gap between pieces.
	sameLineMM = 1.5
	// samePart is the part of it that must.
	samePart = 0.8
	// carrySteps is how many places along an edge are looked at.
	carrySteps = 24
)

// carry gives the pieces of a new pattern what the maker had said of the old
// ones. Pieces and edges are known again by their place in the photograph,
// which no setting moves.
func carry(old, next pattern.Pattern, oldView, newView lens.Mapping) (pattern.Pattern, Carried) {
	var out Carried
	if len(old.Pieces) == 0 || oldView == nil || newView == nil {
		return next, out
	}
	next = Document{Pattern: next}.clone().Pattern
	reach := reachPx(next, newView)
	before := builder{view: oldView, toleranceMM: flattenToleranceMM}
	after := builder{view: newView, toleranceMM: flattenToleranceMM}
	found := map[int]bool{}
	for i := range old.Pieces {
		p := &old.Pieces[i]
		k := samePiece(before.loop(p.Outline).InPhoto, next, after, reach, found)
		if k < 0 {
			out.lose(p)
			continue
		}
		found[k] = true
		out.give(p, &next.Pieces[k])
		out.giveCuts(p, &next.Pieces[k], before, after, reach)
	}
	return next, out
}

// reachPx is sameLineMM in px of the photograph, roughly.
func reachPx(p pattern.Pattern, v lens.Mapping) float64 {
	for _, n := range p.Nodes() {
		a, m := v.ToPhoto(n), n
		m.X += sameLineMM
		b := v.ToPhoto(m)
		if d := math.Hypot(b.X-a.X, b.Y-a.Y); d > 0 && !math.IsInf(d, 0) {
			return d
		}
	}
	return 0
}

// samePiece returns the piece most of whose outline lies on a line; -1 for
// none.
func samePiece(line []view.Point, next pattern.Pattern, after builder, reach float64, taken map[int]bool) int {
	best, most := -1, samePart
	for k := range next.Pieces {
		if taken[k] {
			continue
		}
		other := after.loop(next.Pieces[k].Outline).InPhoto
		// Both ways, so that a piece inside a larger one is not taken for it.
		part := math.Min(partOn(line, other, reach), partOn(other, line, reach))
		if part >= most {
			best, most = k, part
		}
	}
	return best
}

// partOn returns the part of a line that lies within reach of another.
func partOn(line, other []view.Point, reach float64) float64 {
	on, all := 0, along(line, 4*carrySteps)
	for _, q := range all {
		if distance(other, q) <= reach {
			on++
		}
	}
	return float64(on) / float64(max(len(all), 1))
}

// along returns n places evenly along a line of points.
func along(line []view.Point, n int) []view.Point {
	total := 0.0
	for i := 1; i < len(line); i++ {
		total += math.Hypot(line[i].X-line[i-1].X, line[i].Y-line[i-1].Y)
	}
	var out []view.Point
	done, next := 0.0, total/float64(2*n)
	for i := 1; i < len(line) && len(out) < n; i++ {
		a, b := line[i-1], line[i]
		l := math.Hypot(b.X-a.X, b.Y-a.Y)
		for l > 0 && next <= done+l && len(out) < n {
			t := (next - done) / l
			out = append(out, view.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
			next += total / float64(n)
		}
		done += l
	}
	return out
}

// said reports whether a piece has a name, number or thickness of its own.
func said(p *pattern.Piece) bool { return p.Name != "" || p.Quantity > 1 || p.ThicknessMM > 0 }

func leans(c pattern.Cut) bool { return c.Kind == pattern.Bevel || c.Kind == pattern.Undercut }

// lose notes a piece that was not found again.
func (c *Carried) lose(p *pattern.Piece) {
	if said(p) {
		c.LostPieces = append(c.LostPieces, p.ID)
	}
	for _, e := range p.Edges {
		if leans(e.Cut) {
			c.LostCuts = append(c.LostCuts, e.ID)
		}
	}
}

// give takes over what was said of a piece.
func (c *Carried) give(from, to *pattern.Piece) {
	if said(from) {
		c.Kept++
	}
	to.Name, to.Quantity, to.ThicknessMM = from.Name, from.Quantity, from.ThicknessMM
	to.Mirrored, to.Face = from.Mirrored, from.Face
}

// giveCuts takes over the cuts of a piece's edges. The new edges may be
// divided otherwise: one takes a cut that most of it had before.
func (c *Carried) giveCuts(from, to *pattern.Piece, before, after builder, reach float64) {
	was := edgeLines(from, before)
	for i := range to.Edges {
		to.Edges[i].Cut = cutAlong(edgeLine(to, i, after), from, was, reach)
	}
	now := edgeLines(to, after)
	for i, e := range from.Edges {
		if !leans(e.Cut) {
			continue
		}
		if cutAlong(was[i], to, now, reach) == e.Cut {
			c.Kept++
		} else {
			c.LostCuts = append(c.LostCuts, e.ID)
		}
	}
	slices.Sort(c.LostCuts)
}

func edgeLine(p *pattern.Piece, i int, b builder) []view.Point {
	return b.track(edgePath(p.Outline, p.Edges[i]).Flatten(b.toleranceMM)).InPhoto
}

func edgeLines(p *pattern.Piece, b builder) [][]view.Point {
	out := make([][]view.Point, len(p.Edges))
	for i := range p.Edges {
		out[i] = edgeLine(p, i, b)
	}
	return out
}

// cutAlong returns the cut that a piece has along most of a line; straight
// where there is none.
func cutAlong(line []view.Point, p *pattern.Piece, edges [][]view.Point, reach float64) pattern.Cut {
	votes := map[pattern.Cut]int{}
	places := along(line, carrySteps)
	for _, q := range places {
		best, near := -1, reach
		for i, e := range edges {
			if d := distance(e, q); d <= near {
				best, near = i, d
			}
		}
		if best >= 0 {
			votes[p.Edges[best].Cut]++
		}
	}
	for c, n := range votes {
		if float64(n) >= samePart*float64(len(places)) {
			return c
		}
	}
	return pattern.Cut{Kind: pattern.Straight}
}
