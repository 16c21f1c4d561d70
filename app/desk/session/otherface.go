package session

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// OffsetMM returns how far the edge on the other face lies inside the drawn
// one: t·tan b for a bevel b from square in a sheet t thick, outside (negative)
// for an undercut. When the drawn face is the back the same cut leans the other
// way to the eye. 0 for a straight cut or an unknown thickness.
func OffsetMM(c pattern.Cut, p pattern.Piece) float64 {
	d := p.ThicknessMM * math.Tan(c.AngleDeg*math.Pi/180)
	switch c.Kind {
	case pattern.Bevel:
	case pattern.Undercut:
		d = -d
	default:
		return 0
	}
	if p.Face == pattern.Back {
		return -d
	}
	return d
}

func offsetsMM(p pattern.Piece) []float64 {
	out := make([]float64, len(p.Edges))
	for i, e := range p.Edges {
		out[i] = OffsetMM(e.Cut, p)
	}
	return out
}

// otherFace returns each edge's line on the other face. The cut planes of two
// neighbouring edges meet on that face where their offset lines cross. Edges
// with an offset of 0 have none.
func otherFace(runs [][]mat.Point, offsets []float64) [][]mat.Point {
	out := make([][]mat.Point, len(runs))
	n := len(runs)
	for i, run := range runs {
		if offsets[i] == 0 || len(run) < 2 {
			continue
		}
		line := make([]mat.Point, len(run))
		for k := 1; k+1 < len(run); k++ {
			line[k] = joined(run[k-1], run[k], run[k+1], offsets[i], offsets[i])
		}
		before, after := runs[(i+n-1)%n], runs[(i+1)%n]
		last := len(run) - 1
		line[0] = joinedEnd(before, run[0], run[1], offsets[(i+n-1)%n], offsets[i])
		line[last] = joinedStart(run[last-1], run[last], after, offsets[i], offsets[(i+1)%n])
		out[i] = line
	}
	return out
}

func joinedEnd(before []mat.Point, p, next mat.Point, d0, d1 float64) mat.Point {
	if len(before) < 2 {
		return shifted(p, normal(p, next), d1)
	}
	prev := before[len(before)-2]
	if straightOn(prev, p, next) {
		return shifted(p, normal(p, next), d1)
	}
	return joined(prev, p, next, d0, d1)
}

func joinedStart(prev, p mat.Point, after []mat.Point, d0, d1 float64) mat.Point {
	if len(after) < 2 || straightOn(prev, p, after[1]) {
		return shifted(p, normal(prev, p), d0)
	}
	return joined(prev, p, after[1], d0, d1)
}

// normal is the unit normal of a step that points into the piece: with y down
// and outlines clockwise to the eye the inside lies to the right.
func normal(a, b mat.Point) mat.Point {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return mat.Point{}
	}
	return mat.Point{X: -dy / l, Y: dx / l}
}

func shifted(p, n mat.Point, d float64) mat.Point {
	return mat.Point{X: p.X + n.X*d, Y: p.Y + n.Y*d}
}

// straightOn tells that two steps go on in nearly one direction, where offset
// lines with different offsets do not meet.
func straightOn(a, p, b mat.Point) bool {
	n0, n1 := normal(a, p), normal(p, b)
	return math.Abs(n0.X*n1.Y-n0.Y*n1.X) < 0.05
}

// joined returns where the line a-p moved by d0 and the line p-b moved by d1
// meet; on nearly straight runs, or where that is far off, the middle of the
// two moved points.
func joined(a, p, b mat.Point, d0, d1 float64) mat.Point {
	n0, n1 := normal(a, p), normal(p, b)
	det := n0.X*n1.Y - n0.Y*n1.X
	x, y := (d0*n1.Y-d1*n0.Y)/det, (d1*n0.X-d0*n1.X)/det
	limit := 4 * math.Max(math.Abs(d0), math.Abs(d1))
	if math.Abs(det) < 0.01 || math.Hypot(x, y) > limit {
		x, y = (n0.X*d0+n1.X*d1)/2, (n0.Y*d0+n1.Y*d1)/2
	}
	return mat.Point{X: p.X + x, Y: p.Y + y}
}
