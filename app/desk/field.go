package desk

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// field is a line to type in that hands its text on at Enter and when the
// keyboard leaves it.
type field struct {
	widget.Entry
	commit func(string)
	// shown is the text last put in by show: leaving it as it is commits
	// nothing.
	shown   string
	editing bool
	width   float32
	// hints are those of a field for lengths, showsMM the length that its text
	// was shown for, and showsAs that text.
	hints   bySystem
	showsMM float64
	showsAs string
	// paper tells that it takes a paper, not one length.
	paper bool
	// inForce is the text last put in by show, and refused tells that what was
	// typed over it was not taken: leaving the field brings it back.
	inForce string
	refused bool
}

// guarded lets a field bring the value in force back when what was typed was
// refused, and takes the sentence about a refusal away once something is taken.
func (d *desk) guarded(f *field) *field {
	commit := f.commit
	f.commit = func(text string) {
		before := d.strip.said
		commit(text)
		if f.refused = d.strip.said != before; f.refused {
			d.strip.refusal = true
			return
		}
		f.inForce = f.Text
		if d.strip.refusal {
			d.strip.hide()
		}
	}
	return f
}

func newField(hint string, width float32, commit func(string)) *field {
	f := &field{commit: commit, width: width}
	f.ExtendBaseWidget(f)
	f.PlaceHolder = hint
	f.Wrapping = fyne.TextWrapOff
	f.OnSubmitted = func(string) { f.done() }
	return f
}

// MinSize keeps the width the panel asks for.
func (f *field) MinSize() fyne.Size {
	m := f.Entry.MinSize()
	if f.width > 0 {
		m.Width = f.width
	}
	return m
}

// FocusGained remembers that someone is typing, and brings the line into view.
func (f *field) FocusGained() {
	f.editing = true
	f.Entry.FocusGained()
	reveal(f)
}

// FocusLost hands the text on.
func (f *field) FocusLost() {
	f.editing = false
	f.Entry.FocusLost()
	f.done()
	if f.refused {
		f.refused = false
		f.show(f.inForce)
	}
}

// TypedKey lets Esc leave the line as it was, and F6 with what was typed, for the
// keys of the window.
func (f *field) TypedKey(k *fyne.KeyEvent) {
	if k.Name == fyne.KeyF6 {
		windowKey(f, k)
		return
	}
	if k.Name != fyne.KeyEscape {
		f.Entry.TypedKey(k)
		return
	}
	if f.refused {
		f.shown, f.refused = f.inForce, false
	}
	f.SetText(f.shown)
	windowKey(f, k)
	if c := fyne.CurrentApp().Driver().CanvasForObject(f); c != nil && c.Focused() == fyne.Focusable(f) {
		c.Unfocus() // no window of this program's own
	}
}

// TypedShortcut hands the text on and lets the window have the keys that are
// the window's own: a rung, open, save, and undo where nothing has been typed.
func (f *field) TypedShortcut(s fyne.Shortcut) {
	if f.Text == f.shown && isUndo(s) {
		if h, ok := fyne.CurrentApp().Driver().CanvasForObject(f).(fyne.Shortcutable); ok {
			h.TypedShortcut(s)
			return
		}
	}
	if x, custom := s.(*desktop.CustomShortcut); custom && f.isWindows(x) {
		c := fyne.CurrentApp().Driver().CanvasForObject(f)
		if h, ok := c.(fyne.Shortcutable); ok {
			c.Unfocus()
			h.TypedShortcut(s)
			return
		}
	}
	f.Entry.TypedShortcut(s)
}

// isUndo reports whether a shortcut undoes or does again.
func isUndo(s fyne.Shortcut) bool {
	switch x := s.(type) {
	case *fyne.ShortcutUndo, *fyne.ShortcutRedo:
		return true
	case *desktop.CustomShortcut:
		return x.KeyName == fyne.KeyZ
	}
	return false
}

func (f *field) isWindows(x *desktop.CustomShortcut) bool {
	switch x.KeyName {
	case fyne.KeyO, fyne.KeyS, fyne.KeyP:
		return true
	}
	return slices.Contains(stageKeys[:], x.KeyName)
}

func (f *field) done() {
	if f.Text == f.shown {
		return
	}
	f.shown = f.Text
	f.commit(f.Text)
}

// show puts a value in, unless someone is typing another.
func (f *field) show(text string) {
	if f.editing && f.Text != f.shown {
		return
	}
	f.shown, f.inForce = text, text
	if f.Text != text {
		f.SetText(text)
	}
}
