package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// MoveMark moves a registration mark along the outline to where that is nearest
// to a point, mm. It keeps its length, its ticks and its slant against the
// outline. Errors: there is no such mark, or no outline.
func (p *Piece) MoveMark(mark int, near mat.Point) error {
	m, err := p.mark(mark)
	if err != nil {
		return err
	}
	was, err := p.Outline.Nearest(m.At)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	now, err := p.Outline.Nearest(near)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	a := p.Outline.Segments[was.Segment].Tangent(was.T)
	b := p.Outline.Segments[now.Segment].Tangent(now.T)
	sin, cos := math.Sincos(math.Atan2(b.Y, b.X) - math.Atan2(a.Y, a.X))
	v := mat.Point{X: m.In.X - m.At.X, Y: m.In.Y - m.At.Y}
	m.At = p.Outline.Eval(now.Position)
	m.In = mat.Point{X: m.At.X + cos*v.X - sin*v.Y, Y: m.At.Y + sin*v.X + cos*v.Y}
	p.Marks = slices.Clone(p.Marks)
	p.Marks[mark] = m
	return nil
}

// AddMark adds a registration mark where the outline is nearest to a point,
// square to it, and returns its number. Errors: no edge lies there.
func (p *Piece) AddMark(near mat.Point) (int, error) {
	at, err := p.MarkEdge(Mark{At: near})
	if err != nil {
		return 0, err
	}
	if at.Edge < 0 {
		return 0, fmt.Errorf("piece %s has no edge there", p.ID)
	}
	m, err := p.MarkAt(at.Edge, at.AlongMM, MarkMM)
	if err != nil {
		return 0, err
	}
	p.Marks = append(slices.Clone(p.Marks), m)
	return len(p.Marks) - 1, nil
}

// RemoveMark takes a registration mark away. Errors: there is no such mark.
func (p *Piece) RemoveMark(mark int) error {
	if _, err := p.mark(mark); err != nil {
		return err
	}
	p.Marks = slices.Delete(slices.Clone(p.Marks), mark, mark+1)
	return nil
}

func (p *Piece) mark(k int) (Mark, error) {
	if k < 0 || k >= len(p.Marks) {
		return Mark{}, fmt.Errorf("piece %s has no mark number %d", p.ID, k+1)
	}
	return p.Marks[k], nil
}
