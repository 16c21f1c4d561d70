package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// AreaMM2 returns the area of the shown face net of openings, in mm².
func (p *Piece) AreaMM2() float64 {
	area := math.Abs(p.Outline.Area())
	for _, o := range p.Openings {
		area -= math.Abs(o.Area())
	}
	return area
}

// PerimeterMM returns the length of the outline, openings not included, in
// mm.
func (p *Piece) PerimeterMM() float64 { return p.Outline.Length() }

// EdgeLengthMM returns the length of an edge in mm.
func (p *Piece) EdgeLengthMM(edge int) float64 { return p.EdgePath(edge).Length() }

// MarkPlace is where a registration mark sits.
type MarkPlace struct {
	// Edge is the index of the edge, −1 when the piece has none there.
	Edge int
	// Position is the place on the outline nearest to the mark.
	Position curve.Position
	// AlongMM is the arc length from the edge's start, or from the outline's
	// when there is no edge; Share is that over the length.
	AlongMM, Share float64
	// OffMM is how far the mark's end lies from the outline.
	OffMM float64
}

// MarkEdge returns where a registration mark meets the outline: the edge and
// the arc length along it.
func (p *Piece) MarkEdge(m Mark) (MarkPlace, error) {
	at, err := p.Outline.Nearest(m.At)
	if err != nil {
		return MarkPlace{}, fmt.Errorf("piece %s: %w", p.ID, err)
	}
	place := MarkPlace{Edge: p.EdgeOf(at.Segment), Position: at.Position, OffMM: at.DistanceMM}
	run, local := p.Outline, at.Position
	if place.Edge >= 0 {
		n := len(p.Outline.Segments)
		run = p.EdgePath(place.Edge)
		local.Segment = (at.Segment - p.Edges[place.Edge].First + n) % n
	}
	place.AlongMM = run.LengthTo(local)
	if total := run.Length(); total > 0 {
		place.Share = place.AlongMM / total
	}
	return place, nil
}

// MarkAt returns a registration mark of the length given that meets an edge
// at an arc length from the edge's start and runs square into the piece.
func (p *Piece) MarkAt(edge int, alongMM, lengthMM float64) (Mark, error) {
	if edge < 0 || edge >= len(p.Edges) {
		return Mark{}, fmt.Errorf("piece %s has no edge number %d", p.ID, edge)
	}
	run := p.EdgePath(edge)
	if total := run.Length(); !(alongMM >= 0 && alongMM <= total) {
		return Mark{}, fmt.Errorf("edge %s is %.2f mm long; there is no mark at %.2f mm", p.Edges[edge].ID, total, alongMM)
	}
	at, err := run.PositionAt(alongMM)
	if err != nil {
		return Mark{}, fmt.Errorf("edge %s: %w", p.Edges[edge].ID, err)
	}
	q, d := run.Eval(at), run.Segments[at.Segment].Tangent(at.T)
	if p.Outline.Area() < 0 {
		lengthMM = -lengthMM
	}
	return Mark{At: q, In: mat.Point{X: q.X - d.Y*lengthMM, Y: q.Y + d.X*lengthMM}}, nil
}
