package desk

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/units"
)

// shutButton closes a sheet by press, Enter, Space or Esc.
type shutButton struct {
	widget.Button
	// scroll is what the arrows move, nil for nothing.
	scroll *container.Scroll
}

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
	case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown:
		b.roll(ev.Name)
	default:
		b.Button.TypedKey(ev)
	}
}

// roll moves what does not fit the window.
func (b *shutButton) roll(k fyne.KeyName) {
	by := map[fyne.KeyName]float32{fyne.KeyUp: -closeRowHigh, fyne.KeyDown: closeRowHigh, fyne.KeyPageUp: -helpHigh, fyne.KeyPageDown: helpHigh}[k]
	if b.scroll != nil {
		b.scroll.ScrollToOffset(fyne.NewPos(0, b.scroll.Offset.Y+by))
	}
}

// TypedRune closes the sheet by the character that opened it.
func (b *shutButton) TypedRune(r rune) {
	if r == '?' {
		b.OnTapped()
	}
}

// helpHigh is how high the table of keys is at most, so that the sheet fits the
// smallest window.
const helpHigh = 560

// showHelp shows or hides the sheet of keys.
func (d *desk) showHelp() {
	if d.help != nil && d.help.Visible() {
		d.hideHelp()
		return
	}
	const columns = 2
	part := (len(tr.helpKeys) + columns - 1) / columns
	halves := container.NewVScroll(container.NewHBox(keyTable(tr.helpKeys[:part], d.system()), keyTable(tr.helpKeys[part:], d.system())))
	most := halves.Content.MinSize()
	halves.SetMinSize(fyne.NewSize(most.Width, min(most.Height, helpHigh)))
	shut := newShutButton(tr.close, d.hideHelp)
	shut.scroll = halves
	what := newButton(tr.journal.show, func() {
		d.hideHelp()
		d.showJournal()
	})
	d.help = widget.NewModalPopUp(column(heading(tr.helpHead), halves, container.NewCenter(container.NewHBox(what, shut))), d.win.Canvas())
	d.help.Show()
	d.win.Canvas().Focus(shut)
}

func (d *desk) hideHelp() {
	d.help.Hide()
	d.focusEditor()
}

// keyTable sets keys beside what they do.
func keyTable(keys [][2]string, s units.System) *fyne.Container {
	table := container.New(closeRows{})
	for _, k := range keys {
		table.Add(head(k[0]))
		table.Add(label(strings.Replace(k[1], "%s", tr.nudges.in(s), 1)))
	}
	return table
}

// closeRows sets pairs of labels in two columns, nearer to each other than
// labels keep by themselves, so that most keys are seen at once.
type closeRows struct{}

const closeRowHigh = 24

func (closeRows) columns(o []fyne.CanvasObject) (left, right float32) {
	for i, x := range o {
		if w := x.MinSize().Width; i%2 == 0 {
			left = max(left, w)
		} else {
			right = max(right, w)
		}
	}
	return left, right
}

func (c closeRows) MinSize(o []fyne.CanvasObject) fyne.Size {
	left, right := c.columns(o)
	return fyne.NewSize(left+right, closeRowHigh*float32((len(o)+1)/2)+8)
}

func (c closeRows) Layout(o []fyne.CanvasObject, _ fyne.Size) {
	left, right := c.columns(o)
	for i, x := range o {
		at, w := fyne.NewPos(0, closeRowHigh*float32(i/2)), left
		if i%2 == 1 {
			at.X, w = left, right
		}
		x.Move(at)
		x.Resize(fyne.NewSize(w, x.MinSize().Height))
	}
}
