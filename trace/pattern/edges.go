package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// Letters returns the ID of the n-th piece, counted from 0: A to Z, then AA,
// AB and so on.
func Letters(n int) string {
	s := ""
	for ; n >= 0; n = n/26 - 1 {
		s = string(rune('A'+n%26)) + s
	}
	return s
}

// cornerTurnRad is the change of direction at a node that makes it a break
// point: 15°, below what the curve fit calls a corner, above what it leaves
// between smooth segments.
const cornerTurnRad = 15 * math.Pi / 180

// EdgesFromCorners gives a piece its edges: the runs of the outline between
// corners, numbered from 1 after the piece's letter, all cut straight. An
// outline with fewer than two corners is one edge. An outline that is not
// closed or has no segments is an error.
func EdgesFromCorners(p *Piece) error {
	segs := p.Outline.Segments
	if len(segs) == 0 || !p.Outline.Closed {
		return fmt.Errorf("piece %s has no closed outline", p.ID)
	}
	var corners []int
	for i := range segs {
		before := segs[(i+len(segs)-1)%len(segs)].Tangent(1)
		after := segs[i].Tangent(0)
		turn := math.Atan2(before.X*after.Y-before.Y*after.X, before.X*after.X+before.Y*after.Y)
		if math.Abs(turn) > cornerTurnRad {
			corners = append(corners, i)
		}
	}
	if len(corners) == 0 {
		corners = []int{0}
	}
	p.Edges = nil
	for k, first := range corners {
		next := corners[(k+1)%len(corners)]
		count := (next - first + len(segs)) % len(segs)
		if count == 0 {
			count = len(segs)
		}
		p.Edges = append(p.Edges, Edge{
			ID: fmt.Sprintf("%s%d", p.ID, k+1), First: first, Count: count,
			Cut: Cut{Kind: Straight},
		})
	}
	return nil
}

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
			At: mat.Point{X: m.At.X + d.X, Y: m.At.Y + d.Y},
			In: mat.Point{X: m.In.X + d.X, Y: m.In.Y + d.Y},
		}
	}
	p.Lines = slices.Clone(p.Lines)
	for i := range p.Lines {
		p.Lines[i].Path = p.Lines[i].Path.Translate(d)
	}
	return p
}
