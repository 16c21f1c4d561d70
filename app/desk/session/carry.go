package session

import (
	"math"
	"slices"

	"flatwright/app/desk/view"
	"flatwright/rectify/lens"
	"flatwright/trace/pattern"
)

// Carried tells what became of the maker's marks when a photograph was squared
// up or traced anew.
type Carried struct {
	// Along tells that the pieces came along as they were, with everything.
	Along bool
	// Repaired tells that repairs by hand were replaced by what was traced.
	Repaired bool
	// Kept counts what found a place again on newly traced pieces: edges with a
	// cut or an allowance, pieces that something was said of, and seams.
	Kept int
	// LostCuts, LostPieces and LostSeams name the old edges, pieces and seams
	// of which it found none, or only in part.
	LostCuts, LostPieces, LostSeams []string
}

// Lost counts what found no place.
func (c Carried) Lost() int { return len(c.LostCuts) + len(c.LostPieces) + len(c.LostSeams) }

const (
	// sameLineMM is how far an outline may lie from where it was traced before
	// and still be the same one: less than the gap between pieces.
	sameLineMM = 1.5
	// samePart is the part of it that must.
	samePart = 0.8
	// carrySteps is how many places along an edge are looked at.
	carrySteps = 24
)

// carrier carries the maker's marks from old pieces to new ones. Pieces and
// edges are known again by their place in the photograph, which no setting
// moves.
type carrier struct {
	before, after builder
	move          mover
	reachPx       float64
	// edges leads from an old edge to the new one that is the same.
	edges map[string]string
	out   Carried
}

