package page

import (
	"slices"

	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// OtherFaceLine is the line that an edge makes on the face of the sheet that
// the pattern does not show.
type OtherFaceLine struct {
	EdgeID string
	Cut    pattern.Cut
	Path   curve.Path
}

// OtherFaceLines returns the other face's lines of the edges that lean, edge
// by edge as they follow round the piece. Straight edges have none, for there
// both faces share the cut line. The findings say why there is no other face.
func OtherFaceLines(p pattern.Piece) ([]OtherFaceLine, []pattern.Finding) {
	leans := func(e pattern.Edge) bool { _, ok := CutLineStyle(e.Cut); return ok && p.ThicknessMM != 0 }
	if !slices.ContainsFunc(p.Edges, leans) {
		return nil, nil
	}
	paths, findings := p.OtherEdges()
	if len(findings) > 0 {
		return nil, findings
	}
	var lines []OtherFaceLine
	for k, e := range p.Edges {
		if leans(e) {
			lines = append(lines, OtherFaceLine{e.ID, e.Cut, paths[k]})
		}
	}
	return lines, nil
}

// InsetMM returns how far inside the cut line the other face's edge lies;
// negative outside. On a piece that shows its back the front is the other
// face, and a bevel's front edge lies outside.
func InsetMM(p *pattern.Piece, c pattern.Cut) float64 {
	d := pattern.InsetMM(c, p.ThicknessMM)
	if p.Face == pattern.Back {
		return -d
	}
	return d
}
