package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Strip is the allowance along one edge: a closed outline of the edge itself
// and the line that is cut instead of it.
type Strip struct {
	EdgeID string
	// WidthMM is how wide it is.
	WidthMM float64
	// Cut is the outer line, from the edge's start to its end, with both ends of
	// the strip.
	Cut curve.Path
}

const (
	// allowanceToleranceMM bounds the distance of a strip's line from the true
	// one.
	allowanceToleranceMM = 0.02
	// longestMitre bounds how far a mitred or folded end may run out, in widths
	// of its strip; sharper corners are cut off square.
	longestMitre = 4
)

// Allowances returns the strips that are left on beyond the piece's edges. It
// fails where a strip would cross itself, with the place.
func (p *Piece) Allowances() ([]Strip, error) {
	var out []Strip
	for k, e := range p.Edges {
		if !(e.Allowance.WidthMM > 0) {
			continue
		}
		s, err := p.strip(k)
		if err != nil {
			return nil, fmt.Errorf("the allowance of edge %s: %w", e.ID, err)
		}
		out = append(out, s)
	}
	return out, nil
}

// outward is -1 for an outline that runs clockwise to the eye, whose outside
// lies at negative offsets, and 1 for the other.
func (p *Piece) outward() float64 {
	if p.Outline.Area() < 0 {
		return 1
	}
	return -1
}

func (p *Piece) strip(k int) (Strip, error) {
	e := p.Edges[k]
	path := p.EdgePath(k)
	sign, width := p.outward(), e.Allowance.WidthMM
	moved, err := curve.Offset(path, curve.Constant(sign*width), allowanceToleranceMM)
	if err != nil {
		return Strip{}, err
	}
	pts := moved.Flatten(allowanceToleranceMM)
	if len(p.Edges) == 1 {
		return Strip{EdgeID: e.ID, WidthMM: width, Cut: curve.Polyline(append(pts, pts[0])...)}, nil
	}
	n := len(path.Segments)
	start, end := path.Segments[0], path.Segments[n-1]
	// Looked at from the end, the edge before is what the edge after is from
	// the start; the outside then lies on the other hand.
	tail := p.stripEnd(k, k+1, end.P3, end.Tangent(1), sign)
	head := p.stripEnd(k, k-1, start.P0, reversed(start.Tangent(0)), -sign)
	pts = trimTo(pts, end.P3, tail, end.Tangent(1))
	slices.Reverse(pts)
	pts = trimTo(pts, start.P0, head, reversed(start.Tangent(0)))
	slices.Reverse(pts)
	line := append([]mat.Point{start.P0, head}, pts...)
	line = append(line, tail, end.P3)
	return Strip{EdgeID: e.ID, WidthMM: width, Cut: curve.Polyline(withoutStops(line)...)}, nil
}

// withoutStops drops doubled points and those on the way straight on.
func withoutStops(pts []mat.Point) []mat.Point {
	out := pts[:1:1]
	for i := 1; i < len(pts); i++ {
		a, b := out[len(out)-1], pts[i]
		if math.Hypot(b.X-a.X, b.Y-a.Y) < joinToleranceMM {
			continue
		}
		if i+1 < len(pts) {
			c := pts[i+1]
			ahead := (b.X-a.X)*(c.X-b.X)+(b.Y-a.Y)*(c.Y-b.Y) > 0
			off := math.Abs((b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X)) / math.Hypot(c.X-a.X, c.Y-a.Y)
			if ahead && off < joinToleranceMM {
				continue
			}
		}
		out = append(out, b)
	}
	return out
}

func reversed(v mat.Point) mat.Point { return mat.Point{X: -v.X, Y: -v.Y} }

// stripEnd returns the outer corner of a strip at an end of its edge. d is the
// direction in which the edge leaves its strip there, and the outside lies to
// the left of d for a positive sign.
func (p *Piece) stripEnd(k, next int, at, d mat.Point, sign float64) mat.Point {
	width := p.Edges[k].Allowance.WidthMM
	square := along(at, mat.Point{X: -d.Y * sign, Y: d.X * sign}, width)
	e := p.Edges[(next+len(p.Edges))%len(p.Edges)]
	// n runs away from the corner along the neighbouring edge.
	var n mat.Point
	if q := p.EdgePath((next + len(p.Edges)) % len(p.Edges)); next > k {
		n = q.Segments[0].Tangent(0)
	} else {
		n = reversed(q.Segments[len(q.Segments)-1].Tangent(1))
	}
	out := mat.Point{X: -d.Y * sign, Y: d.X * sign}
	var line mat.Point // the strip's end runs from the corner along it
	switch p.Edges[k].Allowance.Corner {
	case Square:
		return square
	case Folded:
		// The mirror image of the neighbour in this edge.
		across := n.X*out.X + n.Y*out.Y
		line = mat.Point{X: n.X - 2*across*out.X, Y: n.Y - 2*across*out.Y}
	default:
		if m, ok := mitre(d, n, out, width, e.Allowance.WidthMM); ok && math.Hypot(m.X, m.Y) <= longestMitre*width {
			return mat.Point{X: at.X + m.X, Y: at.Y + m.Y}
		}
		return square
	}
	rise := line.X*out.X + line.Y*out.Y
	if rise < 1.0/longestMitre {
		return square
	}
	return along(at, line, width/rise)
}

func along(at, direction mat.Point, by float64) mat.Point {
	return mat.Point{X: at.X + by*direction.X, Y: at.Y + by*direction.Y}
}

// mitre returns, from the corner, where a strip's line meets the neighbour's:
// w out from an edge that arrives in direction d, and v out from one that
// leaves in direction n.
func mitre(d, n, out mat.Point, w, v float64) (mat.Point, bool) {
	// The neighbour's outward normal lies on the same side of the outline.
	turn := d.X*n.Y - d.Y*n.X
	if math.Abs(turn) < 1e-3 {
		return mat.Point{X: out.X * w, Y: out.Y * w}, true
	}
	sign := math.Copysign(1, d.X*out.Y-d.Y*out.X)
	o := mat.Point{X: -n.Y * sign, Y: n.X * sign}
	det := out.X*o.Y - out.Y*o.X
	if math.Abs(det) < 1e-3 {
		return mat.Point{}, false
	}
	return mat.Point{X: (w*o.Y - v*out.Y) / det, Y: (v*out.X - w*o.X) / det}, true
}

// trimTo cuts the end of a strip's line off where the strip's end line, from
// the corner to its outer end, crosses it. d is the edge's direction towards
// the corner.
func trimTo(pts []mat.Point, corner, outer, d mat.Point) []mat.Point {
	u := mat.Point{X: outer.X - corner.X, Y: outer.Y - corner.Y}
	side := func(q mat.Point) float64 { return u.X*(q.Y-corner.Y) - u.Y*(q.X-corner.X) }
	inner := side(mat.Point{X: corner.X - d.X, Y: corner.Y - d.Y})
	for len(pts) > 1 && side(pts[len(pts)-1])*inner <= 0 {
		pts = pts[:len(pts)-1]
	}
	return pts
}
