package desk

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// presser lies over a picture and makes a button of it, for the pointer and the
// keyboard.
type presser struct {
	widget.DisableableWidget
	do    func()
	frame *canvas.Rectangle
	// ink is the focus frame's colour.
	ink func() color.Color
}

var (
	_ fyne.Tappable      = (*presser)(nil)
	_ fyne.Focusable     = (*presser)(nil)
	_ desktop.Cursorable = (*presser)(nil)
)

func newPresser(do func(), ink func() color.Color) *presser {
	p := &presser{do: do, ink: ink, frame: canvas.NewRectangle(color.Transparent)}
	p.frame.StrokeWidth, p.frame.CornerRadius = 2, 4
	p.ExtendBaseWidget(p)
	return p
}

// CreateRenderer shows the focus frame alone.
func (p *presser) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.frame) }

// Tapped presses it.
func (p *presser) Tapped(*fyne.PointEvent) {
	if !p.Disabled() {
		p.do()
	}
}

// TypedKey presses it from the keyboard.
func (p *presser) TypedKey(ev *fyne.KeyEvent) {
	if ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter || ev.Name == fyne.KeySpace {
		p.Tapped(nil)
		return
	}
	windowKey(p, ev)
}

// TypedRune does what the character does in the window.
func (p *presser) TypedRune(r rune) { windowRune(p, r) }

// FocusGained draws the focus frame.
func (p *presser) FocusGained() { p.frame.StrokeColor = p.ink(); p.frame.Refresh() }

// FocusLost removes it.
func (p *presser) FocusLost() { p.frame.StrokeColor = color.Transparent; p.frame.Refresh() }

// Cursor shows whether a press does something.
func (p *presser) Cursor() desktop.Cursor {
	if p.Disabled() {
		return desktop.DefaultCursor
	}
	return desktop.PointerCursor
}
