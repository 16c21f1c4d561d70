package page

import (
	"fmt"
	"strings"

	"flatwright/trace/pattern"
)

// WorkTag says what is done along an inside line, like "V 90°, 8 mm deep, 16 mm
// wide"; empty for a line that is only drawn.
func WorkTag(w pattern.LineWork) string {
	mm := func(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") + " mm" }
	switch w.Kind {
	case pattern.Score:
		return "score " + mm(w.DepthMM) + " deep"
	case pattern.Groove:
		g, err := pattern.GrooveFor(w.BendDeg, w.DepthMM, 0)
		if err != nil {
			return "V " + degrees(w.BendDeg)
		}
		return fmt.Sprintf("V %s, %s deep, %s wide, from the back", degrees(w.BendDeg), mm(g.DepthMM), mm(g.WidthMM))
	case pattern.Slit:
		return fmt.Sprintf("slit %s deep, opened to %s", mm(w.DepthMM), mm(w.GapMM))
	}
	return ""
}

// Strips returns a piece's allowances. Where one cannot be made there is a
// finding instead.
func Strips(p pattern.Piece) ([]pattern.Strip, []pattern.Finding) {
	strips, err := p.Allowances()
	if err != nil {
		at := p.Outline.Segments[0].P0
		return nil, []pattern.Finding{{
			Kind: pattern.Faulty, Severity: pattern.Warning, Piece: p.ID, At: at,
			Text: fmt.Sprintf("Piece %s is printed without its allowances: %v. Make them narrower.", p.ID, err),
		}}
	}
	return strips, nil
}
