package pattern

import (
	"testing"

	"flatwright/trace/curve"
)

// bitten is a plate of which a half disc of a radius was bitten out at the
// middle of its lower side.
func bitten(t *testing.T, radiusMM float64) Pattern {
	t.Helper()
	var bite curve.Path
	for _, s := range disc(radiusMM).Translate(pt(50, 50)).Segments {
		if s.Eval(0.5).Y < 50 {
			bite.Segments = append(bite.Segments, s)
		}
	}
	if len(bite.Segments) != 2 {
		t.Fatalf("half a disc of %d segments", len(bite.Segments))
	}
	if bite.Segments[0].P3 != bite.Segments[1].P0 {
		bite.Segments[0], bite.Segments[1] = bite.Segments[1], bite.Segments[0]
	}
	if bite.Segments[0].P0.X < 50 {
		bite = bite.Reverse()
	}
	from, to := bite.Segments[0].P0, bite.Segments[1].P3
	outline := curve.Polyline(to, pt(0, 50), pt(0, 0), pt(100, 0), pt(100, 50), from)
	outline.Segments, outline.Closed = append(outline.Segments, bite.Segments...), true
	p, err := New("bitten", Piece{ThicknessMM: 2, Outline: outline})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// In a bite of 10 mm radius a strip of 15 mm has no room: it is a finding with
// the place, and narrower than the radius it can be made.
func TestAllowanceThatCannotBeMade(t *testing.T) {
	p := bitten(t, 10)
	q := &p.Pieces[0]
	k := q.EdgeOf(len(q.Outline.Segments) - 1)
	q.Edges[k].Allowance.WidthMM = 15
	if _, err := q.Allowances(); err == nil {
		t.Fatal("the strip was made")
	}
	found := of(Check(p), AllowanceStrip)
	if len(found) != 1 || found[0].AmountMM != 15 || apartMM(found[0].At, pt(50, 50)) > 10.01 {
		t.Fatalf("%+v", found)
	}
	m := found[0].Mend
	if m.MM < 8 || m.MM > 10 {
		t.Errorf("%q is offered in a bite of 10 mm radius", m.Label())
	}
	if err := p.Apply(m); err != nil || len(of(Check(p), AllowanceStrip)) != 0 {
		t.Errorf("not mended: %v", err)
	}
	t.Log(found[0].Text, m.Label())
	if none := (Mend{Kind: NarrowAllowance, Edge: q.Edges[k].ID}); p.Apply(none) != nil || p.Pieces[0].Edges[k].Allowance != (Allowance{}) || none.Label() != "No allowance on edge "+q.Edges[k].ID {
		t.Errorf("%q left %+v", none.Label(), p.Pieces[0].Edges[k].Allowance)
	}
}
