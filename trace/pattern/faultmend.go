package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
)

// mend gives the last finding of a validator a way to put it right.
func (v *validator) mend(m Mend) { v.found[len(v.found)-1].Mend = m }

// drop offers to take off what a path is: an opening, or else the whole piece.
func (v *validator) drop(opening int) {
	if opening >= 0 {
		v.mend(Mend{Kind: DropOpening, Piece: v.p.ID, Index: opening})
		return
	}
	v.mend(Mend{Kind: LeaveOut, Piece: v.p.ID})
}

// crossing says of a path that crosses itself what can be done.
func (v *validator) crossing(opening int) {
	v.drop(opening)
	if opening >= 0 {
		return
	}
	f := &v.found[len(v.found)-1]
	text, mm, m := v.p.loopFault()
	if text != "" {
		f.Text += " " + text
	}
	if f.AmountMM = mm; m.Kind != "" {
		f.Mend = m
	}
}

// capCuts offers, where the other face of a piece cannot be made and no edge
// alone is to blame, the largest angle in whole degrees that all its edges may
// keep to; none when that does not do either.
func (p *Piece) capCuts() Mend {
	q := p.Translate(mat.Point{})
	makes := func(deg float64) bool {
		for k, e := range p.Edges {
			q.Edges[k].Cut = e.Cut.cappedAt(deg)
		}
		_, bad := OtherFace(q)
		return len(bad) == 0
	}
	if !makes(0) {
		return Mend{}
	}
	can, cannot := 0.0, 90.0
	for cannot-can > 1 {
		if mid := math.Floor((can + cannot) / 2); makes(mid) {
			can = mid
		} else {
			cannot = mid
		}
	}
	return Mend{Kind: CapCuts, Piece: p.ID, Deg: can}
}

// cappedAt is the cut with no angle beyond one.
func (c Cut) cappedAt(deg float64) Cut {
	clamp := func(v float64) float64 { return max(-deg, min(v, deg)) }
	out := CutOf(clamp(c.SignedDeg()))
	if c.Varies {
		out.Varies, out.ToDeg = true, clamp(c.ToDeg)
	}
	return out
}

// repaired makes the mends of this file; false for another one.
func (p *Pattern) repaired(m Mend) (done bool, err error) {
	switch m.Kind {
	case LeaveOut, DropOpening, CutOne, ShowFront, MarkToOutline, CapCuts:
	default:
		return false, nil
	}
	q, err := p.Piece(m.Piece)
	if err != nil {
		return true, err
	}
	switch m.Kind {
	case LeaveOut:
		p.leaveOut(m.Piece)
	case DropOpening:
		if m.Index < 0 || m.Index >= len(q.Openings) {
			return true, fmt.Errorf("piece %s has no opening %d", q.ID, m.Index+1)
		}
		q.Openings = slices.Delete(q.Openings, m.Index, m.Index+1)
	case CutOne:
		q.Quantity = 1
	case ShowFront:
		q.Face = Front
	case MarkToOutline:
		return true, q.markToOutline(m.Index)
	case CapCuts:
		for k := range q.Edges {
			q.Edges[k].Cut = q.Edges[k].Cut.cappedAt(m.Deg)
		}
	}
	return true, nil
}

// leaveOut takes a piece away, and its edges out of their seams.
func (p *Pattern) leaveOut(pieceID string) {
	var gone []string
	p.Pieces = slices.DeleteFunc(p.Pieces, func(q Piece) bool {
		if q.ID != pieceID {
			return false
		}
		gone = append(gone, edgeIDs(&q)...)
		return true
	})
	p.dropEdges(gone)
}

// markToOutline moves a registration mark so that it meets the outline.
func (p *Piece) markToOutline(i int) error {
	if i < 0 || i >= len(p.Marks) {
		return fmt.Errorf("piece %s has no mark %d", p.ID, i+1)
	}
	m := p.Marks[i]
	at, err := p.Outline.Nearest(m.At)
	if err != nil {
		return fmt.Errorf("piece %s: %w", p.ID, err)
	}
	p.Marks[i].In = mat.Point{X: m.In.X + at.At.X - m.At.X, Y: m.In.Y + at.At.Y - m.At.Y}
	p.Marks[i].At = at.At
	return nil
}

// repairLabel is Mend.Label for the mends of this file.
func (m Mend) repairLabel() string {
	switch m.Kind {
	case LeaveOut:
		return fmt.Sprintf("Leave piece %s out", m.Piece)
	case DropOpening:
		return fmt.Sprintf("Fill opening %d of piece %s", m.Index+1, m.Piece)
	case CutOne:
		return fmt.Sprintf("One of piece %s", m.Piece)
	case ShowFront:
		return fmt.Sprintf("Piece %s shows its front", m.Piece)
	case MarkToOutline:
		return "Move the mark to the outline"
	case CapCuts:
		if m.Deg == 0 {
			return fmt.Sprintf("Cut piece %s straight all round", m.Piece)
		}
		return fmt.Sprintf("Cut piece %s at %g° at most", m.Piece, m.Deg)
	}
	return ""
}
