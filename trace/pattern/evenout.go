package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// mostEvened is the largest change of a side's length, in parts, that is taken
// for an inaccuracy to be evened out.
const mostEvened = 0.2

// EvenOut makes the two sides of a seam equally long on the face that is
// measured: side A takes a part of the difference, B the rest. Each edge is
// drawn out or pushed together along its chord; the neighbouring edges follow
// at their ends, and marks keep their share of the edge.
func (p *Pattern) EvenOut(seamID string, partA float64) error {
	m, err := p.MeasureSeam(seamID)
	if err != nil {
		return err
	}
	if !(partA >= 0 && partA <= 1) {
		return fmt.Errorf("even out seam %s: side A takes between none and all of the difference", seamID)
	}
	if math.Abs(m.Part()) > mostEvened {
		return fmt.Errorf("the sides of seam %s differ by %.0f mm, too much to even out: check that these edges belong together", seamID, m.DifferenceMM())
	}
	s, _ := p.seam(seamID)
	length := m.A.LengthMM + partA*m.DifferenceMM()
	next := p.clone()
	for _, side := range []struct {
		run  Run
		have float64
	}{{s.A, m.A.LengthMM}, {s.B, m.B.LengthMM}} {
		for _, r := range side.run {
			q, k, err := next.FindEdge(r.Edge)
			if err != nil {
				return err
			}
			if err := q.stretchEdge(k, length/side.have); err != nil {
				return fmt.Errorf("even out seam %s: %w", seamID, err)
			}
		}
	}
	*p = next
	return nil
}

// stretchEdge makes an edge longer by a factor.
func (p *Piece) stretchEdge(edge int, factor float64) error {
	path := p.EdgePath(edge)
	n := len(path.Segments)
	from, to := path.Segments[0].P0, path.Segments[n-1].P3
	chord := mat.Point{X: to.X - from.X, Y: to.Y - from.Y}
	long := math.Hypot(chord.X, chord.Y)
	want := path.Length() * factor
	if long < 0.2*path.Length() {
		return fmt.Errorf("edge %s ends near where it begins: it cannot be drawn out", p.Edges[edge].ID)
	}
	var marks []markShare
	for i, m := range p.Marks {
		if at, err := p.MarkEdge(m); err == nil && at.Edge == edge {
			marks = append(marks, markShare{i, at.Share})
		}
	}
	by := 0.0
	for range 30 {
		miss := want - stretched(path, from, chord, by).Length()
		if math.Abs(miss) < 1e-6 {
			break
		}
		// The chord takes nearly all of a change in length.
		by += miss / long
	}
	p.put(edge, stretched(path, from, chord, by))
	for _, m := range marks {
		p.moveMark(edge, m)
	}
	return nil
}

type markShare struct {
	index int
	share float64
}

// moveMark puts a mark back to its share of an edge, keeping its length.
func (p *Piece) moveMark(edge int, m markShare) {
	old := p.Marks[m.index]
	long := math.Hypot(old.In.X-old.At.X, old.In.Y-old.At.Y)
	fresh, err := p.MarkAt(edge, m.share*p.EdgeLengthMM(edge), long)
	if err != nil {
		return
	}
	fresh.Ticks = old.Ticks
	p.Marks[m.index] = fresh
}

// stretched draws a path out along its chord, by a part of it to both sides of
// its middle.
func stretched(path curve.Path, from, chord mat.Point, by float64) curve.Path {
	d2 := chord.X*chord.X + chord.Y*chord.Y
	move := func(q mat.Point) mat.Point {
		s := ((q.X-from.X)*chord.X+(q.Y-from.Y)*chord.Y)/d2 - 0.5
		return mat.Point{X: q.X + by*s*chord.X, Y: q.Y + by*s*chord.Y}
	}
	out := curve.Path{Segments: slices.Clone(path.Segments)}
	for i, s := range out.Segments {
		out.Segments[i] = curve.Segment{Line: s.Line, P0: move(s.P0), P1: move(s.P1), P2: move(s.P2), P3: move(s.P3)}
	}
	return out
}

// put replaces an edge's run of the outline; the segments before and after
// move their near ends along.
func (p *Piece) put(edge int, path curve.Path) {
	e, n := p.Edges[edge], len(p.Outline.Segments)
	p.Outline.Segments = slices.Clone(p.Outline.Segments)
	for k, s := range path.Segments {
		p.Outline.Segments[(e.First+k)%n] = s
	}
	if e.Count == n {
		return
	}
	before := &p.Outline.Segments[(e.First+n-1)%n]
	*before = withEnds(*before, before.P0, path.Segments[0].P0)
	after := &p.Outline.Segments[(e.First+e.Count)%n]
	*after = withEnds(*after, path.Segments[len(path.Segments)-1].P3, after.P3)
}

// withEnds returns a segment with its ends moved; a cubic's arms go along.
func withEnds(s curve.Segment, from, to mat.Point) curve.Segment {
	if s.Line {
		return curve.Line(from, to)
	}
	return curve.Cubic(from,
		mat.Point{X: s.P1.X + from.X - s.P0.X, Y: s.P1.Y + from.Y - s.P0.Y},
		mat.Point{X: s.P2.X + to.X - s.P3.X, Y: s.P2.Y + to.Y - s.P3.Y}, to)
}
