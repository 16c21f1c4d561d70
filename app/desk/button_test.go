package desk

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// With the keyboard on a button of the panel Enter presses it, Esc and F6 lead
// back to the picture, and letters do what they do everywhere.
func TestAButtonWithTheKeyboard(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	mark := b.panels[session.StageMarkUp].(*markPanel)
	c := b.win.Canvas()
	kind := func() pattern.CutKind {
		e, _ := b.s.SelectedEdge()
		return e.Cut.Kind
	}
	for i, key := range []fyne.KeyName{fyne.KeyReturn, fyne.KeySpace, fyne.KeyEnter} {
		w := mark.cuts[(i+1)%len(kinds)]
		c.Focus(w)
		c.Focused().TypedKey(&fyne.KeyEvent{Name: key})
		if kind() != kinds[(i+1)%len(kinds)] {
			t.Errorf("%s on %q: the cut is %v", key, w.Text, kind())
		}
	}
	c.Focus(mark.cuts[0])
	c.Focused().TypedRune('b')
	if kind() != pattern.Bevel {
		t.Errorf("b with the keyboard on a button: the cut is %v", kind())
	}
	before, _ := b.s.SelectedEdge()
	for _, f := range []fyne.Focusable{mark.cuts[0], mark.thickness, b.rungs[3]} {
		for _, key := range []fyne.KeyName{fyne.KeyEscape, fyne.KeyF6} {
			c.Focus(f)
			c.Focused().TypedKey(&fyne.KeyEvent{Name: key})
			if c.Focused() != fyne.Focusable(b.editor) {
				t.Errorf("%s on %T: the keyboard is at %T", key, f, c.Focused())
			}
		}
	}
	if after, ok := b.s.SelectedEdge(); !ok || after.ID != before.ID {
		t.Errorf("coming back to the picture chose %q", after.ID)
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF6})
	if c.Focused() == fyne.Focusable(b.editor) || c.Focused() == nil {
		t.Error("F6 does not lead to the panel")
	}
}

// F6 out of a line takes what was typed; a button that has the keyboard is seen.
func TestTheKeyboardLeavesALine(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1024, 700))
	b.click(b.seen(130, 40))
	b.typed("b")
	b.capture()
	mark := b.panels[session.StageMarkUp].(*markPanel)
	b.win.Canvas().Focus(mark.thickness)
	mark.thickness.SetText("6 mm")
	mark.thickness.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF6})
	if p, _ := b.s.SelectedPiece(); p.ThicknessMM != 6 {
		t.Errorf("the thickness typed is %g", p.ThicknessMM)
	}
	b.holder.Resize(fyne.NewSize(300, 300)) // less than the panel needs
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	seen := func() bool {
		top := place(mark.same).Y - place(b.holder).Y
		return top >= 0 && top+mark.same.Size().Height <= b.holder.Size().Height
	}
	b.holder.ScrollToTop()
	if seen() {
		t.Fatal("the whole panel fits the window, so nothing is tried")
	}
	b.win.Canvas().Focus(mark.same)
	if !seen() {
		t.Error("the button has the keyboard and is out of view")
	}
}

// A list and a box to tick leave to the window what they have no use for: a press
// with the pointer gives them the keyboard.
func TestAListWithTheKeyboard(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p, c := b.printPanel(), b.win.Canvas()
	p.by.open(true)
	b.changed()
	for _, f := range []fyne.Focusable{p.laid, p.svg} {
		for _, key := range []fyne.KeyName{fyne.KeyEscape, fyne.KeyF6} {
			c.Focus(f)
			c.Focused().TypedKey(&fyne.KeyEvent{Name: key})
			if c.Focused() != fyne.Focusable(b.editor) {
				t.Errorf("%s on %T: the keyboard is at %T", key, f, c.Focused())
			}
		}
		before := b.editor.space
		c.Focus(f)
		c.Focused().TypedRune('v')
		if b.editor.space == before {
			t.Errorf("v on %T does nothing", f)
		}
	}
	for i, press := range []func(){
		func() { p.svg.TypedRune(' ') },
		func() { p.svg.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) },
		func() { p.svg.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEnter}) },
	} {
		if press(); b.print().SVG != (i%2 == 0) {
			t.Errorf("press %d: ticked %t", i, b.print().SVG)
		}
	}
	for _, key := range []fyne.KeyName{fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter} {
		p.laid.TypedKey(&fyne.KeyEvent{Name: key})
		if !b.asking() {
			t.Errorf("%s does not open the list", key)
			continue
		}
		c.Overlays().Top().Hide()
	}
}

// The keyboard comes back to the picture when what had it leaves the window.
func TestTheKeyboardIsNotLost(t *testing.T) {
	b := ready(t)
	c := b.win.Canvas()
	b.goTo(session.StagePrint)
	for name, leave := range map[string]func(){
		"another rung": func() { b.shortcut(&desktop.CustomShortcut{KeyName: fyne.Key4, Modifier: fyne.KeyModifierControl}) },
		"folded away":  func() { b.printPanel().sheets.open(false); b.changed() },
	} {
		b.goTo(session.StagePrint)
		b.printPanel().sheets.open(true)
		b.changed()
		c.Focus(b.printPanel().margin)
		b.changed()
		if c.Focused() != fyne.Focusable(b.printPanel().margin) {
			t.Fatalf("the keyboard is taken from a line in sight, for %T", c.Focused())
		}
		if leave(); c.Focused() != fyne.Focusable(b.editor) {
			t.Errorf("%s: the keyboard is at %T", name, c.Focused())
		}
	}
	for _, r := range b.rungs {
		c.Focus(r)
		if b.changed(); c.Focused() != fyne.Focusable(r) {
			t.Error("the keyboard is taken from the ladder")
		}
	}
}
