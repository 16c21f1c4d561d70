package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Bounds of Scale.
const leastScale, mostScale = 0.1, 10

// Scale makes the whole pattern larger or smaller by a factor about the mat's
// origin, for another wearer. Lengths scale; thicknesses, bevel angles, the
// depths of cuts, allowances and the length of registration marks stay as they
// are. Other faces follow from these and are made anew by whoever draws them.
func (p *Pattern) Scale(factor float64) error {
	if !(factor >= leastScale && factor <= mostScale) {
		return fmt.Errorf("a pattern cannot be made %g times as large: choose between %g and %d", factor, leastScale, mostScale)
	}
	next := p.clone()
	scale := curve.Transform{A: factor, E: factor}
	for i := range next.Pieces {
		q := &next.Pieces[i]
		q.Outline = q.Outline.Transform(scale)
		for k := range q.Openings {
			q.Openings[k] = q.Openings[k].Transform(scale)
		}
		for k := range q.Lines {
			q.Lines[k].Path = q.Lines[k].Path.Transform(scale)
		}
		for k, m := range q.Marks {
			at := scale.Apply(m.At)
			q.Marks[k].At = at
			q.Marks[k].In = mat.Point{X: at.X + m.In.X - m.At.X, Y: at.Y + m.In.Y - m.At.Y}
		}
	}
	*p = next
	return nil
}

// ScaleToLength makes the pattern so much larger or smaller that an edge gets
// a length: the wearer's measure.
func (p *Pattern) ScaleToLength(edgeID string, lengthMM float64) error {
	q, k, err := p.FindEdge(edgeID)
	if err != nil {
		return err
	}
	have := q.EdgeLengthMM(k)
	if !(have > 0) || !(lengthMM > 0) || math.IsInf(lengthMM, 0) {
		return fmt.Errorf("edge %s is %.1f mm long and cannot be made %g mm", edgeID, have, lengthMM)
	}
	return p.Scale(lengthMM / have)
}
