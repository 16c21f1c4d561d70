package desk

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
)

// rung is one step of the ladder on the left: a word, its state by shape and
// colour, and what it needs or the number that matters.
type rung struct {
	widget.BaseWidget
	word, number           string
	state                  session.State
	chosen, hovered, keyed bool
	pal                    palette
	pressed                func()
}

var (
	_ fyne.Tappable     = (*rung)(nil)
	_ fyne.Focusable    = (*rung)(nil)
	_ desktop.Hoverable = (*rung)(nil)
)

func newRung(word string, pressed func()) *rung {
	r := &rung{word: word, pressed: pressed}
	r.ExtendBaseWidget(r)
	return r
}

// Tapped opens the rung's panel.
func (r *rung) Tapped(*fyne.PointEvent) { r.pressed() }

// TypedKey opens the panel from the keyboard.
func (r *rung) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter || ev.Name == fyne.KeySpace {
		r.pressed()
		return
	}
	windowKey(r, ev)
}

// TypedRune does what the character does in the window.
func (r *rung) TypedRune(c rune) { windowRune(r, c) }

// FocusGained and FocusLost draw and remove the focus frame.
func (r *rung) FocusGained() { r.keyed = true; r.Refresh() }

// FocusLost removes the focus frame.
func (r *rung) FocusLost() { r.keyed = false; r.Refresh() }

// MouseIn and MouseOut light the rung up.
func (r *rung) MouseIn(*desktop.MouseEvent) { r.hovered = true; r.Refresh() }

// MouseMoved changes nothing.
func (r *rung) MouseMoved(*desktop.MouseEvent) {}

// MouseOut ends the light.
func (r *rung) MouseOut() { r.hovered = false; r.Refresh() }

// CreateRenderer draws the rung of plain shapes.
func (r *rung) CreateRenderer() fyne.WidgetRenderer {
	v := &rungRenderer{r: r}
	v.frame = canvas.NewRectangle(color.Transparent)
	v.frame.CornerRadius = 6
	v.bar = canvas.NewRectangle(color.Transparent)
	v.circle = canvas.NewCircle(color.Transparent)
	v.triangle = canvas.NewPolygon(3, color.Transparent)
	v.square = canvas.NewRectangle(color.Transparent)
	v.square.CornerRadius = 3
	v.tick1, v.tick2 = canvas.NewLine(color.Transparent), canvas.NewLine(color.Transparent)
	v.word, v.number = canvas.NewText("", color.Transparent), canvas.NewText("", color.Transparent)
	v.word.TextSize, v.number.TextSize = 14, 12
	v.word.TextStyle.Bold = true
	v.Refresh()
	return v
}

type rungRenderer struct {
	r            *rung
	frame, bar   *canvas.Rectangle
	circle       *canvas.Circle
	triangle     *canvas.Polygon
	square       *canvas.Rectangle
	tick1, tick2 *canvas.Line
	word, number *canvas.Text
}

const rungSign = 16

func (v *rungRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{v.frame, v.bar, v.circle, v.triangle, v.square, v.tick1, v.tick2, v.word, v.number}
}

func (v *rungRenderer) MinSize() fyne.Size { return fyne.NewSize(152, 60) }

func (v *rungRenderer) Destroy() {}

func (v *rungRenderer) Layout(s fyne.Size) {
	v.frame.Move(fyne.NewPos(4, 2))
	v.frame.Resize(fyne.NewSize(s.Width-8, s.Height-4))
	v.bar.Move(fyne.NewPos(4, 10))
	v.bar.Resize(fyne.NewSize(4, s.Height-20))
	x, y := float32(18), s.Height/2-rungSign/2
	for _, o := range []fyne.CanvasObject{v.circle, v.square} {
		o.Move(fyne.NewPos(x, y))
		o.Resize(fyne.NewSize(rungSign, rungSign))
	}
	v.triangle.Move(fyne.NewPos(x-1, y-1))
	v.triangle.Resize(fyne.NewSize(rungSign+2, rungSign+2))
	v.tick1.Position1, v.tick1.Position2 = fyne.NewPos(x+4, y+8), fyne.NewPos(x+7, y+11)
	v.tick2.Position1, v.tick2.Position2 = fyne.NewPos(x+7, y+11), fyne.NewPos(x+12, y+5)
	v.word.Move(fyne.NewPos(44, s.Height/2-20))
	v.number.Move(fyne.NewPos(44, s.Height/2+1))
}

func (v *rungRenderer) Refresh() {
	r := v.r
	p := r.pal
	v.word.Text, v.number.Text = r.word, r.number
	v.word.Color, v.number.Color = p.ink, p.faint
	v.frame.FillColor, v.frame.StrokeColor, v.frame.StrokeWidth = color.Transparent, color.Transparent, 0
	v.bar.FillColor = color.Transparent
	switch {
	case r.chosen:
		v.frame.FillColor, v.bar.FillColor = p.field, p.accent
	case r.hovered:
		v.frame.FillColor = withAlpha(p.ink, 14)
	}
	if r.keyed {
		v.frame.StrokeColor, v.frame.StrokeWidth = p.accent, 2
	}
	v.sign(p)
	for _, o := range v.Objects() {
		o.Refresh()
	}
}

// sign shows the state: an empty circle, a filled triangle, a ticked square.
func (v *rungRenderer) sign(p palette) {
	v.circle.Hidden, v.triangle.Hidden, v.square.Hidden = true, true, true
	v.tick1.Hidden, v.tick2.Hidden = true, true
	switch v.r.state {
	case session.NotYet:
		v.circle.Hidden = false
		v.circle.StrokeColor, v.circle.StrokeWidth, v.circle.FillColor = p.faint, 1.5, color.Transparent
	case session.NeedsYou:
		v.triangle.Hidden = false
		v.triangle.FillColor = p.needs
	case session.Done:
		v.square.Hidden, v.tick1.Hidden, v.tick2.Hidden = false, false, false
		v.square.FillColor = p.done
		for _, l := range []*canvas.Line{v.tick1, v.tick2} {
			l.StrokeColor, l.StrokeWidth = p.onAccent, 2
		}
	}
}
