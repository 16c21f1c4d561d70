package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/reshape"
)

// breakSnapMM is how near to a corner of a redrawn stretch an edge's end is
// taken to be at it.
const breakSnapMM = 0.8

// Redraw puts another course in the place of the stretch of a loop from one
// node forward to another; from a node to itself it is the whole loop, and the
// course a closed path. The two nodes go to where the course begins and ends.
// Edges that begin within the stretch begin at its nearest place, where a
// corner is close by at that; marks move to the nearest place. Edges keep their
// cuts, and so their seams. It fails where the outline would be no outline or
// an edge would vanish.
func (p *Piece) Redraw(loop, from, to int, course curve.Path) error {
	was, err := p.Loop(loop)
	if err != nil {
		return err
	}
	n := len(was.Segments)
	switch {
	case from < 0 || to < 0 || from >= n || to >= n:
		return fmt.Errorf("piece %s: %w", p.ID, reshape.ErrNoNode)
	case len(course.Segments) == 0:
		return fmt.Errorf("piece %s: the new course is empty", p.ID)
	}
	if from == to {
		if course, err = openedAt(course, was.Segments[from].P0); err != nil {
			return err
		}
	}
	r := redraw{piece: p, was: was, from: from, to: to, run: (to - from + n) % n}
	if r.run == 0 {
		r.run = n
	}
	r.course = course
	if loop == Outer {
		if err := r.placeBreaks(); err != nil {
			return err
		}
	}
	next := r.assembled()
	if len(next.Segments) < 2 || math.Abs(next.Area()) < leastOutlineMM2 || next.Area()*was.Area() < 0 {
		return fmt.Errorf("piece %s would be no outline any more: choose other nodes, or a shorter stretch", p.ID)
	}
	if loop != Outer {
		p.setLoop(loop, next, samePlace)
		return nil
	}
	edges, err := r.edges(len(next.Segments))
	if err != nil {
		return err
	}
	p.setLoop(loop, next, r.place(next))
	p.Edges = edges
	return nil
}

// leastOutlineMM2 is the least area that an outline may be left with.
const leastOutlineMM2 = 1

// openedAt is a closed path as an open one that begins and ends at the place
// nearest to a point, at a corner where one is close by.
func openedAt(p curve.Path, near mat.Point) (curve.Path, error) {
	if !p.Closed {
		return p, nil
	}
	at, err := p.Nearest(near)
	if err != nil {
		return curve.Path{}, err
	}
	switch s := p.Segments[at.Segment]; {
	case gap(at.At, s.P0) < sameNodeMM:
		at.Position = curve.Position{Segment: at.Segment}
	case gap(at.At, s.P3) < sameNodeMM:
		at.Position = curve.Position{Segment: (at.Segment + 1) % len(p.Segments)}
	}
	if k, ok := cornerNear(p, at.At); ok {
		at.Position = curve.Position{Segment: k}
	}
	open, _, err := p.Split(at.Position)
	return open, err
}

// cornerNear returns the corner of a path within breakSnapMM of a point.
func cornerNear(p curve.Path, q mat.Point) (segment int, ok bool) {
	best := breakSnapMM
	n := len(p.Segments)
	for k, s := range p.Segments {
		if k == 0 && !p.Closed {
			continue
		}
		a, b := p.Segments[(k+n-1)%n].Tangent(1), s.Tangent(0)
		turned := math.Abs(math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)) / radPerDeg
		if d := gap(s.P0, q); turned > cornerDeg && d <= best {
			segment, best, ok = k, d, true
		}
	}
	return segment, ok
}

// redraw is the work of Redraw.
type redraw struct {
	piece         *Piece
	was, course   curve.Path
	from, to, run int
	// breaks lead from edges that begin within the stretch to the segment of the
	// course that they begin with.
	breaks map[int]int
}

