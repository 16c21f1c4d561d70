package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// button is a button that Enter presses as Space does, that comes into view when
// it is given the keyboard, and that leaves to the window every key it has no use
// for.
type button struct{ widget.Button }

func newButton(text string, pressed func()) *button { return newIconButton(text, nil, pressed) }

func newIconButton(text string, icon fyne.Resource, pressed func()) *button {
	b := &button{}
	b.Text, b.Icon, b.OnTapped = text, icon, pressed
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey presses the button, or does what the key does in the window.
func (b *button) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyReturn, fyne.KeyEnter, fyne.KeySpace:
		b.Button.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	default:
		windowKey(b, ev)
	}
}

// TypedRune does what the character does in the window.
func (b *button) TypedRune(r rune) { windowRune(b, r) }

// FocusGained brings the button into view.
func (b *button) FocusGained() {
	b.Button.FocusGained()
	reveal(b)
}

// windowKey hands to the window a key that a thing in it has no use for. Those
// that move or delete stay: what they would change is not where the keyboard is.
func windowKey(o fyne.CanvasObject, ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyEscape, fyne.KeyF1, fyne.KeyF6, fyne.KeyF10:
	default:
		return
	}
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedKey() != nil {
		c.OnTypedKey()(ev)
	}
}

// windowRune hands a character to the window.
func windowRune(o fyne.CanvasObject, r rune) {
	if c := fyne.CurrentApp().Driver().CanvasForObject(o); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}
