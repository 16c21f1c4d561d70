package pattern

import (
	"fmt"
	"math"
)

// alikeCornersDeg is how much the corners at the ends of a side must differ
// for the eye to tell the ends apart.
const alikeCornersDeg = 20

// eitherWay reports marks that meet as well when one side of the seam is
// turned end for end, where nothing else tells the ends apart.
func (c *checker) eitherWay(s *Seam, m SeamMeasure) {
	if !on(c.limits.MarkMM) || len(m.Joints) == 0 || len(m.A.Alone)+len(m.B.Alone) > 0 {
		return
	}
	short := min(m.A.LengthMM, m.B.LengthMM)
	// The mend must be able to do better.
	if min(oneWayMM, short/6) <= c.limits.MarkMM || !c.endsAlike(s) {
		return
	}
	miss, at := c.missTurned(m)
	if miss > c.limits.MarkMM {
		return
	}
	c.add(Finding{
		Kind: EitherWay, Severity: Note, Seam: s.ID, Edge: s.A[0].Edge, Piece: m.A.Marks[at].PieceID, At: m.A.Marks[at].At, AmountMM: miss,
		Text: fmt.Sprintf("Seam %s goes together either way: turned end for end, %s to %.1f mm. Space them oddly, so that it closes one way only.",
			s.ID, marksMeetTurned(len(m.Joints)), miss),
		Mend: Mend{Kind: SetMarks, Seam: s.ID, SpacingMM: c.oddSpacing(len(m.Joints), short)},
	})
}

func marksMeetTurned(n int) string {
	if n == 1 {
		return "its 1 mark still meets"
	}
	return fmt.Sprintf("its %d marks still meet", n)
}

// oddSpacing keeps the number of marks, as far as whole millimetres allow.
func (c *checker) oddSpacing(marks int, shortMM float64) float64 {
	return max(math.Floor(shortMM/float64(marks+1)), leastSpacingMM)
}

// missTurned is how far marks miss each other when side B is turned end for
// end, the worst of them, and which of A's it is. Marks of other numbers of
// ticks are no partners.
func (c *checker) missTurned(m SeamMeasure) (missMM float64, mark int) {
	ease := m.A.LengthMM / m.B.LengthMM
	for i, a := range m.A.Marks {
		near := math.Inf(1)
		for _, b := range m.B.Marks {
			if c.p.ticksOf(a) == c.p.ticksOf(b) {
				near = min(near, math.Abs(a.AlongMM-(m.B.LengthMM-b.AlongMM)*ease))
			}
		}
		if near > missMM {
			missMM, mark = near, i
		}
	}
	return missMM, mark
}

// ticksOf is the number of strokes of a side's mark.
func (p *Pattern) ticksOf(m SideMark) int {
	q, err := p.Piece(m.PieceID)
	if err != nil || m.Index >= len(q.Marks) {
		return 1
	}
	return max(q.Marks[m.Index].Ticks, 1)
}

// endsAlike tells whether the ends of a seam could be confused: it is no dart,
// whose sides spring from one corner, both sides are cut straight, so that a
// piece turned over fits as well, and one of the sides has corners alike at
// both its ends.
func (c *checker) endsAlike(s *Seam) bool {
	if _, dart := c.p.dartMouth(s); dart {
		return false
	}
	for _, run := range []Run{s.A, s.B} {
		for _, r := range run {
			q, k, err := c.p.FindEdge(r.Edge)
			if err != nil || q.Edges[k].Cut.Kind != Straight || q.Edges[k].Cut.Varies {
				return false
			}
		}
	}
	return c.cornersAlike(s.A) || c.cornersAlike(s.B)
}

func (c *checker) cornersAlike(run Run) bool {
	a, ok1 := c.cornerDegAt(run[0].firstEnd())
	b, ok2 := c.cornerDegAt(run[len(run)-1].lastEnd())
	return ok1 && ok2 && math.Abs(a-b) < alikeCornersDeg
}

// cornerDegAt is the angle inside the piece at an end of an edge.
func (c *checker) cornerDegAt(e edgeEnd) (float64, bool) {
	q, k, err := c.p.FindEdge(e.edge)
	if err != nil {
		return 0, false
	}
	node := q.Edges[k].First
	if !e.start {
		node += q.Edges[k].Count
	}
	return q.cornerOf(node).AngleDeg, true
}
