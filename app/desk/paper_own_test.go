package desk

import (
	"context"
	"errors"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// choosy is the practice job with a print that knows one paper by name and
// refuses what is wide. Counting its pages never ends by itself.
type choosy struct{ *practice.Job }

var errTooWide = errors.New("too wide")

func (choosy) Pages(ctx context.Context, _ session.Printout) (int, error) {
	<-ctx.Done()
	return 0, ctx.Err()
}

func (choosy) CheckPaper(_ pattern.Pattern, print session.Print) error {
	switch {
	case print.Packed:
		return errors.New("asked to pack")
	case print.Paper == "house", strings.HasPrefix(print.Paper, "610x"):
		return nil
	}
	return errTooWide
}

// A paper of one's own is checked while pages are being counted, without waiting
// for their end.
func TestOwnPaperIsCheckedWhilePagesAreCounted(t *testing.T) {
	b := ready(t)
	b.o.Job = choosy{b.job}
	b.goTo(session.StagePrint)
	p, ok := b.panels[session.StagePrint].(*printPanel)
	if !ok {
		t.Fatal("the rung Print has another panel")
	}
	if !b.counting {
		t.Fatal("no pages are being counted")
	}
	t.Cleanup(b.stopLaying)
	for _, c := range []struct{ typed, paper string }{
		{"610x914mm", "610x914mm"}, {"house", "house"}, {"900x914mm", "house"}, {"610 x 700", "610x700mm"}, {"cottage", "610x700mm"},
	} {
		b.strip.hide()
		b.enter(p.own, c.typed)
		if got := b.print().Paper; got != c.paper {
			t.Errorf("%q made the paper %q, want %q", c.typed, got, c.paper)
		}
		if b.strip.shown() != (c.typed == "900x914mm" || c.typed == "cottage") {
			t.Errorf("%q: the strip says %q", c.typed, b.strip.text.Text)
		}
	}
	b.s.SetPrint(func() session.Print { x := b.print(); x.Packed = true; return x }())
	b.enter(p.own, "610x800mm")
	if b.print().Paper != "610x800mm" {
		t.Errorf("packed on %q", b.print().Paper)
	}
}

// A roll is chosen like a paper and then needs its width alone, in the unit that
// lengths are shown in; undo brings the paper before it back, and one on the list
// takes the line away.
func TestARollIsChosenByItsWidth(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.printPanel()
	for s, c := range map[units.System]struct{ typed, paper, shown string }{
		units.Millimetres: {"914", "roll914mm", "914 mm"},
		units.Inches:      {"24", "roll609.6mm", "24 in"},
	} {
		b.showIn(s)
		p.papers.SetSelected(tr.print.roll)
		if !p.ownRow.Visible() || p.own.Text != "" || p.own.PlaceHolder != tr.print.rollHint.in(s) || b.print().Paper != "a4" {
			t.Fatalf("asked for a roll, the line shows %q (%s): %t; the paper is %s", p.own.Text, p.own.PlaceHolder, p.ownRow.Visible(), b.print().Paper)
		}
		b.changed()
		b.enter(p.own, c.typed)
		b.changed()
		if b.print().Paper != c.paper || p.papers.Selected != tr.print.roll || p.own.Text != c.shown {
			t.Errorf("%q typed: the paper is %s, shown as %s %q", c.typed, b.print().Paper, p.papers.Selected, p.own.Text)
		}
		b.doUndo()
		if b.print().Paper != "a4" || p.ownRow.Visible() || p.papers.Selected != "A4" {
			t.Errorf("undone: %s, shown as %s", b.print().Paper, p.papers.Selected)
		}
		b.doRedo()
		if b.print().Paper != c.paper || !p.ownRow.Visible() || p.papers.Selected != tr.print.roll {
			t.Errorf("done again: %s, shown as %s", b.print().Paper, p.papers.Selected)
		}
		b.strip.hide()
		if b.enter(p.own, "wide"); b.print().Paper != c.paper || !b.strip.shown() {
			t.Errorf("a width that is none made the paper %s", b.print().Paper)
		}
		p.papers.SetSelected("A4")
		if b.print().Paper != "a4" || p.ownRow.Visible() {
			t.Errorf("A4 chosen: %s, the line: %t", b.print().Paper, p.ownRow.Visible())
		}
	}
}

// Between a roll and a size of one's own the choice stays what was asked for
// until something is typed, and goes back when the paper in force is chosen.
func TestAskingForAnotherPaperChangesNone(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.printPanel()
	b.setPaper("roll610mm")
	p.papers.SetSelected(tr.print.customPaper)
	b.changed()
	if p.papers.Selected != tr.print.customPaper || p.own.Text != "" || b.print().Paper != "roll610mm" {
		t.Errorf("asked for sides: %s %q, %s", p.papers.Selected, p.own.Text, b.print().Paper)
	}
	p.papers.SetSelected(tr.print.roll)
	b.changed()
	if p.papers.Selected != tr.print.roll || p.own.Text != "610 mm" || b.print().Paper != "roll610mm" {
		t.Errorf("back at the roll: %s %q, %s", p.papers.Selected, p.own.Text, b.print().Paper)
	}
	b.setPaper("roll 914 mm") // as a command writes it
	if p.papers.Selected != tr.print.roll || p.own.Text != "914 mm" {
		t.Errorf("a command's roll: %s %q", p.papers.Selected, p.own.Text)
	}
}
