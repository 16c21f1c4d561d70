package draw

import (
	"fmt"
	"math"
	"slices"

	"flatwright/trace/pattern"
)

// seamRow is a line of the seam table.
type seamRow struct {
	tag, edgeA, edgeB    string
	lengthAMM, lengthBMM float64
	// turn is the angle inside that the cuts give, empty when a sheet's
	// thickness is not known.
	turn string
	note string
}

// seamTags returns the name of the seam that each edge is part of, for the
// tags beside the edges: the same at both ends, so that mates can be found.
func seamTags(p pattern.Pattern) map[string]string {
	tags := map[string]string{}
	for _, s := range p.Seams {
		for _, r := range append(slices.Clone(s.A), s.B...) {
			tags[r.Edge] = s.ID
		}
	}
	return tags
}

func seamRows(p pattern.Pattern) []seamRow {
	var rows []seamRow
	for i := range p.Seams {
		s := &p.Seams[i]
		m, err := p.MeasureSeam(s.ID)
		if err != nil {
			rows = append(rows, seamRow{tag: s.ID, edgeA: s.A.String(), edgeB: s.B.String(), note: "not measured: its edges cannot be made"})
			continue
		}
		rows = append(rows, seamRow{
			tag: s.ID, edgeA: s.A.String(), edgeB: s.B.String(),
			lengthAMM: m.A.LengthMM, lengthBMM: m.B.LengthMM,
			turn: insideAngle(p, s), note: seamNote(m),
		})
	}
	return rows
}

// insideAngle is the angle between the faces that the cuts of a seam's first
// edges give.
func insideAngle(p pattern.Pattern, s *pattern.Seam) string {
	a, ka, err1 := p.FindEdge(s.A[0].Edge)
	b, kb, err2 := p.FindEdge(s.B[0].Edge)
	if err1 != nil || err2 != nil || a.ThicknessMM == 0 || b.ThicknessMM == 0 {
		return ""
	}
	return trimmed(pattern.InteriorDeg(a.Edges[ka].Cut, b.Edges[kb].Cut), 1) + "°"
}

// worthSayingMM is the difference from which a seam's sides are remarked upon:
// less cannot be cut by hand.
const worthSayingMM = 0.5

// mostEasedPart is the part of a seam's length that can be eased in (common
// practice, no source); a larger difference is a mistake.
const mostEasedPart = 0.05

func seamNote(m pattern.SeamMeasure) string {
	var parts []string
	if d := m.DifferenceMM(); math.Abs(d) >= worthSayingMM {
		longer := "first"
		if d > 0 {
			longer = "second"
		}
		if math.Abs(m.Part()) > mostEasedPart {
			parts = append(parts, fmt.Sprintf("the %s is longer by %.1f mm: too much to ease in, check before you cut", longer, math.Abs(d)))
		} else {
			parts = append(parts, fmt.Sprintf("ease the %s in by %.1f mm", longer, math.Abs(d)))
		}
	}
	switch n := len(m.Joints); {
	case n == 1:
		parts = append(parts, "1 mark")
	case n > 1:
		parts = append(parts, fmt.Sprintf("%d marks", n))
	}
	if n := len(m.A.Alone) + len(m.B.Alone); n > 0 {
		parts = append(parts, fmt.Sprintf("%d without partner", n))
	}
	return joined(", ", parts...)
}
