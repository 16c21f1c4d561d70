package desk

import (
	"image/color"
	"sort"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// label makes a line of text.
func label(text string) *widget.Label { return widget.NewLabel(text) }

// head makes a panel's heading.
func head(text string) *widget.Label {
	l := widget.NewLabelWithStyle(text, fyne.TextAlignLeading, fyne.TextStyle{Bold: true})
	return l
}

// wrapping is head for text that may need a second line.
func wrapping(text string) *widget.Label {
	l := head(text)
	l.Wrapping = fyne.TextWrapWord
	return l
}

// heading makes a panel's title.
func heading(text string) *widget.Label {
	l := head(text)
	l.SizeName = theme.SizeNameSubHeadingText
	return l
}

// prose makes text that breaks into lines.
func prose(text string) *widget.Label {
	l := widget.NewLabel(text)
	l.Wrapping = fyne.TextWrapWord
	return l
}

// value makes a right-aligned number.
func value() *widget.Label {
	return widget.NewLabelWithStyle("", fyne.TextAlignTrailing, fyne.TextStyle{})
}

// row puts a word on the left and a thing on the right.
func row(word string, right fyne.CanvasObject) *fyne.Container {
	return container.NewBorder(nil, nil, label(word), right)
}

// gap is a little air between groups.
func gap() fyne.CanvasObject {
	r := canvas.NewRectangle(color.Transparent)
	r.SetMinSize(fyne.NewSize(1, 6))
	return r
}

// primary makes the button of the step that comes next.
func primary(text string, pressed func()) *button {
	b := newButton(text, pressed)
	b.Importance = widget.HighImportance
	return b
}

// panelWidth is the breadth of the panel on the right.
const panelWidth = 300

// fixed gives a thing a fixed breadth.
func fixed(width float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(&fixedWidth{width}, o)
}

type fixedWidth struct{ width float32 }

func (f *fixedWidth) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(f.width, o[0].MinSize().Height)
}

func (f *fixedWidth) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(s)
}

// atMost gives a label the breadth of its text, up to so much.
func atMost(width float32, l *widget.Label) *fyne.Container {
	return container.New(&textWidth{width, l}, l)
}

type textWidth struct {
	most float32
	of   *widget.Label
}

func (w *textWidth) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(min(w.most, textBreadth(w.of)), w.of.MinSize().Height)
}

// textBreadth is how broad a label must be to show its text in one line.
func textBreadth(l *widget.Label) float32 {
	const spare = 2 // a label cuts off a text that just fits
	return fyne.MeasureText(l.Text, theme.TextSize(), l.TextStyle).Width + 2*theme.InnerPadding() + spare
}

func (w *textWidth) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(s)
}

// buttonWords is how broad the words on a button across the panel may be.
const buttonWords = panelWidth - 2*columnPad - 16

// columnPad lies on either side of a column.
const columnPad = 12

// trimmed is a button's title with as much of a name from its beginning as has room: the
// title of the whole name, or of a beginning of it that ends in an ellipsis.
func trimmed(name string, width float32, title func(name string) string) string {
	fits := func(t string) bool {
		return fyne.MeasureText(t, theme.TextSize(), fyne.TextStyle{Bold: true}).Width <= width
	}
	whole := title(name)
	if fits(whole) {
		return whole
	}
	runes := []rune(name)
	n := sort.Search(len(runes), func(n int) bool { return !fits(title(string(runes[:n+1]) + "…")) })
	return title(strings.TrimSpace(string(runes[:n])) + "…")
}

// asItIs is the title of what is its own.
func asItIs(text string) string { return text }

// column stacks things with a margin.
func column(o ...fyne.CanvasObject) *fyne.Container {
	return container.New(layout.NewCustomPaddedLayout(10, 10, columnPad, columnPad), container.NewVBox(o...))
}

// hairline is a thin line that follows the palette.
func hairline(pal palette) *canvas.Rectangle {
	r := canvas.NewRectangle(pal.hairline)
	r.SetMinSize(fyne.NewSize(1, 1))
	return r
}

// enable sets a widget's state.
func enable(w fyne.Disableable, on bool) {
	if on {
		w.Enable()
		return
	}
	w.Disable()
}

// visible shows or hides a thing.
func visible(o fyne.CanvasObject, on bool) {
	if on {
		o.Show()
		return
	}
	o.Hide()
}
