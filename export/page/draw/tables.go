package draw

import (
	"fmt"

	"flatwright/export/page"
	"flatwright/export/page/lettering"
	"flatwright/trace/pattern"
)

func (b *book) putPieces(f *flow) {
	t := table{capMM: capSmall, columns: []column{
		{head: "Piece"},
		{head: "Name", flexible: true},
		{head: "Cut", a: right},
		{head: "Turned\nover", a: right},
		{head: "Thick\nmm", a: right},
		{head: "Face"},
		{head: "Area\ncm²", a: right},
		{head: "Outline\nmm", a: right},
		{head: "Marks", a: right, optional: true},
	}}
	for i := range b.doc.Pattern.Pieces {
		t.rows = append(t.rows, pieceRow(&b.doc.Pattern.Pieces[i]))
	}
	f.heading("Pieces", 20)
	t.put(f)
}

func pieceRow(p *pattern.Piece) []string {
	n := max(1, p.Quantity)
	turnedOver := 0
	if p.Mirrored {
		turnedOver = max(1, n/2)
	}
	thick := "–"
	if p.ThicknessMM > 0 {
		thick = trimmed(p.ThicknessMM, 2)
	}
	return []string{
		p.ID, lettering.OneLine(p.Name), fmt.Sprint(n), fmt.Sprint(turnedOver), thick, string(p.Face),
		fmt.Sprintf("%.1f", p.AreaMM2()/100), fmt.Sprintf("%.1f", p.PerimeterMM()), fmt.Sprint(len(p.Marks)),
	}
}

func (b *book) putEdges(f *flow) {
	t := table{capMM: capSmall, columns: []column{
		{head: "Edge"},
		{head: "Length\nmm", a: right},
		{head: "Cut"},
		{head: "Other\nface"},
	}}
	for i := range b.doc.Pattern.Pieces {
		p := &b.doc.Pattern.Pieces[i]
		for k := range p.Edges {
			t.rows = append(t.rows, edgeRow(p, k))
		}
	}
	if len(t.rows) == 0 {
		return
	}
	f.heading("Edges and cuts", 20)
	t.put(f)
}

func edgeRow(p *pattern.Piece, edge int) []string {
	e, length := p.Edges[edge], p.EdgePath(edge).Length()
	cut, other := "straight", "same"
	if _, leans := page.CutLineStyle(e.Cut); leans {
		cut = fmt.Sprintf("%s %s", e.Cut.Kind, page.CutTag(e.Cut))
		other = otherFace(p, e.Cut)
	}
	return []string{e.ID, fmt.Sprintf("%.1f", length), cut, other}
}

// otherFace says how far the other face's edge lies from the cut line:
// thickness × tan of the angle.
func otherFace(p *pattern.Piece, c pattern.Cut) string {
	if p.ThicknessMM <= 0 {
		return "thickness?"
	}
	d := page.InsetMM(p, c)
	if d < 0 {
		return fmt.Sprintf("%.1f mm out", -d)
	}
	return fmt.Sprintf("%.1f mm in", d)
}

func (b *book) putSeams(f *flow) {
	f.heading("Seams", 12)
	if len(b.seams) == 0 {
		f.paragraph("No edges are paired yet, so no seam has been checked. Hold edges that will be glued together side by side before you cut.", capBody, 0)
		f.gap(3)
		return
	}
	t := table{capMM: capBody, columns: []column{
		{head: "Seam"},
		{head: "Edge"},
		{head: "mm", a: right},
		{head: "Edge"},
		{head: "mm", a: right},
		{head: "Inside", a: right},
		{head: "Note", flexible: true},
	}}
	for _, s := range b.seams {
		t.rows = append(t.rows, []string{
			s.tag, s.edgeA, fmt.Sprintf("%.1f", s.lengthAMM),
			s.edgeB, fmt.Sprintf("%.1f", s.lengthBMM), s.turn, s.note,
		})
	}
	t.put(f)
}

// cautions are for whoever cuts; headline and text.
var cautions = [][2]string{
	{"Knives.", "Fit a fresh blade and change it often: a blunt one needs force, and slips. Cut away from the hand that holds the sheet, along a steel rule with a guard, and wear a cut-resistant glove on that hand."},
	{"Bevels.", "A bevel leans the blade towards the hand that holds the sheet. Hold well back from the line, take several light strokes, or turn the sheet so that the blade leans away."},
	{"Tape.", "Cut tape off a person with blunt-tipped shears only, away from the body, with film or plain cloth beneath; never over face or neck."},
	{"Fumes.", "Contact cement catches fire, and it and foam under a heat gun give off fumes. Open windows or use an extractor, and keep flames away."},
	{"Dust.", "Sanding or grinding foam makes fine dust. Wear a respirator that fits, and goggles."},
	{"In doubt.", "Follow the makers’ data sheets and your local rules, and ask a trained person."},
}

func (b *book) putCautions(f *flow) {
	f.heading("Cautions", 40)
	const indent = 20.0
	for _, caution := range cautions {
		lines := lettering.Regular.Wrap(caution[1], capSmall, f.room()-indent)
		f.need(float64(len(lines)) * capSmall * leading)
		y := f.y
		f.blocks = append(f.blocks, func(c Canvas) {
			write(c, f.left(), y+capSmall*1.35, left, caution[0], lettering.Bold, capSmall, page.Ink)
		})
		f.paragraph(caution[1], capSmall, indent)
		f.gap(1)
	}
}
