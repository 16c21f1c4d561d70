package pattern

import (
	"math"
	"strings"
	"testing"

	"flatwright/trace/curve"
)

// turned is a plate of 100 x 20 mm that lies aslant.
func turned(t *testing.T, deg float64) Pattern {
	t.Helper()
	p, err := New("plate", Piece{
		Outline:     curve.Polygon(pt(0, 0), pt(100, 0), pt(100, 20), pt(0, 20)).Rotate(pt(0, 0), deg*radPerDeg),
		ThicknessMM: 5,
	})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A plate that lies at 30° reaches over 100 cos 30° + 20 sin 30° = 96.6 mm by
// 100 sin 30° + 20 cos 30° = 67.3 mm, 37.3 mm more than the sheet is high;
// turned back it fits.
func TestPieceThatFitsTurned(t *testing.T) {
	p := turned(t, 30)
	p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = 105, 30
	found := of(Check(p), TooLarge)
	if len(found) != 1 || found[0].Severity != Note || math.Abs(found[0].AmountMM-37.3) > 0.1 || math.Abs(found[0].Mend.Deg+30) > 3 {
		t.Fatalf("found %+v", found)
	}
	if err := p.Apply(found[0].Mend); err != nil || len(of(Check(p), TooLarge)) != 0 {
		t.Errorf("turned by %g°, but %+v, %v", found[0].Mend.Deg, of(Check(p), TooLarge), err)
	}
	if l := p.Pieces[0].EdgeLengthMM(0); math.Abs(l-100) > 1e-9 {
		t.Errorf("turning made the edge %g mm long", l)
	}
	// Turning the sheet is nobody's trouble.
	q := turned(t, 0)
	q.Limits.SheetWidthMM, q.Limits.SheetHeightMM = 30, 105
	if found := of(Check(q), TooLarge); len(found) != 0 {
		t.Errorf("fits upright, but %+v", found)
	}
}

func TestPieceLargerThanTheSheet(t *testing.T) {
	p := turned(t, 30)
	p.Limits.SheetWidthMM, p.Limits.SheetHeightMM = 87.5, 30
	found := of(Check(p), TooLarge)
	if len(found) != 1 || found[0].Severity != Fault || !strings.Contains(found[0].Text, "mm too large") {
		t.Fatalf("found %+v", found)
	}
	// Aslant by a, the plate reaches over 100 cos a + 20 sin a, which is what
	// sticks out least where both sides do alike.
	m := found[0].Mend
	if m.WidthMM != 100 || m.HeightMM < 30 || m.HeightMM > 40 || math.Mod(m.WidthMM, sheetStepMM) != 0 {
		t.Errorf("a sheet of %g x %g mm is offered", m.WidthMM, m.HeightMM)
	}
	if err := p.Apply(m); err != nil {
		t.Fatal(err)
	}
	for _, f := range of(Check(p), TooLarge) {
		if f.Severity != Note {
			t.Errorf("the larger sheet does not hold it: %+v", f)
		}
	}
}
