package pattern

import (
	"fmt"
	"math"
	"slices"
)

// SetSideEdge takes an edge into the seam as a part of the side that it goes
// on from, at either end, or takes it off again when it is at the end of a
// side. A side goes on over a seam between two pieces, once that is closed.
// Where an edge goes on from both sides it joins the one that leaves the
// lengths less unequal. On an error nothing is changed.
func (p *Pattern) SetSideEdge(seamID, edgeID string) error {
	s, ok := p.seam(seamID)
	if !ok {
		return fmt.Errorf("there is no seam %q", seamID)
	}
	if _, _, err := p.FindEdge(edgeID); err != nil {
		return err
	}
	if s.has(edgeID) {
		return p.shorten(*s, edgeID)
	}
	if other, taken := p.SeamOf(edgeID); taken {
		return fmt.Errorf("edge %s is part of seam %s already; take that seam apart first", edgeID, other.ID)
	}
	var best *Seam
	least := math.Inf(1)
	for _, c := range p.lengthened(*s, edgeID) {
		if off := p.offMM(c); best == nil || off < least {
			best, least = &c, off
		}
	}
	if best == nil {
		return fmt.Errorf("edge %s touches neither end of %s nor of %s: choose one that goes on from a side", edgeID, s.A.Words(), s.B.Words())
	}
	p.replaceSeam(*best)
	return nil
}

// lengthened returns the seam with the edge taken in, in every way that it
// goes on from a side.
func (p *Pattern) lengthened(s Seam, edgeID string) []Seam {
	var out []Seam
	for _, b := range []bool{false, true} {
		run := s.A
		if b {
			run = s.B
		}
		put := func(r Run) {
			next := s
			if b {
				next.B = r
			} else {
				next.A = r
			}
			out = append(out, next)
		}
		if e, ok := p.openAfter(run[len(run)-1].lastEnd()); ok && e.edge == edgeID {
			put(append(slices.Clone(run), e.away()))
		}
		if e, ok := p.openAfter(run[0].firstEnd()); ok && e.edge == edgeID {
			put(append(Run{e.towards()}, run...))
		}
	}
	return out
}

// offMM is how unequal the sides of a seam would be.
func (p *Pattern) offMM(s Seam) float64 {
	trial := *p
	trial.Seams = slices.Clone(p.Seams)
	trial.replaceSeam(s)
	m, err := trial.MeasureSeam(s.ID)
	if err != nil {
		return math.Inf(1)
	}
	return math.Abs(m.DifferenceMM())
}

// shorten takes an edge off the end of a side.
func (p *Pattern) shorten(s Seam, edgeID string) error {
	for _, run := range []*Run{&s.A, &s.B} {
		i := slices.IndexFunc(*run, func(r EdgeRef) bool { return r.Edge == edgeID })
		switch {
		case i < 0:
			continue
		case len(*run) == 1:
			return fmt.Errorf("edge %s is all of its side of seam %s: take the seam apart instead", edgeID, s.ID)
		case i > 0 && i < len(*run)-1:
			return fmt.Errorf("edge %s lies in the middle of its side: take off the edges at the end first", edgeID)
		}
		*run = slices.Delete(slices.Clone(*run), i, i+1)
	}
	p.replaceSeam(s)
	return nil
}

// replaceSeam puts a seam in the place of the one of its name.
func (p *Pattern) replaceSeam(s Seam) {
	p.Seams = slices.Clone(p.Seams)
	for i := range p.Seams {
		if p.Seams[i].ID == s.ID {
			p.Seams[i] = s
		}
	}
}

// TurnSeam makes a seam close the other way round: the beginning of one side
// then meets the end of the other.
func (p *Pattern) TurnSeam(seamID string) error {
	s, ok := p.seam(seamID)
	if !ok {
		return fmt.Errorf("there is no seam %q", seamID)
	}
	next := *s
	next.B = slices.Clone(s.B)
	slices.Reverse(next.B)
	for i := range next.B {
		next.B[i].Reversed = !next.B[i].Reversed
	}
	p.replaceSeam(next)
	return nil
}

// DartOpenMM returns how wide a dart gapes at its open end: a seam within one
// piece whose sides spring from one corner. False for other seams.
func (p *Pattern) DartOpenMM(seamID string) (float64, bool) {
	s, ok := p.seam(seamID)
	if !ok {
		return 0, false
	}
	ends, ok := p.dartMouth(s)
	return math.Hypot(ends[1].X-ends[0].X, ends[1].Y-ends[0].Y), ok
}
