package desk

import (
	"regexp"
	"strings"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/rectify/photo"
	"flatwright/trace/pattern"
)

// wordAt finds a word that is no unit.
var wordAt = regexp.MustCompile(`\p{L}{4,}`)

// A number beside a folded head says what it is, and the whole of what is said
// there can be read, in either system.
func TestFoldedHeadsSayWhatTheirNumbersAre(t *testing.T) {
	b := everyRow(t)
	b.s.SetThicknessOfAll(6)
	b.s.SelectEdge("A1")
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30, Varies: true, ToDeg: 45}); err != nil {
		t.Fatal(err)
	}
	if err := b.s.SetAllowance("A1", pattern.Allowance{WidthMM: 99.4}); err != nil {
		t.Fatal(err)
	}
	x := b.print()
	x.MarginMM, x.OverlapMM, x.ShortMM, x.LongMM, x.SVG, x.DXF, x.Bundle = 12.3, 23.4, 99.1, 100.7, true, true, true
	b.s.SetPrint(x)
	limits := pattern.Limits{SeamMM: 3, MarkMM: 2}
	b.s.SetLimits(limits)
	b.s.AddCheck(session.LengthCheck{From: photo.Point{X: 100, Y: 100}, To: photo.Point{X: 500, Y: 100}, KnownMM: 100})
	raised := b.s.Document().Raised
	raised.ThicknessMM = 12.3
	b.s.SetRaised(raised)
	_, folds := b.held()
	numbers := map[string]bool{}
	for _, system := range []units.System{units.Millimetres, units.Inches} {
		b.showIn(system)
		for st := range b.panels {
			b.goTo(st1(st))
		}
		for _, f := range folds {
			note := f.note.Text
			if strings.ContainsAny(note, "0123456789") {
				numbers[f.head.Text] = true
				if !wordAt.MatchString(note) {
					t.Errorf("%q says %q: what is that?", f.head.Text, note)
				}
			}
			if w := textBreadth(f.note); note != "" && w > columnWidth-noteIndent {
				t.Errorf("%q says %q, which is %.0f px broad", f.head.Text, note, w)
			}
		}
	}
	for _, head := range []string{
		tr.print.sheets, tr.print.printer, tr.seam.edgeMore, tr.seam.limitsHead, tr.square.checkHead, tr.square.raisedHead, tr.square.figuresHead, tr.tape.head,
	} {
		if !numbers[head] {
			t.Errorf("%q says no number", head)
		}
	}
}
