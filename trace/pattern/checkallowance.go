package pattern

import (
	"errors"
	"fmt"
	"math"

	"flatwright/trace/curve"
)

// allowances reports strips that cannot be made, each with its place and the
// width that can.
func (c *checker) allowances(p *Piece) {
	for k, e := range p.Edges {
		if !(e.Allowance.WidthMM > 0) {
			continue
		}
		_, err := p.strip(k)
		if err == nil {
			continue
		}
		f := Finding{
			Kind: AllowanceStrip, Severity: Warning, Piece: p.ID, Edge: e.ID, At: p.nodeAt(e.First), AmountMM: e.Allowance.WidthMM,
			Text: fmt.Sprintf("The allowance of %g mm along edge %s cannot be made: %v. Piece %s is printed without its allowances until it is narrower.",
				e.Allowance.WidthMM, e.ID, err, p.ID),
			Mend: Mend{Kind: NarrowAllowance, Edge: e.ID, MM: p.widestStripMM(k)},
		}
		var o *curve.OffsetError
		if errors.As(err, &o) {
			f.At = o.At
			f.Text = fmt.Sprintf("The allowance of %g mm along edge %s cannot be made near (%.1f, %.1f) mm: %s. Piece %s is printed without its allowances until it is narrower.",
				e.Allowance.WidthMM, e.ID, o.At.X, o.At.Y, o.Why, p.ID)
		}
		c.add(f)
	}
}

// widestStripMM is the widest allowance in whole mm, below that of an edge,
// that can be made; 0 for none.
func (p *Piece) widestStripMM(edge int) float64 {
	q := *p
	q.Edges = append([]Edge(nil), p.Edges...)
	can, cannot := 0.0, math.Ceil(p.Edges[edge].Allowance.WidthMM)
	for cannot-can > 1 {
		mid := math.Floor((can + cannot) / 2)
		q.Edges[edge].Allowance.WidthMM = mid
		if _, err := q.strip(edge); err == nil {
			can = mid
		} else {
			cannot = mid
		}
	}
	return can
}

// narrow sets an edge's allowance to a width.
func (p *Pattern) narrow(edgeID string, widthMM float64) error {
	q, k, err := p.FindEdge(edgeID)
	if err != nil {
		return err
	}
	q.Edges[k].Allowance.WidthMM = widthMM
	if widthMM == 0 {
		q.Edges[k].Allowance = Allowance{}
	}
	return nil
}

func narrowLabel(m Mend) string {
	if m.MM == 0 {
		return fmt.Sprintf("No allowance on edge %s", m.Edge)
	}
	return fmt.Sprintf("Leave %g mm on edge %s", m.MM, m.Edge)
}
