package draw

import (
	"fmt"
	"math"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// markName names a registration mark: its piece and its number there.
type markName struct {
	piece string
	index int
}

// markTags returns what stands beside the marks that meet another in a seam:
// the seam and the mark's number in the order of closing, the same on both
// sides, like "s2/1".
func markTags(p pattern.Pattern) map[markName]string {
	tags := map[markName]string{}
	for _, s := range p.Seams {
		m, err := p.MeasureSeam(s.ID)
		if err != nil {
			continue // the table of seams says so
		}
		for i, j := range m.Joints {
			text := fmt.Sprintf("%s/%d", s.ID, i+1)
			a, b := m.A.Marks[j.A], m.B.Marks[j.B]
			tags[markName{a.PieceID, a.Index}] = text
			tags[markName{b.PieceID, b.Index}] = text
		}
	}
	return tags
}

// tagMarks writes beside a piece's marks which they meet.
func (t *tagger) tagMarks(piece int, a *pieceArt, texts map[markName]string) {
	for i, m := range a.piece.Marks {
		if text := lettering.Regular.Clean(texts[markName{a.piece.ID, i}]); text != "" {
			t.tagMark(piece, m, text)
		}
	}
}

// tagMark writes beyond a mark's inner end, or beside its stroke, where it is
// free.
func (t *tagger) tagMark(piece int, m pattern.Mark, text string) {
	w := lettering.Regular.WidthMM(text, tagCapMM)
	dx, dy := m.In.X-m.At.X, m.In.Y-m.At.Y
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	in := mat.Point{X: dx / l, Y: dy / l}
	hw, hh := w/2+tagGapMM, tagCapMM/2+tagGapMM
	for _, overJoins := range []bool{false, true} {
		for _, gap := range []float64{0.6, 2, 4, 7} {
			for _, way := range []mat.Point{in, {X: -in.Y, Y: in.X}, {X: in.Y, Y: -in.X}, turned(in, 0.8), turned(in, -0.8)} {
				half := math.Min(hw/math.Max(math.Abs(way.X), 1e-9), hh/math.Max(math.Abs(way.Y), 1e-9))
				c := mat.Point{X: m.In.X + (half+gap)*way.X, Y: m.In.Y + (half+gap)*way.Y}
				g := tagAt(c, 0, w)
				if t.free(piece, g, true, overJoins) {
					g.text, g.colour = text, page.Ink
					t.art[piece].addTag(g)
					return
				}
			}
		}
	}
}
