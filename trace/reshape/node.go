// Package reshape changes closed outlines by hand: nodes and handles are moved,
// added and taken out, stretches redrawn. Pure geometry on curve.Path, in mm on
// the mat (frame of mat.Point, y down). Node i of a closed path is where its
// segment i begins.
package reshape

import (
	"errors"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// SmoothDeg is the change of direction up to which a node is smooth: its
// handles then turn together.
const SmoothDeg = 10

// Errors of changes that an outline does not allow.
var (
	ErrNoNode   = errors.New("the outline has no such node")
	ErrFewNodes = errors.New("an outline needs two nodes at least: this one cannot go")
	ErrNoHandle = errors.New("a straight stretch has no handle here: add a node to bend it, or make the node smooth")
	ErrNoBend   = errors.New("the outline hardly bends at this node: hold Alt while dragging one of its handles to make it a corner")
)

// check tells a node that the path does not have.
func check(p curve.Path, node int) error {
	if n := len(p.Segments); !p.Closed || node < 0 || node >= n {
		return fmt.Errorf("node %d of %d: %w", node, n, ErrNoNode)
	}
	return nil
}

// TurnDeg is the change of direction at a node, 0 to 180 degrees.
func TurnDeg(p curve.Path, node int) float64 {
	n := len(p.Segments)
	a, b := p.Segments[(node+n-1)%n].Tangent(1), p.Segments[node].Tangent(0)
	return math.Abs(math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)) * 180 / math.Pi
}

// IsSmooth reports whether a node is smooth.
func IsSmooth(p curve.Path, node int) bool { return TurnDeg(p, node) <= SmoothDeg }

// clone copies the segments, so that older states keep theirs.
func clone(p curve.Path) curve.Path {
	return curve.Path{Closed: p.Closed, Segments: append([]curve.Segment(nil), p.Segments...)}
}

// MoveNodes returns the path with nodes moved by d. Handles go with their
// nodes, and smooth nodes beside a line that turns stay smooth.
func MoveNodes(p curve.Path, d mat.Point, nodes ...int) (curve.Path, error) {
	moved := map[int]bool{}
	for _, k := range nodes {
		if err := check(p, k); err != nil {
			return curve.Path{}, err
		}
		moved[k] = true
	}
	out, n := clone(p), len(p.Segments)
	for i, s := range p.Segments {
		if moved[i] {
			s.P0, s.P1 = plus(s.P0, d), plus(s.P1, d)
		}
		if moved[(i+1)%n] {
			s.P2, s.P3 = plus(s.P2, d), plus(s.P3, d)
		}
		if s.Line {
			s = curve.Line(s.P0, s.P3)
		}
		out.Segments[i] = s
	}
	keepSmooth(p, &out)
	return out, nil
}

// keepSmooth turns the handles at nodes that were smooth and lie beside a line
// along that line.
func keepSmooth(was curve.Path, now *curve.Path) {
	n := len(now.Segments)
	for k := range n {
		before, after := &now.Segments[(k+n-1)%n], &now.Segments[k]
		if before.Line == after.Line || !IsSmooth(was, k) {
			continue
		}
		if before.Line {
			after.P1 = along(after.P0, before.Tangent(1), gap(after.P0, after.P1))
		} else {
			t := after.Tangent(0)
			before.P2 = along(before.P3, mat.Point{X: -t.X, Y: -t.Y}, gap(before.P2, before.P3))
		}
	}
}

// MoveHandle returns the path with a node's handle at another place: the one
// after it, or the one before. At a smooth node the other handle turns along,
// keeping its length, unless free is set; beside a line the handle stays on the
// line's course. It fails where the stretch is a line.
func MoveHandle(p curve.Path, node int, after bool, to mat.Point, free bool) (curve.Path, error) {
	if err := check(p, node); err != nil {
		return curve.Path{}, err
	}
	out, n := clone(p), len(p.Segments)
	k := node
	if !after {
		// Seen from behind, the handle before a node is the one after it.
		out, k = out.Reverse(), (n-node)%n
	}
	next, last := &out.Segments[k], &out.Segments[(k+n-1)%n]
	if next.Line {
		return curve.Path{}, ErrNoHandle
	}
	switch at := next.P0; {
	case free || !IsSmooth(p, node):
		next.P1 = to
	case last.Line:
		t := last.Tangent(1)
		next.P1 = along(at, t, math.Max(0, (to.X-at.X)*t.X+(to.Y-at.Y)*t.Y))
	default:
		next.P1 = to
		if l := gap(at, to); l > 0 {
			last.P2 = along(at, mat.Point{X: (at.X - to.X) / l, Y: (at.Y - to.Y) / l}, gap(last.P2, last.P3))
		}
	}
	if !after {
		out = out.Reverse()
	}
	return out, nil
}

