package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

// offers adds mends to what Validate found, where there are any.
func (c *checker) offers() {
	for i := range c.found {
		f := &c.found[i]
		q, err := c.p.Piece(f.Piece)
		if err != nil || f.Mend != (Mend{}) {
			continue
		}
		switch {
		case f.Kind == BackFace:
			c.otherFace(q, f)
		case f.Kind == Faulty && f.Edge != "" && q.ThicknessMM == 0:
			c.thicknesses(q, f)
		}
	}
}

// otherFace offers gentler cuts where the other face of a piece cannot be made:
// along one edge, or else along all; where no cut is to blame, what stands in
// Other alone: to fill the opening.
func (c *checker) otherFace(q *Piece, f *Finding) {
	if f.Mend = gentler(*q, *f); f.Mend.Kind == "" {
		f.Mend = q.capCuts()
	}
	if f.Mend.Kind == "" {
		f.Mend, f.Other = f.Other, Mend{}
	}
}

// gentler offers the largest angle in whole degrees with which the piece's
// other face can be made, of one edge alone: of the edge at a finding, or else
// of the one that keeps most of its angle. None when no edge alone does.
func gentler(q Piece, f Finding) Mend {
	q = q.Translate(mat.Point{})
	if k := q.edgeIndex(f.Edge); k >= 0 {
		if deg, ok := q.mostDeg(k); ok {
			return gentlerMend(q.Edges[k].ID, deg)
		}
	}
	best, least := Mend{}, math.Inf(1)
	for k := range q.Edges {
		deg, ok := q.mostDeg(k)
		if lost := steepest(q.Edges[k].Cut) - math.Abs(deg); ok && lost < least {
			best, least = gentlerMend(q.Edges[k].ID, deg), lost
		}
	}
	return best
}

func gentlerMend(edgeID string, deg float64) Mend {
	if deg == 0 {
		return Mend{Kind: CutStraight, Edge: edgeID}
	}
	return Mend{Kind: CutGentler, Edge: edgeID, Deg: deg}
}

// steepest is the larger of a cut's angles from square.
func steepest(c Cut) float64 {
	if c.Varies {
		return max(math.Abs(c.SignedDeg()), math.Abs(c.ToDeg))
	}
	return math.Abs(c.SignedDeg())
}

// mostDeg returns the largest signed angle in whole degrees, below that of an
// edge, with which the other face can be made; false when there is none. The
// piece is as it was afterwards.
func (p *Piece) mostDeg(edge int) (float64, bool) {
	e := &p.Edges[edge]
	was := e.Cut
	defer func() { e.Cut = was }()
	signed := was.SignedDeg()
	if was.Varies && math.Abs(was.ToDeg) > math.Abs(signed) {
		signed = was.ToDeg
	}
	makes := func(deg float64) bool {
		e.Cut = CutOf(math.Copysign(deg, signed))
		_, bad := OtherFace(*p)
		return len(bad) == 0
	}
	if signed == 0 || !makes(0) {
		return 0, false
	}
	can, cannot := 0.0, math.Ceil(math.Abs(signed))
	for cannot-can > 1 {
		if mid := math.Floor((can + cannot) / 2); makes(mid) {
			can = mid
		} else {
			cannot = mid
		}
	}
	return math.Copysign(can, signed), true
}

// thicknesses offers what a piece without a thickness whose edge is cut aslant
// may have: those of the other pieces, the commoner first, or a straight cut.
func (c *checker) thicknesses(q *Piece, f *Finding) {
	offers := make([]Mend, 0, 3)
	for _, mm := range c.p.commonThicknesses() {
		offers = append(offers, Mend{Kind: GiveThickness, Piece: q.ID, MM: mm})
	}
	offers = append(offers[:min(len(offers), 2)], Mend{Kind: CutStraight, Edge: f.Edge})
	f.Mend = offers[0]
	if len(offers) > 1 {
		f.Other = offers[1]
	}
}

// surePairs are the proposals that are sure, by both their edges; asked for
// once there is an edge that is in no seam.
func (c *checker) surePairs() map[string]Mend {
	if c.sure != nil {
		return c.sure
	}
	c.sure = map[string]Mend{}
	for _, m := range c.p.ProposeMates(MateOptions{}) {
		if !m.Sure || len(m.A) != 1 || len(m.B) != 1 {
			continue
		}
		join := Mend{Kind: JoinMates, Sides: [2]EdgeRef{m.A[0], m.B[0]}}
		c.sure[m.A[0].Edge], c.sure[m.B[0].Edge] = join, join
	}
	return c.sure
}

// joinOf offers to join the first of a piece's open edges that surely has a
// mate.
func (c *checker) joinOf(open []string) Mend {
	for _, id := range open {
		if m, ok := c.surePairs()[id]; ok {
			return m
		}
	}
	return Mend{}
}

// offered makes the mends of this file; false for another one.
func (p *Pattern) offered(m Mend) (done bool, err error) {
	switch m.Kind {
	case CutGentler:
		return true, p.SetCut(m.Edge, CutOf(m.Deg))
	case GiveThickness:
		q, err := p.Piece(m.Piece)
		if err != nil {
			return true, err
		}
		q.ThicknessMM = m.MM
		return true, nil
	case JoinMates:
		_, err := p.Pair(Run{m.Sides[0]}, Run{m.Sides[1]})
		return true, err
	case NarrowAllowance:
		return true, p.narrow(m.Edge, m.MM)
	case TakeApart:
		return true, p.Unpair(m.Seam)
	}
	return false, nil
}

// offerLabel is Mend.Label for the mends of this file.
func (m Mend) offerLabel() string {
	switch m.Kind {
	case CutGentler:
		return fmt.Sprintf("Cut edge %s at %g°", m.Edge, math.Abs(m.Deg))
	case GiveThickness:
		if m.MM == 0 {
			return fmt.Sprintf("Thickness of %s not known", m.Piece)
		}
		return fmt.Sprintf("Piece %s is %g mm thick", m.Piece, m.MM)
	case JoinMates:
		return fmt.Sprintf("Join %s with %s", m.Sides[0].Edge, m.Sides[1].Edge)
	case NarrowAllowance:
		return narrowLabel(m)
	case TakeApart:
		return fmt.Sprintf("Take seam %s apart", m.Seam)
	}
	return m.fitLabel()
}
