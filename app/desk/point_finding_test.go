package desk

import (
	"math"
	"testing"

	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// boxPoint is a bench whose pattern is three plates of a box that meet at one
// of its corners.
func boxPoint(t *testing.T) (*bench, *checkPanel) {
	t.Helper()
	b := ready(t)
	var pieces []pattern.Piece
	for i := range 3 {
		x := float64(60 + 110*i)
		pieces = append(pieces, pattern.Piece{ThicknessMM: 10, Outline: curve.Polygon(
			mat.Point{X: x, Y: 60}, mat.Point{X: x + 80, Y: 60}, mat.Point{X: x + 80, Y: 140}, mat.Point{X: x, Y: 140})})
	}
	p, err := pattern.New("box", pieces...)
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]string{{"A1", "B4"}, {"B1", "C4"}, {"C1", "A4"}} {
		if _, err := p.Pair(pattern.Facing(pair[0], pair[1])); err != nil {
			t.Fatal(err)
		}
	}
	b.s.SetTraced(&trace.Traced{Pattern: p})
	b.goTo(session.StageCheck)
	return b, b.panels[session.StageCheck].(*checkPanel)
}

// buttons are the buttons of the findings, by their words.
func (p *checkPanel) buttons() map[string]*button {
	out := map[string]*button{}
	for _, o := range p.list.Objects {
		if b, ok := o.(*button); ok {
			out[b.Text] = b
		}
	}
	return out
}

// Where three plates meet, bevels are offered, outwards and inwards; nothing
// is cut before the yes, which is one step of undo.
func TestPointIsOfferedBothWays(t *testing.T) {
	for words, want := range map[string]pattern.Cut{
		"Bevel all three, point outwards": {Kind: pattern.Bevel, AngleDeg: 45},
		"Bevel all three, point inwards":  {Kind: pattern.Undercut, AngleDeg: 45},
	} {
		b, p := boxPoint(t)
		yes := p.buttons()[words]
		if yes == nil {
			t.Fatalf("no button %q among %v", words, p.buttons())
		}
		if w := p.box.MinSize().Width; w > panelWidth {
			t.Errorf("the panel is %v wide", w)
		}
		if b.cutOf("A1").Kind != pattern.Straight {
			t.Fatal("cut before it was asked for")
		}
		test.Tap(yes)
		for _, e := range []string{"A1", "A4", "B1", "B4", "C1", "C4"} {
			if c := b.cutOf(e); c.Kind != want.Kind || math.Abs(c.AngleDeg-45) > 1e-9 {
				t.Errorf("%s: edge %s is cut %+v", words, e, c)
			}
		}
		if b.cutOf("A2").Kind != pattern.Straight {
			t.Error("an edge away from the point was cut")
		}
		b.s.Undo()
		b.changed()
		if b.cutOf("C4").Kind != pattern.Straight || p.buttons()[words] == nil {
			t.Error("undo does not take all of it back")
		}
	}
}
