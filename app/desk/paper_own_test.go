package desk

import (
	"context"
	"errors"
	"strings"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
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
