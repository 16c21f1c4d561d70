package pattern

import (
	"errors"
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// OtherEdges returns every edge as it runs on the face that the pattern does
// not show, in the outline's direction, from mitre to mitre. Where there is no
// such face the findings say why.
func (p *Piece) OtherEdges() ([]curve.Path, []Finding) {
	faces, faults := OtherFace(*p)
	if len(faces) == 0 {
		return nil, faults
	}
	if len(p.Edges) == 1 {
		return faces[:1], nil
	}
	out := make([]curve.Path, len(p.Edges))
	for k, e := range p.Edges {
		var err error
		if out[k], err = p.cutOut(faces[0], e); err != nil {
			return nil, []Finding{{
				Kind: BackFace, Severity: Fault, Piece: p.ID, Edge: e.ID, At: p.nodeAt(e.First),
				Text: fmt.Sprintf("Edge %s has no line on the %s face: %v.", e.ID, p.faceName(), err),
			}}
		}
	}
	return out, nil
}

// OtherEdge returns one edge as OtherEdges does. It fails where that face
// cannot be made.
func (p *Piece) OtherEdge(edge int) (curve.Path, error) {
	if edge < 0 || edge >= len(p.Edges) {
		return curve.Path{}, fmt.Errorf("piece %s has no edge number %d", p.ID, edge)
	}
	all, faults := p.OtherEdges()
	if len(faults) > 0 {
		return curve.Path{}, errors.New(faults[0].Text)
	}
	return all[edge], nil
}

// cutOut returns an edge's part of the other face's outline.
func (p *Piece) cutOut(face curve.Path, e Edge) (curve.Path, error) {
	from, err := face.Nearest(p.mitreAt(e.First))
	if err != nil {
		return curve.Path{}, err
	}
	to, err := face.Nearest(p.mitreAt(e.First + e.Count))
	if err != nil {
		return curve.Path{}, err
	}
	return between(face, from.Position, to.Position)
}

// mitreAt returns where the other face's edges meet beside the node that a
// segment begins at: the point at both edges' distances from their tangents.
func (p *Piece) mitreAt(segment int) mat.Point {
	n := len(p.Outline.Segments)
	i := segment % n
	before, after := p.Outline.Segments[(i+n-1)%n], p.Outline.Segments[i]
	a, b, at := before.Tangent(1), after.Tangent(0), after.P0
	distance := p.faceDistances()
	d1, d2 := distance((i+n-1)%n, 1), distance(i, 0)
	det := a.X*b.Y - a.Y*b.X
	if math.Abs(det) < 0.02 {
		d := (d1 + d2) / 2
		return mat.Point{X: at.X - b.Y*d, Y: at.Y + b.X*d}
	}
	// (-a.Y, a.X)·m = d1 and (-b.Y, b.X)·m = d2.
	return mat.Point{
		X: at.X + (d1*b.X-d2*a.X)/det,
		Y: at.Y + (d1*b.Y-d2*a.Y)/det,
	}
}

// between returns the part of a closed path from one position to another.
func between(loop curve.Path, from, to curve.Position) (curve.Path, error) {
	opened, _, err := loop.Split(from)
	if err != nil {
		return curve.Path{}, err
	}
	length := loop.LengthTo(to) - loop.LengthTo(from)
	if length <= 0 {
		length += loop.Length()
	}
	cut, err := opened.PositionAt(length)
	if err != nil {
		return curve.Path{}, err
	}
	first, _, err := opened.Split(cut)
	return first, err
}
