package desk

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// threeSquares is a bench with three faces of a box of 10 mm sheet, their
// seams at one corner paired.
func threeSquares(t *testing.T) (*bench, *markPanel) {
	t.Helper()
	b, p := marking(t)
	var pieces []pattern.Piece
	for i := range 3 {
		x := 20 + 90*float64(i)
		pieces = append(pieces, pattern.Piece{ThicknessMM: 10, Outline: curve.Polygon(
			mat.Point{X: x, Y: 40}, mat.Point{X: x + 70, Y: 40}, mat.Point{X: x + 70, Y: 110}, mat.Point{X: x, Y: 110})})
	}
	x, err := pattern.New("box", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]string{{"A1", "B4"}, {"B1", "C4"}, {"C1", "A4"}} {
		if _, err := x.Pair(pattern.Facing(pair[0], pair[1])); err != nil {
			t.Fatal(err)
		}
	}
	b.s.SetTraced(&trace.Traced{Pattern: x})
	b.s.SelectEdge("B1")
	b.changed()
	return b, p
}

// The corner of a box is offered as three bevels of 45°, and cut at the
// button only.
func TestPointIsOffered(t *testing.T) {
	b, p := threeSquares(t)
	if len(p.points.rows) != 1 || !p.points.box.Visible() {
		t.Fatalf("%d points", len(p.points.rows))
	}
	r := p.points.rows[0]
	for _, says := range []string{"corners of 90°, 90°, 90°", "Seam s2: 90.0° inside, bevels 45° and 45° from square (the cuts now give 180.0°)."} {
		if !strings.Contains(r.what.Text, says) {
			t.Errorf("%q does not say %q", r.what.Text, says)
		}
	}
	r.inwards.SetChecked(true)
	if !strings.Contains(r.what.Text, "Seam s2: 270.0° inside, bevels -45° and -45°") {
		t.Errorf("inwards: %q", r.what.Text)
	}
	r.inwards.SetChecked(false)
	if b.s.LeaningCuts() != 0 {
		t.Error("looking at it has cut something")
	}
	test.Tap(r.bevel)
	if b.s.LeaningCuts() != 6 || b.cutOf("C4") != (pattern.Cut{Kind: pattern.Bevel, AngleDeg: b.cutOf("C4").AngleDeg}) || math.Abs(b.cutOf("C4").AngleDeg-45) > 1e-9 {
		t.Errorf("%d leaning cuts, C4 is cut %+v", b.s.LeaningCuts(), b.cutOf("C4"))
	}
	if r = p.points.rows[0]; !r.bevel.Disabled() || r.bevel.Text != tr.point.done || b.status.undo.Text != "Undo: bevels at a point of A" {
		t.Errorf("done: %q, %q", r.bevel.Text, b.status.undo.Text)
	}
	if w := p.box.MinSize().Width; w > panelWidth {
		t.Errorf("the panel is %v wide", w)
	}
	b.doUndo()
	if b.s.LeaningCuts() != 0 {
		t.Error("one undo does not take it back")
	}
	b.s.SelectEdge("B2")
	b.changed()
	if p.points.box.Visible() {
		t.Error("an edge in no seam shows a point")
	}
}
