package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// choiceList is a list to choose one of, that Enter opens as Space does and that
// leaves to the window every key it has no use for: a press with the pointer
// gives it the keyboard too.
type choiceList struct{ widget.Select }

func newChoiceList(of []string, chosen func(string)) *choiceList {
	c := &choiceList{}
	c.Options, c.OnChanged, c.PlaceHolder = of, chosen, tr.chooseOne
	c.ExtendBaseWidget(c)
	return c
}

// TypedKey opens the list, or does what the key does in the window.
func (c *choiceList) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		c.Select.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	case fyne.KeySpace, fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight:
		c.Select.TypedKey(ev)
	default:
		windowKey(c, ev)
	}
}

// TypedRune does what the character does in the window.
func (c *choiceList) TypedRune(r rune) { windowRune(c, r) }

// FocusGained brings the list into view.
func (c *choiceList) FocusGained() {
	c.Select.FocusGained()
	reveal(c)
}

// tickBox is a box to tick, that Enter ticks as Space does and that leaves to the
// window every key it has no use for.
type tickBox struct{ widget.Check }

func newTickBox(text string, ticked func(bool)) *tickBox {
	t := &tickBox{}
	t.Text, t.OnChanged = text, ticked
	t.ExtendBaseWidget(t)
	return t
}

// TypedKey ticks the box, or does what the key does in the window.
func (t *tickBox) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter {
		t.Check.TypedRune(' ')
		return
	}
	windowKey(t, ev)
}

// TypedRune ticks the box by Space, or does what the character does in the window.
func (t *tickBox) TypedRune(r rune) {
	if r == ' ' {
		t.Check.TypedRune(r)
		return
	}
	windowRune(t, r)
}

// FocusGained brings the box into view.
func (t *tickBox) FocusGained() {
	t.Check.FocusGained()
	reveal(t)
}
