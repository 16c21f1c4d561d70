package desk

import (
	"fmt"
	"strings"

	"flatwright/app/desk/units"
)

// tryUnclear: what has two readings leaves the old length, and both are said.
func (b *bench) tryUnclear(c lengthCase, f *field, s units.System, before float64) {
	unit := []string{"mm", "in"}[s]
	defer func() { b.o.DecimalComma = false }()
	for i, texts := range unclearTexts {
		b.o.DecimalComma = i == 1
		for text, readings := range texts {
			b.refused(c, f, s, text, fmt.Sprintf(tr.unclear[:len("%q may be ")], text)+strings.ReplaceAll(readings, "%s", unit), before)
		}
	}
}

// refused: a text leaves the length that was there before, and is spoken of in a
// sentence that begins so.
func (b *bench) refused(c lengthCase, f *field, s units.System, text, says string, before float64) {
	version := b.s.Version()
	b.strip.hide()
	b.enter(f, text)
	said := b.strip.text.Text
	if c.said != nil {
		said = c.said(b)
	} else if !b.strip.shown() {
		said = ""
	}
	if said == "" || !strings.HasPrefix(said, says) {
		b.t.Errorf("%s, system %d: of %q it says %q, not %q", c.at, s, text, said, says)
	}
	want := before
	if c.late && f.Text == text { // while it stands there
		want = -1
	}
	if got := c.got(b); got != want || b.s.Version() != version {
		b.t.Errorf("%s, system %d: %q made %v mm of %v, version %d of %d", c.at, s, text, got, before, b.s.Version(), version)
	}
}

// tryRubbish: what is no length leaves the old one, and is spoken of.
func (b *bench) tryRubbish(c lengthCase, f *field, s units.System) {
	rubbish := []string{"abc", "-3", "1e9mm", "999999999 mm", "mm", "1/0", "1.2.3", "1,000,000", "1 0"}
	if !c.zero {
		rubbish = append(rubbish, "0", "0 mm", "0,0")
	}
	if c.most <= 1e3 {
		rubbish = append(rubbish, "41 in")
	}
	before := c.got(b)
	for _, text := range rubbish {
		b.refused(c, f, s, text, "", before)
	}
	b.tryUnclear(c, f, s, before)
	if c.zero {
		for _, text := range []string{"0", "0 mm", "0 in", "0,0"} {
			b.enter(f, "9.5 mm")
			b.enter(f, text)
			if got := c.got(b); got != 0 {
				b.t.Errorf("%s, system %d: %q is %v mm", c.at, s, text, got)
			}
			if b.changed(); c.at == "printPanel.overlap" && f.Text != s.Typed(0) {
				b.t.Errorf("sheets that share nothing show %q", f.Text)
			}
		}
	}
	b.enter(f, "")
}