// placeBreaks puts nodes on the course where edges begin.
func (r *redraw) placeBreaks() error {
	n := len(r.was.Segments)
	type mark struct {
		edge, offset int
		mm           float64
	}
	var marks []mark
	for k, e := range r.piece.Edges {
		if off := (e.First - r.from + n) % n; off > 0 && off < r.run {
			marks = append(marks, mark{edge: k, offset: off})
		}
	}
	slices.SortFunc(marks, func(a, b mark) int { return a.offset - b.offset })
	total, last := r.course.Length(), 0.0
	for i := range marks {
		mm := r.alongMM(r.was.Segments[(r.from+marks[i].offset)%n].P0)
		if least := total * 1e-3; mm < last+least {
			mm = last + least
		}
		marks[i].mm, last = mm, mm
	}
	if last >= total {
		return fmt.Errorf("piece %s: an edge would vanish on this course: join edges first, or choose a shorter stretch", r.piece.ID)
	}
	r.breaks = map[int]int{}
	for _, m := range marks {
		at, err := r.course.PositionAt(m.mm)
		if err != nil {
			return err
		}
		k, err := r.nodeAt(at)
		if err != nil {
			return err
		}
		if k >= len(r.course.Segments) {
			return fmt.Errorf("piece %s: an edge would vanish on this course: join edges first", r.piece.ID)
		}
		r.breaks[m.edge] = k
	}
	return nil
}

// nodeAt puts a node on the course, where there is none close by, and returns
// the segment that begins there.
func (r *redraw) nodeAt(at curve.Position) (int, error) {
	s := r.course.Segments[at.Segment]
	q := s.Eval(at.T)
	switch {
	case gap(q, s.P0) < sameNodeMM:
		return at.Segment, nil
	case gap(q, s.P3) < sameNodeMM:
		return at.Segment + 1, nil
	}
	next, err := r.course.Insert(at)
	if err != nil {
		return 0, err
	}
	r.course = next
	return at.Segment + 1, nil
}

// alongMM is the arc length on the course at which a break point comes to lie.
func (r *redraw) alongMM(q mat.Point) float64 {
	if k, ok := cornerNear(r.course, q); ok {
		return r.course.LengthTo(curve.Position{Segment: k})
	}
	at, err := r.course.Nearest(q)
	if err != nil {
		return 0
	}
	return r.course.LengthTo(at.Position)
}

// assembled is the new loop: the course, then what stays from the end of the
// stretch round to its beginning.
func (r *redraw) assembled() curve.Path {
	n, m := len(r.was.Segments), len(r.course.Segments)
	out := curve.Path{Closed: true, Segments: slices.Clone(r.course.Segments)}
	for k := range n - r.run {
		out.Segments = append(out.Segments, r.was.Segments[(r.to+k)%n])
	}
	if r.run < n {
		out.Segments[m] = withEnds(out.Segments[m], out.Segments[m-1].P3, out.Segments[m].P3)
		last := len(out.Segments) - 1
		out.Segments[last] = withEnds(out.Segments[last], out.Segments[last].P0, out.Segments[0].P0)
	} else {
		out.Segments[m-1] = withEnds(out.Segments[m-1], out.Segments[m-1].P0, out.Segments[0].P0)
	}
	return out
}

// index is where a node of the old loop that stays is in the new one.
func (r *redraw) index(node int) int {
	n := len(r.was.Segments)
	if node == r.from {
		return 0
	}
	return len(r.course.Segments) + (node-r.to+n)%n
}

// edges is the edges on the new loop.
func (r *redraw) edges(segments int) ([]Edge, error) {
	out := slices.Clone(r.piece.Edges)
	for k := range out {
		if at, within := r.breaks[k]; within {
			out[k].First = at
		} else {
			out[k].First = r.index(out[k].First) % segments
		}
	}
	for k := range out {
		next := out[(k+1)%len(out)].First
		out[k].Count = (next - out[k].First + segments) % segments
		if len(out) == 1 {
			out[k].Count = segments
		}
		if out[k].Count == 0 {
			return nil, fmt.Errorf("edge %s would vanish on this course: join it with a neighbour first", out[k].ID)
		}
	}
	return out, nil
}

// place leads from a place of the old loop to the new one.
func (r *redraw) place(next curve.Path) func(curve.Position) curve.Position {
	n := len(r.was.Segments)
	course := curve.Path{Segments: next.Segments[:len(r.course.Segments)]}
	return func(at curve.Position) curve.Position {
		if off := (at.Segment - r.from + n) % n; off < r.run {
			return nearestOn(course, r.was.Eval(at), curve.Position{})
		}
		return curve.Position{Segment: r.index(at.Segment), T: at.T}
	}
}
