package desk

import (
	"fmt"
	"strings"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// A limit that counts thicknesses or hundredths is read as every other number: one
// with two readings is asked about, and what is shown is taken again.
func TestLimitsThatAreNumbers(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageCheck)
	panel, _ := b.panels[session.StageCheck].(*checkPanel)
	radius, part := panel.limits.limits[7], panel.limits.limits[1]
	have := func() pattern.Limits { return b.s.Document().Pattern.Limits }
	for _, c := range []struct {
		comma      bool
		of         *limit
		text       string
		want       float64
		asks, says string
	}{
		{false, radius, "2,5 ×", 2.5, "", "2.5 ×"},
		{false, radius, "1,525 ×", 2.5, `may be "1525" or "1.525`, "2.5 ×"},
		{false, radius, "1.525", 1.525, "", "1.525 ×"},
		{true, radius, "1.525", 1.525, `may be "1525" or "1.525`, "1.5250 ×"},
		{true, radius, "1.5250 ×", 1.525, "", "1.5250 ×"},
		{false, part, "1,500 %", 0, `may be "1500" or "1.5"`, ""},
		{false, part, "1.5 %", 0.015, "", "1.5 %"},
		{false, part, "51 %", 0.015, "is not a limit", "1.5 %"},
		{false, part, "0 %", 0.015, "is not a limit", "1.5 %"},
	} {
		b.o.DecimalComma = c.comma
		b.strip.hide()
		panel.limits.typed(c.of, c.text)
		panel.update()
		l := have()
		if got := *c.of.of(&l); got != c.want || c.of.input.Text != c.says {
			t.Errorf("%q is taken as %v and shown as %q, want %v and %q", c.text, got, c.of.input.Text, c.want, c.says)
		}
		if said := b.strip.shown(); said != (c.asks != "") || said && !strings.Contains(b.strip.text.Text, c.asks) {
			t.Errorf("of %q it is said (%v): %s", c.text, said, b.strip.text.Text)
		}
	}
}

// What is said of a size that is none has its examples in both systems, as they
// are typed.
func TestARefusedSizeIsSaidAsItIs(t *testing.T) {
	b := ready(t)
	p := newSizeBox(b.desk)
	for _, system := range []units.System{units.Millimetres, units.Inches} {
		b.showIn(system)
		for _, text := range []string{"abc", `30"`, "0 %"} {
			p.typed(text)
			if want := fmt.Sprintf(tr.seam.badSize, text) + "."; b.strip.text.Text != want {
				t.Errorf("system %d: of %q it says %q, want %q", system, text, b.strip.text.Text, want)
			}
		}
	}
}
