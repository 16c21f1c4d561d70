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

// leastLineMM is how long a line inside a piece is at least, leastStretchMM how
// far apart two of its nodes are.
const (
	leastLineMM    = 1.0
	leastStretchMM = 0.5
)

// Errors of lines inside a piece, each with what to do.
var (
	ErrShortLine    = errors.New("the line would be shorter than 1 mm: give its ends further apart")
	ErrShortStretch = errors.New("two nodes of the line would be less than 0.5 mm apart: leave more room between them")
	ErrLineOutside  = errors.New("the line does not run inside the piece: give both ends on it or on its outline, with nothing cut out between them")
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
// with their node. A line that was traced too short or beyond the piece may be
// moved as long as that grows no worse. Errors: no such line or node,
// ErrShortLine, ErrShortStretch, ErrLineOutside.
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
	if err := p.fits(l.Path, next, node); err != nil {
		return err
	}
	p.setLine(line, next)
	return nil
}

// fits tells why a line must not have a node where next has it; nil when it may.
func (p *Piece) fits(was, next curve.Path, node int) error {
	if next.Length() < leastLineMM {
		return ErrShortLine
	}
	before, after := nextTo(was, node), nextTo(next, node)
	for i, g := range after {
		if l := g.Length(lineStepMM); l < leastStretchMM && l < before[i].Length(lineStepMM) {
			return ErrShortStretch
		}
	}
	b := p.borders()
	if off := b.strayMM(after); off > onOutlineMM && off > b.strayMM(before) {
		return ErrLineOutside
	}
	return nil
}

// nextTo are the segments of a line that meet at a node.
func nextTo(l curve.Path, node int) []curve.Segment {
	var out []curve.Segment
	n := len(l.Segments)
	if node > 0 || l.Closed {
		out = append(out, l.Segments[(node+n-1)%n])
	}
	if node < n {
		out = append(out, l.Segments[node])
	}
	return out
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
// its course stays. It returns the node's number, that of one within 0.5 mm along
// the line which is there already. Errors: no such line.
func (p *Piece) AddLineNode(line int, near mat.Point) (int, error) {
	l, err := p.insideLine(line)
	if err != nil {
		return 0, err
	}
	at, err := l.Path.Nearest(near)
	if err != nil {
		return 0, fmt.Errorf("piece %s: %w", p.ID, err)
	}
	before, after := l.Path.Segments[at.Segment].Split(at.T)
	lead, rest := before.Length(lineStepMM), after.Length(lineStepMM)
	if lead < leastStretchMM && lead <= rest {
		return at.Segment, nil
	}
	if rest < leastStretchMM {
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
	line := curve.Polyline(from, to)
	if p.borders().strayMM(line.Segments) > onOutlineMM {
		return 0, ErrLineOutside
	}
	p.Lines = append(slices.Clone(p.Lines), InsideLine{Path: line})
	return len(p.Lines) - 1, nil
}

// onOutlineMM is how far off an outline a point may lie to count as on it, and
// lineStepMM how far apart the places are at which a line is looked at: what is
// cut into a piece less than 1.5 mm wide may be stepped over.
const (
	onOutlineMM = 0.5
	lineStepMM  = 0.5
)

// borders are the closed rings of points of a piece's outline and openings,
// within a twentieth of a millimetre.
type borders [][]mat.Point

func (p *Piece) borders() borders {
	const finely = 0.05
	out := borders{p.Outline.Flatten(finely)}
	for _, o := range p.Openings {
		out = append(out, o.Flatten(finely))
	}
	return out
}

// strayMM returns how far segments stray off the piece, into an opening too: 0
// where they stay on it.
func (b borders) strayMM(segments []curve.Segment) float64 {
	worst := 0.0
	for _, g := range segments {
		// A step of the parameter is at most three times the longest side of the
		// hull long.
		n := math.Ceil(hullMM(g) / lineStepMM)
		for i := range int(n) + 1 {
			if q := g.Eval(float64(i) / math.Max(n, 1)); !b.covers(q) {
				worst = math.Max(worst, b.distanceMM(q))
			}
		}
	}
	return worst
}

// hullMM bounds the length of path that the parameter runs through at its
// fastest.
func hullMM(g curve.Segment) float64 {
	if g.Line {
		return distanceMM(g.P0, g.P3)
	}
	return 3 * math.Max(distanceMM(g.P0, g.P1), math.Max(distanceMM(g.P1, g.P2), distanceMM(g.P2, g.P3)))
}

func distanceMM(a, b mat.Point) float64 { return math.Hypot(b.X-a.X, b.Y-a.Y) }

// covers reports whether a point lies within the outline and not in an opening.
func (b borders) covers(q mat.Point) bool {
	for k, ring := range b {
		if within(ring, q) != (k == 0) {
			return false
		}
	}
	return true
}

// within tells by the even-odd rule whether a point lies in a ring.
func within(ring []mat.Point, q mat.Point) bool {
	in := false
	for i, a := range ring {
		z := ring[(i+1)%len(ring)]
		if (a.Y > q.Y) != (z.Y > q.Y) && q.X < a.X+(q.Y-a.Y)*(z.X-a.X)/(z.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// distanceMM is how far off the nearest border a point lies.
func (b borders) distanceMM(q mat.Point) float64 {
	near := math.Inf(1)
	for _, ring := range b {
		for i, a := range ring {
			near = math.Min(near, offChordMM(q, a, ring[(i+1)%len(ring)]))
		}
	}
	return near
}

// offChordMM is how far a point lies off the chord from a to z.
func offChordMM(q, a, z mat.Point) float64 {
	dx, dy := z.X-a.X, z.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Max(0, math.Min(1, ((q.X-a.X)*dx+(q.Y-a.Y)*dy)/l))
	}
	return math.Hypot(a.X+t*dx-q.X, a.Y+t*dy-q.Y)
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
