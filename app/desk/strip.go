package desk

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// strip is where a sentence stands when something went wrong or was done,
// with a way out. It lies over the top of the work, within the rulers, so that
// nothing moves when it comes and goes.
type strip struct {
	d      *desk
	ground *canvas.Rectangle
	edge   *canvas.Rectangle
	frame  *canvas.Rectangle
	text   *widget.Label
	// ways holds a single way out beside the text, below several under it.
	ways, below, under *fyne.Container
	box, over          *fyne.Container
	// said counts the sentences of something wrong; refusal tells that the one
	// shown is about something typed that was not taken, and until, when not 0,
	// the version that it speaks of.
	said    int
	refusal bool
	until   int
}

// way is a way out: a word and what it does.
type way struct {
	word string
	do   func()
}

func newStrip(d *desk) *strip {
	s := &strip{d: d, text: prose(""), ways: container.NewHBox(), below: container.New(&flowing{})}
	s.ground, s.edge = canvas.NewRectangle(d.pal.panel), canvas.NewRectangle(d.pal.needs)
	s.edge.SetMinSize(fyne.NewSize(6, 1))
	gone := newIconButton("", theme.CancelIcon(), s.hide)
	gone.Importance = widget.LowImportance
	beside := container.NewHBox(container.NewCenter(s.ways), container.NewCenter(gone))
	s.under = container.New(layout.NewCustomPaddedLayout(0, 6, 8, 0), s.below)
	line := container.NewBorder(nil, nil, s.edge, beside, container.NewVBox(s.text, s.under))
	s.frame = canvas.NewRectangle(color.Transparent)
	s.frame.StrokeColor, s.frame.StrokeWidth = d.pal.hairline, 1
	s.box = container.NewStack(newBlanket(), s.ground, line, s.frame)
	s.box.Hide()
	s.over = container.New(overWork{}, s.box)
	return s
}

// flowing sets things side by side, and below each other where the breadth that
// it was given last has no room.
type flowing struct{ width float32 }

// MinSize is as broad as the broadest, and as high as all take.
func (f *flowing) MinSize(o []fyne.CanvasObject) fyne.Size {
	broadest := float32(0)
	for _, x := range o {
		broadest = max(broadest, x.MinSize().Width)
	}
	return fyne.NewSize(broadest, f.place(o, max(f.width, broadest), func(fyne.CanvasObject, fyne.Position) {}))
}

// Layout sets them.
func (f *flowing) Layout(o []fyne.CanvasObject, s fyne.Size) {
	f.width = s.Width
	f.place(o, s.Width, func(x fyne.CanvasObject, at fyne.Position) {
		x.Move(at)
		x.Resize(x.MinSize())
	})
}

// place calls set with the place of each thing, and returns how high all are.
func (f *flowing) place(o []fyne.CanvasObject, width float32, set func(fyne.CanvasObject, fyne.Position)) float32 {
	at, high := fyne.Position{}, float32(0)
	for _, x := range o {
		m := x.MinSize()
		if at.X > 0 && at.X+m.Width > width {
			at = fyne.NewPos(0, high+theme.Padding())
		}
		set(x, at)
		high = max(high, at.Y+m.Height)
		at.X += m.Width + theme.Padding()
	}
	return high
}

// overMargin keeps the strip clear of the rulers, and of the work's edge.
const overMargin = 8

// overWork lays the strip over the top of the work as high as its words need.
type overWork struct{}

// MinSize is the room that the strip needs of the work.
func (overWork) MinSize(o []fyne.CanvasObject) fyne.Size {
	if !o[0].Visible() {
		return fyne.Size{}
	}
	return o[0].MinSize().AddWidthHeight(leftRulerPx+2*overMargin, rulerPx+2*overMargin)
}

// Layout does so; the words know their height only once they have their breadth.
func (overWork) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(leftRulerPx+overMargin, rulerPx+overMargin))
	width := s.Width - leftRulerPx - 2*overMargin
	for range 2 {
		o[0].Resize(fyne.NewSize(width, o[0].MinSize().Height))
	}
}

// say shows a sentence and its ways out.
func (s *strip) say(text string, ways ...way) {
	s.edge.FillColor = s.d.pal.needs
	s.said++
	s.show(text, ways)
}

// tell shows good news.
func (s *strip) tell(text string, ways ...way) {
	s.edge.FillColor = s.d.pal.done
	s.show(text, ways)
}

// longSentence is the length in bytes from which a sentence takes the strip's
// whole breadth, with the way out below it.
const longSentence = 110

// passes lets the sentence go with the next change of the document: it speaks of
// the last one, or of one that was refused.
func (s *strip) passes() { s.until = s.d.s.Version() }

// goOn takes a sentence away that spoke of what has changed since.
func (s *strip) goOn() {
	if s.until != 0 && s.until != s.d.s.Version() {
		s.hide()
	}
}

func (s *strip) show(text string, ways []way) {
	s.refusal, s.until = false, 0
	s.d.runner.journal.note("%s", text)
	s.text.SetText(text)
	s.ways.RemoveAll()
	s.below.RemoveAll()
	at := s.ways
	under := len(ways) > 1 || len(ways) == 1 && len(text) > longSentence
	if under {
		at = s.below
	}
	for _, w := range ways {
		at.Add(newButton(w.word, func() { s.hide(); w.do() }))
	}
	visible(s.under, under)
	s.edge.Refresh()
	s.box.Show()
	s.over.Refresh()
}

// hide takes the sentence away.
func (s *strip) hide() { s.box.Hide() }

func (s *strip) shown() bool { return s.box.Visible() }

// blanket keeps the pointer from what lies under it.
type blanket struct {
	widget.BaseWidget
}

var (
	_ fyne.Draggable     = (*blanket)(nil)
	_ fyne.Scrollable    = (*blanket)(nil)
	_ desktop.Mouseable  = (*blanket)(nil)
	_ desktop.Hoverable  = (*blanket)(nil)
	_ desktop.Cursorable = (*blanket)(nil)
)

func newBlanket() *blanket {
	b := &blanket{}
	b.ExtendBaseWidget(b)
	return b
}

// CreateRenderer shows nothing.
func (b *blanket) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(canvas.NewRectangle(color.Transparent))
}

// Dragged, and all below, take what the pointer does and do nothing of it.
func (b *blanket) Dragged(*fyne.DragEvent) {}

// DragEnd does nothing.
func (b *blanket) DragEnd() {}

// Scrolled does nothing.
func (b *blanket) Scrolled(*fyne.ScrollEvent) {}

// MouseDown does nothing.
func (b *blanket) MouseDown(*desktop.MouseEvent) {}

// MouseUp does nothing.
func (b *blanket) MouseUp(*desktop.MouseEvent) {}

// MouseIn does nothing.
func (b *blanket) MouseIn(*desktop.MouseEvent) {}

// MouseMoved does nothing.
func (b *blanket) MouseMoved(*desktop.MouseEvent) {}

// MouseOut does nothing.
func (b *blanket) MouseOut() {}

// Cursor is the usual one.
func (b *blanket) Cursor() desktop.Cursor { return desktop.DefaultCursor }
