package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// fold is a group of a panel that opens and closes at its head; the head shows
// what matters of it when it is closed.
type fold struct {
	head *widget.Button
	note *widget.Label
	body *fyne.Container
	box  *fyne.Container
	// opened, when set, is told when the maker opens or closes it.
	opened func()
}

func newFold(word string, body ...fyne.CanvasObject) *fold {
	f := &fold{note: value(), body: container.NewVBox(body...)}
	f.note.Importance = widget.LowImportance
	f.note.Truncation = fyne.TextTruncateEllipsis
	f.head = widget.NewButtonWithIcon(word, theme.MenuExpandIcon(), func() { f.open(!f.isOpen()) })
	f.head.Alignment, f.head.Importance = widget.ButtonAlignLeading, widget.LowImportance
	f.body.Hide()
	f.box = container.NewVBox(container.NewBorder(nil, nil, f.head, nil, f.note), f.body)
	return f
}

func (f *fold) isOpen() bool { return f.body.Visible() }

// open opens or closes the group.
func (f *fold) open(on bool) {
	if on == f.isOpen() {
		return
	}
	visible(f.body, on)
	f.head.SetIcon(theme.MenuExpandIcon())
	if on {
		f.head.SetIcon(theme.MenuDropDownIcon())
	}
	if f.opened != nil {
		f.opened()
	}
}

// say writes what matters while the group is closed.
func (f *fold) say(text string) {
	if f.note.Text != text {
		f.note.SetText(text)
	}
}
