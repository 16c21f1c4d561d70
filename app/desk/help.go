package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"
)

// shutButton closes a sheet by press, Enter, Space or Esc.
type shutButton struct{ widget.Button }

func newShutButton(text string, shut func()) *shutButton {
	b := &shutButton{}
	b.Text, b.OnTapped, b.Importance = text, shut, widget.HighImportance
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey closes the sheet by more keys than a button's own.
func (b *shutButton) TypedKey(ev *fyne.KeyEvent) {
	switch ev.Name {
	case fyne.KeyEscape, fyne.KeyReturn, fyne.KeyEnter, fyne.KeyF1:
		b.OnTapped()
	default:
		b.Button.TypedKey(ev)
	}
}

// TypedRune closes the sheet by the character that opened it.
func (b *shutButton) TypedRune(r rune) {
	if r == '?' {
		b.OnTapped()
	}
}

// showHelp shows or hides the sheet of keys.
func (d *desk) showHelp() {
	if d.help != nil && d.help.Visible() {
		d.hideHelp()
		return
	}
	half := (len(tr.helpKeys) + 1) / 2
	halves := container.NewHBox(keyTable(tr.helpKeys[:half]), keyTable(tr.helpKeys[half:]))
	shut := newShutButton(tr.close, d.hideHelp)
	d.help = widget.NewModalPopUp(column(heading(tr.helpHead), halves, container.NewCenter(shut)), d.win.Canvas())
	d.help.Show()
	d.win.Canvas().Focus(shut)
}

func (d *desk) hideHelp() {
	d.help.Hide()
	d.focusEditor()
}

// keyTable sets keys beside what they do.
func keyTable(keys [][2]string) *fyne.Container {
	table := container.New(layout.NewFormLayout())
	for _, k := range keys {
		table.Add(head(k[0]))
		table.Add(label(k[1]))
	}
	return table
}