// Smooth returns the path without a corner at a node: the stretches on both
// sides leave it in one direction, that of a line where one is a line and the
// middle of both otherwise. Of two lines each is bent for it.
func Smooth(p curve.Path, node int) (curve.Path, error) {
	if err := check(p, node); err != nil {
		return curve.Path{}, err
	}
	out, n := clone(p), len(p.Segments)
	before, after := &out.Segments[(node+n-1)%n], &out.Segments[node]
	a, b := before.Tangent(1), after.Tangent(0)
	t := mat.Point{X: a.X + b.X, Y: a.Y + b.Y}
	if l := math.Hypot(t.X, t.Y); l > 1e-6 {
		t = mat.Point{X: t.X / l, Y: t.Y / l}
	} else {
		t = mat.Point{X: -a.Y, Y: a.X} // there and back: square to both
	}
	if before.Line != after.Line {
		if before.Line {
			t = a
		} else {
			t = b
		}
	} else {
		before.Line, after.Line = false, false
	}
	if !after.Line {
		after.P1 = along(after.P0, t, math.Max(gap(after.P0, after.P1), 1e-3))
	}
	if !before.Line {
		before.P2 = along(before.P3, mat.Point{X: -t.X, Y: -t.Y}, math.Max(gap(before.P2, before.P3), 1e-3))
	}
	return out, nil
}

// Corner returns the path with a corner at a node: each side leaves it straight
// for its next node. It fails where that makes no corner.
func Corner(p curve.Path, node int) (curve.Path, error) {
	if err := check(p, node); err != nil {
		return curve.Path{}, err
	}
	out, n := clone(p), len(p.Segments)
	before, after := &out.Segments[(node+n-1)%n], &out.Segments[node]
	if !after.Line {
		after.P1 = third(after.P0, after.P3)
	}
	if !before.Line {
		before.P2 = third(before.P3, before.P0)
	}
	if IsSmooth(out, node) {
		return curve.Path{}, ErrNoBend
	}
	return out, nil
}

// RemoveNode returns the path without a node: one stretch goes where two went,
// as near to them as one can. Two lines become one.
func RemoveNode(p curve.Path, node int) (curve.Path, error) {
	if err := check(p, node); err != nil {
		return curve.Path{}, err
	}
	n := len(p.Segments)
	if n <= 2 {
		return curve.Path{}, ErrFewNodes
	}
	last := (node + n - 1) % n
	a, b := p.Segments[last], p.Segments[node]
	out := curve.Path{Closed: true}
	for i, s := range p.Segments {
		switch i {
		case last:
			out.Segments = append(out.Segments, merged(a, b))
		case node:
		default:
			out.Segments = append(out.Segments, s)
		}
	}
	return out, nil
}

// merged is one segment in the place of two.
func merged(a, b curve.Segment) curve.Segment {
	if a.Line && b.Line {
		return curve.Line(a.P0, b.P3)
	}
	const steps = 24
	var pts []mat.Point
	for _, s := range []curve.Segment{a, b} {
		for k := range steps {
			pts = append(pts, s.Eval(float64(k)/steps))
		}
	}
	return Fitted(append(pts, b.P3), a.Tangent(0), b.Tangent(1))
}

func plus(a, d mat.Point) mat.Point { return mat.Point{X: a.X + d.X, Y: a.Y + d.Y} }

func gap(a, b mat.Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// along is the point at a distance from another in a unit direction.
func along(o, t mat.Point, d float64) mat.Point { return mat.Point{X: o.X + d*t.X, Y: o.Y + d*t.Y} }

func third(a, b mat.Point) mat.Point {
	return mat.Point{X: a.X + (b.X-a.X)/3, Y: a.Y + (b.Y-a.Y)/3}
}
