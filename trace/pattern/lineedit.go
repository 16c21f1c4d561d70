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

// leastLineMM is how long a line inside a piece is at least.
const leastLineMM = 1.0

// Errors of lines inside a piece, each with what to do.
var (
	ErrShortLine   = errors.New("the line would be shorter than 1 mm: give its ends further apart")
	ErrLineOutside = errors.New("the line does not run inside the piece: give both ends on it or on its outline")
)

// Nodes returns the nodes of a line in order; an open one has one more than
// segments.
func (l InsideLine) Nodes() []mat.Point {
	var out []mat.Point
	for _, g := range l.Path.Segments {
		out = append(out, g.P0)
	}
	if n := len(l.Path.Segments); n > 0 && !l.Path.Closed {
		out = append(out, l.Path.Segments[n-1].P3)
	}
	return out
}

// MoveLineNode moves a node of a line inside the piece by d, mm; handles move
// with their node. Errors: no such line or node, ErrShortLine.
func (p *Piece) MoveLineNode(line, node int, d mat.Point) error {
	l, err := p.insideLine(line)
	if err != nil {
		return err
	}
	if node < 0 || node >= len(l.Nodes()) {
		return fmt.Errorf("line %d of piece %s has no node number %d", line+1, p.ID, node+1)
	}
	next := movedNode(l.Path, node, d)
	if l.Path.Closed {
		if next, err = reshape.MoveNodes(l.Path, d, node); err != nil {
			return fmt.Errorf("piece %s: %w", p.ID, err)
		}
	}
	if next.Length() < leastLineMM {
		return ErrShortLine
	}
	p.setLine(line, next)
	return nil
}

// movedNode is an open path with a node moved by d.
func movedNode(l curve.Path, node int, d mat.Point) curve.Path {
	out := curve.Path{Segments: slices.Clone(l.Segments)}
	for i := range out.Segments {
		s := &out.Segments[i]
		if i == node {
			s.P0, s.P1 = plus(s.P0, d), plus(s.P1, d)
		}
		if i+1 == node {
			s.P2, s.P3 = plus(s.P2, d), plus(s.P3, d)
		}
		if s.Line {
			*s = curve.Line(s.P0, s.P3)
		}
	}
	return out
}

func plus(p, d mat.Point) mat.Point { return mat.Point{X: p.X + d.X, Y: p.Y + d.Y} }

// AddLineNode adds a node where a line inside the piece is nearest to a point;
// its course stays. It returns the node's number, that of one which is there
// already. Errors: no such line.
func (p *Piece) AddLineNode(line int, near mat.Point) (int, error) {
	l, err := p.insideLine(line)
	if err != nil {
		return 0, err
	}
	at, err := l.Path.Nearest(near)
	if err != nil {
		return 0, fmt.Errorf("piece %s: %w", p.ID, err)
	}
	const end = 1e-6
	if at.T < end {
		return at.Segment, nil
	}
	if at.T > 1-end {
		return (at.Segment + 1) % len(l.Nodes()), nil
	}
	next, err := l.Path.Insert(at.Position)
	if err != nil {
		return 0, fmt.Errorf("piece %s: %w", p.ID, err)
	}
	p.setLine(line, next)
	return at.Segment + 1, nil
}

// AddInsideLine adds a straight line to the piece, its ends mm on the mat, and
// returns its number. Errors: ErrShortLine, ErrLineOutside.
func (p *Piece) AddInsideLine(from, to mat.Point) (int, error) {
	if math.Hypot(to.X-from.X, to.Y-from.Y) < leastLineMM {
		return 0, ErrShortLine
	}
	for _, share := range []float64{0.02, 0.25, 0.5, 0.75, 0.98} {
		if !p.covers(mat.Point{X: from.X + share*(to.X-from.X), Y: from.Y + share*(to.Y-from.Y)}) {
			return 0, ErrLineOutside
		}
	}
	p.Lines = append(slices.Clone(p.Lines), InsideLine{Path: curve.Polyline(from, to)})
	return len(p.Lines) - 1, nil
}

// onOutlineMM is how far off an outline a point may lie to count as on it.
const onOutlineMM = 0.5

// covers reports whether a point lies on the piece and not in an opening; its
// borders count as the piece.
func (p *Piece) covers(q mat.Point) bool {
	border := func(l curve.Path) bool {
		at, err := l.Nearest(q)
		return err == nil && at.DistanceMM <= onOutlineMM
	}
	const finely = 0.05
	if !p.Outline.Contains(q, finely) && !border(p.Outline) {
		return false
	}
	return !slices.ContainsFunc(p.Openings, func(o curve.Path) bool { return o.Contains(q, finely) && !border(o) })
}

// RemoveInsideLine takes a line inside the piece away. Errors: no such line.
func (p *Piece) RemoveInsideLine(line int) error {
	if _, err := p.insideLine(line); err != nil {
		return err
	}
	p.Lines = slices.Delete(slices.Clone(p.Lines), line, line+1)
	return nil
}

func (p *Piece) insideLine(line int) (InsideLine, error) {
	if line < 0 || line >= len(p.Lines) {
		return InsideLine{}, fmt.Errorf("piece %s has no line number %d inside", p.ID, line+1)
	}
	return p.Lines[line], nil
}

// setLine gives a line another course. Other copies of the piece share its
// lines.
func (p *Piece) setLine(line int, path curve.Path) {
	p.Lines = slices.Clone(p.Lines)
	p.Lines[line].Path = path
}
