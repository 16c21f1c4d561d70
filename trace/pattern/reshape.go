package pattern

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/reshape"
)

// Outer is the loop number of a piece's outline; its openings are loops 0, 1 …
const Outer = -1

// EdgeNodeError refuses to take out a node at which two edges meet.
type EdgeNodeError struct{ Before, After string }

func (e *EdgeNodeError) Error() string {
	return fmt.Sprintf("edges %s and %s meet at this node: join them first, then the node can go", e.Before, e.After)
}

// Loop returns the outline (Outer) or an opening of a piece.
func (p *Piece) Loop(loop int) (curve.Path, error) {
	if loop == Outer {
		return p.Outline, nil
	}
	if loop < 0 || loop >= len(p.Openings) {
		return curve.Path{}, fmt.Errorf("piece %s has no opening %d", p.ID, loop+1)
	}
	return p.Openings[loop], nil
}

// setLoop gives the piece another outline or opening. Of an outline, to leads
// from a place of the old to the same place of the new one: marks follow it.
func (p *Piece) setLoop(loop int, next curve.Path, to func(curve.Position) curve.Position) {
	if loop != Outer {
		p.Openings = slices.Clone(p.Openings)
		p.Openings[loop] = next
		return
	}
	p.Marks = p.followed(next, to)
	p.Outline = next
}

// followed returns the registration marks as they stand on another outline:
// each moves with its place and turns with the outline there. One that did not
// meet the outline stays.
func (p *Piece) followed(next curve.Path, to func(curve.Position) curve.Position) []Mark {
	out := slices.Clone(p.Marks)
	for i, m := range out {
		was, err := p.Outline.Nearest(m.At)
		if err != nil || was.DistanceMM > markToleranceMM {
			continue
		}
		at := to(was.Position)
		a, b := p.Outline.Segments[was.Segment].Tangent(was.T), next.Segments[at.Segment].Tangent(at.T)
		turn := curve.Rotation(mat.Point{}, math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y))
		on := next.Eval(at)
		d := turn.Apply(mat.Point{X: m.In.X - m.At.X, Y: m.In.Y - m.At.Y})
		off := turn.Apply(mat.Point{X: m.At.X - was.At.X, Y: m.At.Y - was.At.Y})
		out[i].At = mat.Point{X: on.X + off.X, Y: on.Y + off.Y}
		out[i].In = mat.Point{X: out[i].At.X + d.X, Y: out[i].At.Y + d.Y}
	}
	return out
}

func samePlace(at curve.Position) curve.Position { return at }

// changeLoop changes a loop in a way that leaves the number of nodes as it was.
func (p *Piece) changeLoop(loop int, change func(curve.Path) (curve.Path, error)) error {
	was, err := p.Loop(loop)
	if err != nil {
		return err
	}
	next, err := change(was)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	p.setLoop(loop, next, samePlace)
	return nil
}

// MoveNodes moves nodes of a loop by d, mm. Edges stay between their nodes.
func (p *Piece) MoveNodes(loop int, d mat.Point, nodes ...int) error {
	return p.changeLoop(loop, func(was curve.Path) (curve.Path, error) { return reshape.MoveNodes(was, d, nodes...) })
}

// MoveHandle moves a handle of a node; see reshape.MoveHandle.
func (p *Piece) MoveHandle(loop, node int, after bool, to mat.Point, free bool) error {
	return p.changeLoop(loop, func(was curve.Path) (curve.Path, error) {
		return reshape.MoveHandle(was, node, after, to, free)
	})
}

// SmoothNode takes the corner out of a node.
func (p *Piece) SmoothNode(loop, node int) error {
	return p.changeLoop(loop, func(was curve.Path) (curve.Path, error) { return reshape.Smooth(was, node) })
}

// CornerNode makes a node a corner.
func (p *Piece) CornerNode(loop, node int) error {
	return p.changeLoop(loop, func(was curve.Path) (curve.Path, error) { return reshape.Corner(was, node) })
}

// AddNode adds a node at a position on a loop, whose shape stays, and returns
// its number. Where a node is already, that is the one.
func (p *Piece) AddNode(loop int, at curve.Position) (int, error) {
	was, err := p.Loop(loop)
	if err != nil {
		return 0, err
	}
	n := len(was.Segments)
	const near = 1e-6
	switch {
	case at.Segment >= 0 && at.Segment < n && at.T >= 0 && at.T < near:
		return at.Segment, nil
	case at.Segment >= 0 && at.Segment < n && at.T <= 1 && at.T > 1-near:
		return (at.Segment + 1) % n, nil
	}
	next, err := was.Insert(at)
	if err != nil {
		return 0, fmt.Errorf("piece %s: %w", p.ID, err)
	}
	if loop != Outer {
		p.setLoop(loop, next, samePlace)
		return at.Segment + 1, nil
	}
	k := p.EdgeOf(at.Segment)
	for i := range p.Edges {
		if p.Edges[i].First > at.Segment {
			p.Edges[i].First++
		}
	}
	if k >= 0 {
		p.Edges[k].Count++
	}
	p.Outline = next
	return at.Segment + 1, nil
}

// RemoveNode takes a node out of a loop. A node at which two edges meet is
// refused with an *EdgeNodeError.
func (p *Piece) RemoveNode(loop, node int) error {
	was, err := p.Loop(loop)
	if err != nil {
		return err
	}
	next, err := reshape.RemoveNode(was, node)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	if loop != Outer {
		p.setLoop(loop, next, samePlace)
		return nil
	}
	n := len(was.Segments)
	last := (node + n - 1) % n
	edges := slices.Clone(p.Edges)
	for i := range edges {
		e := &edges[i]
		switch {
		case e.First == node && len(edges) > 1:
			return &EdgeNodeError{edges[(i+len(edges)-1)%len(edges)].ID, e.ID}
		case e.First == node:
			e.First = last
		}
		if (node-e.First+n)%n < e.Count {
			e.Count--
		}
		if e.First > node {
			e.First--
		}
	}
	if n := len(next.Segments); len(edges) == 1 {
		edges[0].Count, edges[0].First = n, edges[0].First%n
	}
	p.setLoop(loop, next, func(at curve.Position) curve.Position {
		return nearestOn(next, was.Eval(at), at)
	})
	p.Edges = edges
	return nil
}

// nearestOn is the place of a path nearest to a point; of an empty path the
// place that is given.
func nearestOn(p curve.Path, q mat.Point, otherwise curve.Position) curve.Position {
	at, err := p.Nearest(q)
	if err != nil {
		return otherwise
	}
	return at.Position
}

// ErrAllRound tells that a stretch to be made straight begins where it ends.
var ErrAllRound = errors.New("a straight stretch needs two nodes: choose where it begins and where it ends")

// Straighten makes the stretch of a loop from one node forward to another a
// straight line. Edges that begin within keep a node on it.
func (p *Piece) Straighten(loop, from, to int) error {
	was, err := p.Loop(loop)
	if err != nil {
		return err
	}
	n := len(was.Segments)
	if from < 0 || to < 0 || from >= n || to >= n {
		return fmt.Errorf("piece %s: %w", p.ID, reshape.ErrNoNode)
	}
	if from == to {
		return ErrAllRound
	}
	return p.Redraw(loop, from, to, curve.Polyline(was.Segments[from].P0, was.Segments[to].P0))
}
