package desk

import (
	"testing"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
)

// While something is asked, keys and shortcuts do nothing behind the question;
// Esc puts it away.
func TestKeysDoNothingBehindAQuestion(t *testing.T) {
	b := ready(t)
	c := b.win.Canvas()
	b.s.SelectEdge(b.s.Document().Pattern.Pieces[0].Edges[0].ID)
	b.setPaper("letter")
	before, stage := b.s.Version(), b.stage
	b.askClosing("work", tr.stay, nil)
	if c.Overlays().Top() == nil {
		t.Fatal("nothing is asked")
	}
	c.Unfocus()
	for _, r := range "bu1vq;" {
		c.OnTypedRune()(r)
	}
	for _, k := range []fyne.KeyName{fyne.KeyDelete, fyne.KeyTab, fyne.KeyReturn} {
		c.OnTypedKey()(&fyne.KeyEvent{Name: k})
	}
	for _, s := range b.shortcuts() {
		if h, ok := c.(fyne.Shortcutable); ok {
			h.TypedShortcut(s)
		}
	}
	if b.s.Version() != before || b.stage != stage || b.editor.tool != toolSelect || b.editor.space != session.InPhoto || len(c.Overlays().List()) != 1 {
		t.Errorf("something was done behind the question: version %d, was %d; step %d; tool %d; %d questions", b.s.Version(), before, b.stage, b.editor.tool, len(c.Overlays().List()))
	}
	c.OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if c.Overlays().Top() != nil {
		t.Error("Esc does not put the question away")
	}
	if c.OnTypedRune()('b'); b.s.Version() == before {
		t.Error("after the question the keys do nothing")
	}
}
