package desk

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// startsWith returns the panel's buttons whose words begin so.
func (p *checkPanel) startsWith(words string) []*button {
	var out []*button
	var walk func(o fyne.CanvasObject)
	walk = func(o fyne.CanvasObject) {
		switch x := o.(type) {
		case *fyne.Container:
			for _, y := range x.Objects {
				walk(y)
			}
		case *container.Scroll:
			walk(x.Content)
		case *button:
			if strings.HasPrefix(x.Text, words) {
				out = append(out, x)
			}
		}
	}
	walk(p.list)
	return out
}

// What can be done for each of several findings of a kind is offered for all of
// them once, with their number, and is one step with a name.
func TestAllOfAKindAreMendedAtOnce(t *testing.T) {
	b := ready(t)
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	b.goTo(session.StageCheck)
	p, ok := b.panels[session.StageCheck].(*checkPanel)
	if !ok {
		t.Fatal("the rung Check has another panel")
	}
	rims := func() (n int) {
		for _, f := range b.s.Findings() {
			if f.Mend.Kind == pattern.LeaveRim || f.Other.Kind == pattern.LeaveRim {
				n++
			}
		}
		return n
	}
	before, all := rims(), p.startsWith("All 4 are the rim")
	if before != 4 || len(all) != 1 || len(p.startsWith("They are the rim")) != before {
		t.Fatalf("%d findings of edges in no seam, %d buttons for all, %d for one", before, len(all), len(p.startsWith("They are the rim")))
	}
	test.Tap(all[0])
	if rims() != 0 || b.status.undo.Text != "Undo: All 4 are the rim" || b.strip.shown() {
		t.Errorf("%d are left, %q, it says %q", rims(), b.status.undo.Text, b.strip.text.Text)
	}
	b.doUndo()
	if rims() != before {
		t.Errorf("undone, %d of %d", rims(), before)
	}
	seen := p.startsWith("All 4 like this are seen")
	if len(seen) != 1 {
		t.Fatalf("%d buttons to take all as seen", len(seen))
	}
	test.Tap(seen[0])
	if rims() != 0 || b.s.SeenFindings() != before {
		t.Errorf("%d are left, %d were seen", rims(), b.s.SeenFindings())
	}
	b.doUndo()
	if rims() != before {
		t.Errorf("undone, %d of %d", rims(), before)
	}
	if w := p.box.MinSize().Width; w > panelWidth {
		t.Errorf("the panel is %v wide", w)
	}
}

// Few findings of a kind offer nothing for all: that would be more to read than to
// press.
func TestFewOfAKindAreNotOfferedForAll(t *testing.T) {
	b, p := checking(t)
	if len(b.s.Findings()) == 0 || len(p.startsWith("All")) > 0 || len(p.startsWith("Cut all")) > 0 {
		t.Errorf("of %d findings all are offered", len(b.s.Findings()))
	}
}

// countedLayout counts how often rows are laid out.
type countedLayout struct {
	of fyne.Layout
	n  int
}

func (c *countedLayout) MinSize(o []fyne.CanvasObject) fyne.Size { return c.of.MinSize(o) }

func (c *countedLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	c.n++
	c.of.Layout(o, s)
}

// However many findings there are, their list is laid out once for a change: the
// window waits.
func TestFindingsAreLaidOutOnce(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageCheck)
	p, ok := b.panels[session.StageCheck].(*checkPanel)
	if !ok {
		t.Fatal("the rung Check has another panel")
	}
	rows := &countedLayout{of: p.list.Layout}
	p.list.Layout = rows
	if _, err := b.s.Pair("A2", "B3"); err != nil {
		t.Fatal(err)
	}
	p.update()
	if len(p.list.Objects) < 8 || rows.n != 1 || p.list.Layout != fyne.Layout(rows) {
		t.Errorf("%d rows are laid out %d times", len(p.list.Objects), rows.n)
	}
}
