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
	head *button
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
	f.head = newIconButton(word, theme.MenuExpandIcon(), func() { f.open(!f.isOpen()) })
	f.head.Alignment, f.head.Importance = widget.ButtonAlignLeading, widget.LowImportance
	f.body.Hide()
	f.box = container.NewVBox(container.New(&foldLine{f}, f.head, f.note), f.body)
	return f
}

// foldLine sets the note beside the head where it has room, else below it: a note
// that is cut short says less than none.
type foldLine struct{ f *fold }

const (
	// columnWidth is the breadth of what stands in a panel.
	columnWidth = panelWidth - 2*columnPad
	// noteIndent lies before a note below its head, noteRise is how near it comes.
	noteIndent, noteRise = 24, 12
)

// beside reports whether the note has room beside the head.
func (l *foldLine) beside() bool {
	return l.f.head.MinSize().Width+textBreadth(l.f.note) <= columnWidth
}

// MinSize is as high as what it holds.
func (l *foldLine) MinSize([]fyne.CanvasObject) fyne.Size {
	s := l.f.head.MinSize()
	if !l.beside() {
		s.Height += l.f.note.MinSize().Height - noteRise
	}
	return s
}

// Layout puts the note in its place.
func (l *foldLine) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	head, note := l.f.head.MinSize(), l.f.note.MinSize()
	l.f.head.Move(fyne.NewPos(0, 0))
	l.f.head.Resize(head)
	at, size := fyne.NewPos(head.Width, 0), fyne.NewSize(s.Width-head.Width, head.Height)
	if !l.beside() {
		at, size = fyne.NewPos(noteIndent, head.Height-noteRise), fyne.NewSize(s.Width-noteIndent, note.Height)
	}
	l.f.note.Move(at)
	l.f.note.Resize(size)
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