// carry gives the pieces of a new pattern what the maker had said of those of
// a document.
func carry(d Document, next pattern.Pattern, oldView, newView lens.Mapping) (pattern.Pattern, Carried) {
	old := d.Pattern
	if len(old.Pieces) == 0 || oldView == nil || newView == nil {
		return next, Carried{}
	}
	next = Document{Pattern: next}.clone().Pattern
	c := carrier{
		before:  builder{view: oldView, toleranceMM: flattenToleranceMM},
		after:   builder{view: newView, toleranceMM: flattenToleranceMM},
		move:    mover{from: oldView, to: newView, ok: true},
		reachPx: reachPx(next, newView), edges: map[string]string{},
	}
	taken := map[int]bool{}
	for i := range old.Pieces {
		p := &old.Pieces[i]
		k := c.same(p, next, taken)
		if k < 0 {
			c.lose(p)
			continue
		}
		taken[k] = true
		c.give(p, &next.Pieces[k])
	}
	next.Limits = old.Limits
	c.giveSeams(old, &next)
	c.giveTapes(old, &next, tapesFound(d))
	slices.Sort(c.out.LostCuts)
	return next, c.out
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

// same returns the new piece whose outline is an old piece's; -1 for none.
func (c *carrier) same(p *pattern.Piece, next pattern.Pattern, taken map[int]bool) int {
	line := c.before.loop(p.Outline).InPhoto
	best, most := -1, samePart
	for k := range next.Pieces {
		if taken[k] {
			continue
		}
		other := c.after.loop(next.Pieces[k].Outline).InPhoto
		// Both ways, so that a piece inside a larger one is not taken for it.
		part := math.Min(partOn(line, other, c.reachPx), partOn(other, line, c.reachPx))
		if part >= most {
			best, most = k, part
		}
	}
	return best
}

// partOn returns the part of a line that lies within reach of another.
func partOn(line, other []view.Point, reach float64) float64 {
	on, all := 0, places(line, 4*carrySteps)
	for _, q := range all {
		if distance(other, q) <= reach {
			on++
		}
	}
	return float64(on) / float64(max(len(all), 1))
}

// places returns n places evenly along a line of points.
func places(line []view.Point, n int) []view.Point {
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

// said reports whether the maker said something of a piece.
func said(p *pattern.Piece) bool {
	return p.Name != "" || p.Quantity > 1 || p.ThicknessMM > 0 || p.Mirrored || p.Material != "" || p.Note != ""
}

// worked reports whether an edge carries a cut or an allowance.
func worked(e pattern.Edge) bool {
	return e.Cut.Kind == pattern.Bevel || e.Cut.Kind == pattern.Undercut || e.Cut.Varies || e.Allowance.WidthMM > 0
}

// lose notes a piece that was not found again.
func (c *carrier) lose(p *pattern.Piece) {
	if said(p) || slices.ContainsFunc(p.Lines, isWorked) {
		c.out.LostPieces = append(c.out.LostPieces, p.ID)
	}
	for _, e := range p.Edges {
		if worked(e) {
			c.out.LostCuts = append(c.out.LostCuts, e.ID)
		}
	}
}

// give takes over what was said of a piece, its edges, lines and marks. What
// the tracing found anew stays as it was found.
func (c *carrier) give(from, to *pattern.Piece) {
	if said(from) {
		c.out.Kept++
	}
	fresh := *to
	*to = *from
	to.ID, to.Outline, to.Openings, to.Edges = fresh.ID, fresh.Outline, fresh.Openings, fresh.Edges
	to.Lines, to.Marks = slices.Clone(fresh.Lines), slices.Clone(fresh.Marks)
	c.giveEdges(from, to)
	lost := c.giveLines(from, to)
	c.giveMarks(from, to)
	if lost && !slices.Contains(c.out.LostPieces, from.ID) {
		c.out.LostPieces = append(c.out.LostPieces, from.ID)
	}
}

// workOf is what the maker gave an edge.
type workOf struct {
	cut       pattern.Cut
	allowance pattern.Allowance
	rim       bool
}

func workOn(e pattern.Edge) workOf { return workOf{e.Cut, e.Allowance, e.Rim} }

// giveEdges takes over the cuts and allowances of a piece's edges. The new
// edges may be divided otherwise: one takes what most of it had before.
func (c *carrier) giveEdges(from, to *pattern.Piece) {
	was, now := edgeLines(from, c.before), edgeLines(to, c.after)
	for i := range to.Edges {
		w := c.workAlong(now[i], from, was)
		to.Edges[i].Cut, to.Edges[i].Allowance, to.Edges[i].Rim = w.cut, w.allowance, w.rim
	}
	for i, e := range from.Edges {
		if k := c.sameEdge(was[i], now); k >= 0 {
			c.edges[e.ID] = to.Edges[k].ID
		}
		if !worked(e) {
			continue
		}
		if c.workAlong(was[i], to, now) == workOn(e) {
			c.out.Kept++
		} else {
			c.out.LostCuts = append(c.out.LostCuts, e.ID)
		}
	}
}

func edgeLines(p *pattern.Piece, b builder) [][]view.Point {
	out := make([][]view.Point, len(p.Edges))
	for i := range p.Edges {
		out[i] = b.track(edgePath(p.Outline, p.Edges[i]).Flatten(b.toleranceMM)).InPhoto
	}
	return out
}

// sameEdge returns the new edge that runs where an old one did, from end to
// end; -1 for none.
func (c *carrier) sameEdge(line []view.Point, now [][]view.Point) int {
	for k, other := range now {
		if partOn(line, other, c.reachPx) >= samePart && partOn(other, line, c.reachPx) >= samePart {
			return k
		}
	}
	return -1
}

// workAlong returns what a piece has along most of a line; a straight cut
// where there is nothing.
func (c *carrier) workAlong(line []view.Point, p *pattern.Piece, edges [][]view.Point) workOf {
	votes := map[workOf]int{}
	at := places(line, carrySteps)
	for _, q := range at {
		best, near := -1, c.reachPx
		for i, e := range edges {
			if d := distance(e, q); d <= near {
				best, near = i, d
			}
		}
		if best >= 0 {
			votes[workOn(p.Edges[best])]++
		}
	}
	for w, n := range votes {
		if float64(n) >= samePart*float64(len(at)) {
			return w
		}
	}
	return workOf{cut: pattern.Cut{Kind: pattern.Straight}}
}

func isWorked(l pattern.InsideLine) bool { return l.Work != pattern.LineWork{} }

// giveLines takes over what is done along inside lines; it reports whether a
// line that something is done along was not found again.
func (c *carrier) giveLines(from, to *pattern.Piece) (lost bool) {
	for _, l := range from.Lines {
		if l.Run != "" && l.Work.Kind == pattern.Groove {
			// The program spread it; the tracing cannot find it.
			l.Path = c.move.path(l.Path)
			to.Lines = append(to.Lines, l)
			continue
		}
		if !isWorked(l) && l.Run == "" {
			continue
		}
		line, found := c.before.loop(l.Path).InPhoto, false
		for k := range to.Lines {
			if partOn(line, c.after.loop(to.Lines[k].Path).InPhoto, c.reachPx) >= samePart {
				to.Lines[k].Work, to.Lines[k].Run, found = l.Work, l.Run, true
			}
		}
		lost = lost || !found
	}
	return lost
}

// giveMarks takes over how marks are struck, and brings along those that the
// tracing did not find, which are the maker's own.
func (c *carrier) giveMarks(from, to *pattern.Piece) {
	for _, m := range from.Marks {
		at, in := c.move.point(m.At), c.move.point(m.In)
		k := slices.IndexFunc(to.Marks, func(x pattern.Mark) bool { return math.Hypot(x.At.X-at.X, x.At.Y-at.Y) <= sameLineMM })
		if k >= 0 {
			to.Marks[k].Ticks = m.Ticks
			continue
		}
		m.At, m.In = at, in
		to.Marks = append(to.Marks, m)
	}
}

// giveSeams joins the edges again that were found again.
func (c *carrier) giveSeams(old pattern.Pattern, next *pattern.Pattern) {
	renamed := func(run pattern.Run) (pattern.Run, bool) {
		out := slices.Clone(run)
		for i := range out {
			id, ok := c.edges[out[i].Edge]
			if !ok {
				return nil, false
			}
			out[i].Edge = id
		}
		return out, true
	}
	for _, m := range old.Seams {
		a, okA := renamed(m.A)
		b, okB := renamed(m.B)
		if !okA || !okB {
			c.out.LostSeams = append(c.out.LostSeams, m.ID)
			continue
		}
		m.A, m.B = a, b
		next.Seams = append(next.Seams, m)
		c.out.Kept++
	}
}
