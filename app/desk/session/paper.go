package session

import (
	"flatwright/app/desk/view"
	"flatwright/export/page"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// PaperLabel is where a piece's label is printed, mm of paper: its middle, and
// for one that stands beside its piece (Led) the end of its leader within.
type PaperLabel struct {
	At, Leader mat.Point
	Led        bool
}

// ShapesOnPaper returns the geometry of a pattern as it is printed: OnMat of its
// tracks is mm of paper, and none is in a photograph. Labels stand where they
// are printed, by piece; a piece without one has it where there is most room.
func ShapesOnPaper(p pattern.Pattern, labels map[string]PaperLabel) *Shapes {
	b := builder{toleranceMM: flattenToleranceMM}
	out := &Shapes{}
	for _, q := range p.Pieces {
		s := b.piece(q)
		b.printed(&s, q)
		if l, ok := labels[q.ID]; ok {
			s.Label = b.track([]mat.Point{l.At})
			if l.Led {
				s.Printed = append(s.Printed, b.track([]mat.Point{l.Leader, l.At}))
			}
		}
		out.Pieces = append(out.Pieces, s)
		out.bounds[OnMat] = out.bounds[OnMat].Union(view.Bounds(s.Outline.OnMat))
	}
	return out
}

// printed takes up the lines that only the print has: those of allowances, and
// every stroke of a mark that has several.
func (b builder) printed(s *PieceShape, p pattern.Piece) {
	strips, _ := page.Strips(p)
	for _, x := range strips {
		s.Printed = append(s.Printed, b.loop(x.Cut))
	}
	s.Marks = nil
	for _, m := range p.Marks {
		for _, x := range m.Strokes() {
			s.Marks = append(s.Marks, b.track([]mat.Point{x.At, x.In}))
		}
	}
}
