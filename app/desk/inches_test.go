package desk

import (
	"strings"
	"testing"

	"flatwright/app/desk/units"
	"flatwright/app/desk/view"
)

// Lengths on the work are shown in inches when they are asked for, and the next
// window begins that way.
func TestInchesOnTheWork(t *testing.T) {
	at := placeToKeep(t)
	b := keeping(t, at, "")
	b.s.SelectEdge("A1")
	b.changed()
	p, ok := b.panels[3].(*markPanel)
	if !ok || p.length.Text != "100.0 mm" {
		t.Fatalf("edge A1 of the practice pattern is %q", p.length.Text)
	}
	b.goTo(3)
	b.typed("'")
	if p.length.Text != "3 15/16 in" {
		t.Errorf("in inches the edge is %q", p.length.Text)
	}
	if got := tapeTitle(view.Point{}, view.Point{X: 25.4 * 1.375}, b.editor.system); got != "1 3/8 in" {
		t.Errorf("the tape reads %q", got)
	}
	if got := placeTitle(view.Point{X: 50.8, Y: 12.7}, b.editor.system); got != "2.00, 0.50 in" {
		t.Errorf("the pointer is at %q", got)
	}
	var texts []string
	b.editor.ticks(0, 0, 2000, func(_, _ float64, text string) {
		if text != "" {
			texts = append(texts, text)
		}
	})
	if len(texts) < 2 || texts[0] != "0" {
		t.Errorf("the ruler says %s", strings.Join(texts, " "))
	}
	b.letGo()
	c := newBench(t, Options{Keep: at}, b.job)
	if c.editor.system != units.Inches {
		t.Error("the next window forgot the inches")
	}
	c.typed("'")
	if c.editor.system != units.Millimetres {
		t.Error("there is no way back")
	}
}
