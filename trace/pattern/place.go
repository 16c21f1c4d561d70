package pattern

import (
	"slices"

	"flatwright/rectify/mat"
)

// Translate returns the piece moved by d, sharing nothing with the old one.
func (p Piece) Translate(d mat.Point) Piece {
	p.Outline = p.Outline.Translate(d)
	p.Edges = slices.Clone(p.Edges)
	p.Openings = slices.Clone(p.Openings)
	for i := range p.Openings {
		p.Openings[i] = p.Openings[i].Translate(d)
	}
	p.Marks = slices.Clone(p.Marks)
	for i, m := range p.Marks {
		p.Marks[i] = Mark{
			At:    mat.Point{X: m.At.X + d.X, Y: m.At.Y + d.Y},
			In:    mat.Point{X: m.In.X + d.X, Y: m.In.Y + d.Y},
			Ticks: m.Ticks,
		}
	}
	p.Lines = slices.Clone(p.Lines)
	for i := range p.Lines {
		p.Lines[i].Path = p.Lines[i].Path.Translate(d)
	}
	return p
}
