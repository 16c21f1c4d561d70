package report

import (
	"flatwright/trace/pattern"
)

// SeamsOf measures the seams of a pattern. Seams whose edges cannot be made
// on the face they are measured along are left out; FindingsOf says why.
func SeamsOf(p pattern.Pattern) []Seam {
	out := make([]Seam, 0, len(p.Seams))
	for i := range p.Seams {
		s := &p.Seams[i]
		m, err := p.MeasureSeam(s.ID)
		if err != nil {
			continue
		}
		out = append(out, Seam{
			Tag: s.ID, EdgeA: s.A.String(), EdgeB: s.B.String(), EdgesA: sideOf(s.A), EdgesB: sideOf(s.B),
			LengthAMM: round(m.A.LengthMM), LengthBMM: round(m.B.LengthMM), DifferenceMM: round(m.DifferenceMM()),
			FoldAngleDeg: round(turnDeg(p, s)),
			MarksPaired:  len(m.Joints) > 0 && len(m.A.Alone)+len(m.B.Alone) == 0,
		})
	}
	return out
}

func sideOf(run pattern.Run) []SideEdge {
	out := make([]SideEdge, len(run))
	for i, r := range run {
		out[i] = SideEdge(r)
	}
	return out
}

// turnDeg is the turn between the faces that the cuts of a seam give.
func turnDeg(p pattern.Pattern, s *pattern.Seam) float64 {
	a, ka, err1 := p.FindEdge(s.A[0].Edge)
	b, kb, err2 := p.FindEdge(s.B[0].Edge)
	if err1 != nil || err2 != nil {
		return 0
	}
	return 180 - pattern.InteriorDeg(a.Edges[ka].Cut, b.Edges[kb].Cut)
}

// FindingsOf checks a pattern.
func FindingsOf(p pattern.Pattern) []Finding {
	list := pattern.Check(p)
	out := make([]Finding, 0, len(list))
	for _, f := range list {
		at := At(f.At)
		out = append(out, Finding{Text: f.Text, At: &at})
	}
	return out
}
