package curve

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// Polygon returns the closed path of straight lines through the points.
func Polygon(points ...mat.Point) Path {
	p := Polyline(points...)
	if n := len(points); n > 1 {
		p.Segments = append(p.Segments, Line(points[n-1], points[0]))
	}
	p.Closed = true
	return p
}

// Polyline returns the open path of straight lines through the points.
func Polyline(points ...mat.Point) Path {
	var p Path
	for i := 1; i < len(points); i++ {
		p.Segments = append(p.Segments, Line(points[i-1], points[i]))
	}
	return p
}

// Flatten returns points along the path whose chords lie within toleranceMM
// of it. A closed path's first point is not repeated at the end.
func (p Path) Flatten(toleranceMM float64) []mat.Point {
	points, _ := p.flattenPlaces(toleranceMM)
	return points
}

// flattenPlaces also returns where on the path each point lies.
func (p Path) flattenPlaces(toleranceMM float64) ([]mat.Point, []Position) {
	var points []mat.Point
	var places []Position
	for i, s := range p.Segments {
		n := s.flattenCount(toleranceMM)
		for k := range n {
			t := float64(k) / float64(n)
			points, places = append(points, s.Eval(t)), append(places, Position{i, t})
		}
	}
	if n := len(p.Segments); n > 0 && !p.Closed {
		points, places = append(points, p.Segments[n-1].P3), append(places, Position{n - 1, 1})
	}
	return points, places
}

// Reverse returns the path travelled the other way.
func (p Path) Reverse() Path {
	n := len(p.Segments)
	out := Path{Closed: p.Closed, Segments: make([]Segment, n)}
	for i, s := range p.Segments {
		out.Segments[n-1-i] = s.Reverse()
	}
	return out
}

// Transform is the motion x' = A·x + B·y + C, y' = D·x + E·y + F in mm.
type Transform struct{ A, B, C, D, E, F float64 }

// Apply returns the moved point.
func (m Transform) Apply(p mat.Point) mat.Point {
	return mat.Point{X: m.A*p.X + m.B*p.Y + m.C, Y: m.D*p.X + m.E*p.Y + m.F}
}

// Then returns the motion that does m first and next after it.
func (m Transform) Then(next Transform) Transform {
	return Transform{
		A: next.A*m.A + next.B*m.D, B: next.A*m.B + next.B*m.E, C: next.A*m.C + next.B*m.F + next.C,
		D: next.D*m.A + next.E*m.D, E: next.D*m.B + next.E*m.E, F: next.D*m.C + next.E*m.F + next.F,
	}
}

// Translation returns the shift by d.
func Translation(d mat.Point) Transform { return Transform{A: 1, E: 1, C: d.X, F: d.Y} }

// Rotation returns the turn by angleRad about o, positive from x towards y
// (clockwise to the eye).
func Rotation(o mat.Point, angleRad float64) Transform {
	s, c := math.Sincos(angleRad)
	return Transform{A: c, B: -s, C: o.X - c*o.X + s*o.Y, D: s, E: c, F: o.Y - s*o.X - c*o.Y}
}

// Mirroring returns the reflection in the line through o with direction d,
// which must not be zero.
func Mirroring(o, d mat.Point) Transform {
	a := 2 * math.Atan2(d.Y, d.X)
	s, c := math.Sincos(a)
	return Transform{A: c, B: s, C: o.X - c*o.X - s*o.Y, D: s, E: -c, F: o.Y - s*o.X + c*o.Y}
}

// Transform returns the moved path. A reflection turns the direction of
// travel round as well (clockwise becomes anticlockwise); Mirror keeps it.
func (p Path) Transform(m Transform) Path {
	out := Path{Closed: p.Closed, Segments: make([]Segment, len(p.Segments))}
	for i, s := range p.Segments {
		out.Segments[i] = Segment{
			Line: s.Line, P0: m.Apply(s.P0), P1: m.Apply(s.P1), P2: m.Apply(s.P2), P3: m.Apply(s.P3),
		}
	}
	return out
}

// Translate returns the path shifted by d, in mm.
func (p Path) Translate(d mat.Point) Path { return p.Transform(Translation(d)) }

// Rotate returns the path turned by angleRad about o, positive clockwise to
// the eye.
func (p Path) Rotate(o mat.Point, angleRad float64) Path { return p.Transform(Rotation(o, angleRad)) }

// Mirror returns the mirror image in the line through o with direction d,
// travelled so that an outline stays clockwise to the eye.
func (p Path) Mirror(o, d mat.Point) Path { return p.Transform(Mirroring(o, d)).Reverse() }

// Split cuts the path at a position. A closed path becomes one open path
// that begins and ends there (second is empty); an open path becomes two.
func (p Path) Split(at Position) (first, second Path, err error) {
	if at.Segment < 0 || at.Segment >= len(p.Segments) || !(at.T >= 0 && at.T <= 1) {
		return Path{}, Path{}, fmt.Errorf("split: no segment %d at t=%g in a path of %d segments", at.Segment, at.T, len(p.Segments))
	}
	before := append([]Segment{}, p.Segments[:at.Segment]...)
	var after []Segment
	switch s := p.Segments[at.Segment]; at.T {
	case 0:
		after = append(after, s)
	case 1:
		before = append(before, s)
	default:
		a, b := s.Split(at.T)
		before, after = append(before, a), append(after, b)
	}
	after = append(after, p.Segments[at.Segment+1:]...)
	if p.Closed {
		return Path{Segments: append(after, before...)}, Path{}, nil
	}
	return Path{Segments: before}, Path{Segments: after}, nil
}

// Insert returns the path with a node added at a position, its shape
// unchanged. At an end of a segment it returns the path as it is.
func (p Path) Insert(at Position) (Path, error) {
	if at.Segment < 0 || at.Segment >= len(p.Segments) || !(at.T >= 0 && at.T <= 1) {
		return Path{}, fmt.Errorf("add a node: no segment %d at t=%g in a path of %d segments", at.Segment, at.T, len(p.Segments))
	}
	if at.T == 0 || at.T == 1 {
		return p, nil
	}
	a, b := p.Segments[at.Segment].Split(at.T)
	out := append([]Segment{}, p.Segments[:at.Segment]...)
	out = append(out, a, b)
	return Path{Closed: p.Closed, Segments: append(out, p.Segments[at.Segment+1:]...)}, nil
}
