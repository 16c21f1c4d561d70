package pattern

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// GiveSeamThickness gives all pieces at a seam one thickness in mm.
func (p *Pattern) GiveSeamThickness(seamID string, mm float64) error {
	s, ok := p.seam(seamID)
	if !ok {
		return fmt.Errorf("there is no seam %q", seamID)
	}
	if !(mm > 0) || math.IsInf(mm, 0) {
		return fmt.Errorf("%g mm is no thickness of a sheet", mm)
	}
	for _, run := range []Run{s.A, s.B} {
		for _, r := range run {
			q, _, err := p.FindEdge(r.Edge)
			if err != nil {
				return err
			}
			q.ThicknessMM = mm
		}
	}
	return nil
}

// commonThicknesses returns the thicknesses of the pattern's pieces: those that
// more pieces have come first, of two as common the thinner.
func (p *Pattern) commonThicknesses() []float64 {
	count := map[float64]int{}
	var out []float64
	for _, q := range p.Pieces {
		if !(q.ThicknessMM > 0) || math.IsInf(q.ThicknessMM, 0) {
			continue
		}
		if count[q.ThicknessMM]++; count[q.ThicknessMM] == 1 {
			out = append(out, q.ThicknessMM)
		}
	}
	slices.SortFunc(out, func(a, b float64) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a, b))
	})
	return out
}

// usedThicknesses returns those of the pieces at seams, in the same order.
func (p *Pattern) usedThicknesses(seamIDs ...string) []float64 {
	here := map[float64]bool{}
	for _, id := range seamIDs {
		s, ok := p.seam(id)
		if !ok {
			continue
		}
		for _, r := range append(slices.Clone(s.A), s.B...) {
			if q, _, err := p.FindEdge(r.Edge); err == nil {
				here[q.ThicknessMM] = true
			}
		}
	}
	return slices.DeleteFunc(p.commonThicknesses(), func(mm float64) bool { return !here[mm] })
}

// levelMends offer to give both sheets of a seam one thickness, and to bevel
// them for an angle where one is given: the commoner thickness first, then the
// other. Empty for equal sheets, and where the knife cannot.
func (c *checker) levelMends(s *Seam, interiorDeg float64) (out [2]Mend) {
	list := c.p.usedThicknesses(s.ID)
	if len(list) < 2 {
		return out
	}
	for i, mm := range list[:2] {
		m := Mend{Kind: OneThickness, Seam: s.ID, MM: mm, Deg: interiorDeg}
		if trial := c.p.clone(); trial.apply(m) == nil {
			out[i] = m
		}
	}
	if out[0].Kind == "" {
		out[0], out[1] = out[1], Mend{}
	}
	return out
}

// levelled makes the mend of this file.
func (p *Pattern) levelled(m Mend) error {
	if err := p.GiveSeamThickness(m.Seam, m.MM); err != nil || m.Deg == 0 {
		return err
	}
	return p.ShareTurn(m.Seam, m.Deg)
}

func (m Mend) levelLabel() string {
	if m.Deg == 0 {
		return fmt.Sprintf("Both sheets %g mm thick", m.MM)
	}
	return fmt.Sprintf("Both %g mm thick, for %.1f°", m.MM, m.Deg)
}
