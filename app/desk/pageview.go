package desk

import (
	"context"
	"fmt"
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"flatwright/app/desk/session"
)

// pageView shows the pages of the print rung as large as the window is, one after
// the other: as wide as there is room, or the whole page.
type pageView struct {
	widget.BaseWidget
	p     *printPanel
	shown *canvas.Image
	// scroll holds what of the picture is in sight.
	scroll      *container.Scroll
	name        *widget.Label
	back, forth *keyedButton
	fit, shut   *keyedButton
	box         *fyne.Container
	// whole tells that all of the page is in sight.
	whole bool
	// drawn is what the picture was asked for, and drawnPx how wide; asking while it
	// is being drawn.
	drawn   string
	drawnPx int
	asking  bool
}

// keyedButton is a button with which other keys mean what they mean beside it.
type keyedButton struct {
	widget.Button
	keys func(k fyne.KeyName) bool
}

func newKeyedButton(text string, icon fyne.Resource, pressed func(), keys func(k fyne.KeyName) bool) *keyedButton {
	b := &keyedButton{keys: keys}
	b.Text, b.Icon, b.OnTapped = text, icon, pressed
	b.ExtendBaseWidget(b)
	return b
}

// TypedKey presses the button by Enter and Space, and passes other keys on.
func (b *keyedButton) TypedKey(ev *fyne.KeyEvent) {
	switch {
	case ev.Name == fyne.KeyReturn || ev.Name == fyne.KeyEnter:
		b.Button.TypedKey(&fyne.KeyEvent{Name: fyne.KeySpace})
	case !b.keys(ev.Name):
		b.Button.TypedKey(ev)
	}
}

// showLarge shows the page of the preview as large as the window is.
func (p *printPanel) showLarge() {
	if p.of == 0 || p.large != nil {
		return
	}
	v := &pageView{p: p}
	v.shown = canvas.NewImageFromImage(p.shown.Image)
	v.shown.FillMode = canvas.ImageFillContain
	v.name = label(p.name.Text)
	v.back = newKeyedButton("", theme.NavigateBackIcon(), func() { v.turn(-1) }, v.key)
	v.forth = newKeyedButton("", theme.NavigateNextIcon(), func() { v.turn(1) }, v.key)
	v.fit = newKeyedButton(tr.print.wholePage, nil, v.toggleFit, v.key)
	v.shut = newKeyedButton(tr.print.shutPage, nil, v.Hide, v.key)
	v.shut.Importance = widget.HighImportance
	v.scroll = container.NewScroll(container.New(&pageFit{v}, v.shown))
	bar := container.New(layout.NewCustomPaddedLayout(6, 6, 8, 8),
		container.NewBorder(nil, nil, container.NewHBox(v.back, v.name, v.forth), container.NewHBox(v.fit, v.shut)))
	v.box = container.NewStack(canvas.NewRectangle(p.d.pal.table), container.NewBorder(nil,
		container.NewStack(canvas.NewRectangle(p.d.pal.panel), bar), nil, nil, v.scroll))
	v.ExtendBaseWidget(v)
	p.large = v
	c := p.d.win.Canvas()
	c.Overlays().Add(v)
	v.Resize(c.Size())
	c.Focus(v.shut)
}

// Resize draws the page as large as the window has become.
func (v *pageView) Resize(s fyne.Size) {
	v.BaseWidget.Resize(s)
	v.update()
}

// Tapped on the page does what the button for its size does.
func (v *pageView) Tapped(ev *fyne.PointEvent) {
	if ev.Position.Y < v.scroll.Size().Height {
		v.toggleFit()
	}
}

// CreateRenderer shows the page.
func (v *pageView) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(v.box) }

// Hide goes back to the work.
func (v *pageView) Hide() {
	v.BaseWidget.Hide()
	v.p.large = nil
	v.p.d.win.Canvas().Overlays().Remove(v)
	v.p.d.focusEditor()
}

// turn goes to another page.
func (v *pageView) turn(by int) {
	v.p.turn(by)
	v.scroll.ScrollToTop()
	v.update()
}

// toggleFit shows the whole page, or the page as wide as there is room.
func (v *pageView) toggleFit() {
	v.whole = !v.whole
	v.fit.SetText(map[bool]string{false: tr.print.wholePage, true: tr.print.widePage}[v.whole])
	v.scroll.ScrollToTop()
	v.scroll.Refresh()
	v.update()
}

// pageLineHigh is how far an arrow moves the page.
const pageLineHigh = 40

// key does what a key means here; false when it means nothing.
func (v *pageView) key(k fyne.KeyName) bool {
	far := v.scroll.Size().Height - pageLineHigh
	switch k {
	case fyne.KeyEscape:
		v.Hide()
	case fyne.KeyLeft:
		v.turn(-1)
	case fyne.KeyRight:
		v.turn(1)
	case fyne.KeyHome:
		v.turn(-v.p.of)
	case fyne.KeyEnd:
		v.turn(v.p.of)
	case fyne.KeyUp:
		v.roll(-pageLineHigh)
	case fyne.KeyDown:
		v.roll(pageLineHigh)
	case fyne.KeyPageUp:
		v.roll(-far)
	case fyne.KeyPageDown:
		v.roll(far)
	default:
		return false
	}
	return true
}

// roll moves what of the page is in sight.
func (v *pageView) roll(by float32) {
	v.scroll.ScrollToOffset(fyne.NewPos(v.scroll.Offset.X, v.scroll.Offset.Y+by))
}

// sameWidthPx is what the width wanted of a whole page may differ by from picture
// to picture, as their heights are rounded to whole px.
const sameWidthPx = 2

// update asks for the page's picture, without holding the window up, when another
// page or another size is wanted.
func (v *pageView) update() {
	p := v.p
	enable(v.back, p.page > 0)
	enable(v.forth, p.page+1 < p.of)
	job, ok := p.d.o.Job.(PageShower)
	widthPx := v.widthPx()
	key := fmt.Sprint(p.d.s.Version(), p.d.print(), p.page)
	same := key == v.drawn && max(widthPx-v.drawnPx, v.drawnPx-widthPx) <= sameWidthPx
	if !ok || v.asking || same || widthPx < 1 {
		return
	}
	v.asking, v.drawn, v.drawnPx = true, key, widthPx
	go v.draw(p.d.layoutContext(), job, p.d.s.Printout(), p.page, widthPx)
}

// draw works the picture of a page out and hands it over.
func (v *pageView) draw(ctx context.Context, job PageShower, x session.Printout, page, widthPx int) {
	im, title, n, err := job.ShowPage(ctx, x, page, widthPx)
	v.p.d.runner.post(func() {
		v.asking = false
		switch {
		case ctx.Err() != nil:
			v.drawn = ""
		case err != nil:
			v.name.SetText(fmt.Sprintf(tr.print.noPages, v.p.d.inSentence(err)))
		case page == v.p.page:
			v.name.SetText(fmt.Sprintf(tr.print.page, page+1, n, title))
			v.shown.Image = im
			v.shown.Refresh()
			v.scroll.Refresh()
		}
		if v.p.large == v {
			v.update()
		}
	})
}

// The most of a picture: what graphics memory takes of a long roll.
const (
	mostSidePx = 8000
	mostPx     = 16e6
)

// widthPx is how wide the picture is wanted, in px of the screen.
func (v *pageView) widthPx() int {
	tall, wide := v.aspect(), float64(v.paperSize(v.scroll.Size()).Width)
	px := wide * float64(v.p.d.win.Canvas().Scale())
	return int(math.Min(px, math.Min(mostSidePx/math.Max(1, tall), math.Sqrt(mostPx/tall))))
}

// aspect is the height of the page over its width.
func (v *pageView) aspect() float64 {
	if v.shown.Image == nil || v.shown.Image.Bounds().Empty() {
		return math.Sqrt2
	}
	b := v.shown.Image.Bounds()
	return float64(b.Dy()) / float64(b.Dx())
}

// pageMargin lies around a page that is shown large.
const pageMargin = 16

// paperSize is how large the page is shown in so much room.
func (v *pageView) paperSize(room fyne.Size) fyne.Size {
	tall := float32(v.aspect())
	w := max(1, room.Width-2*pageMargin)
	if v.whole {
		w = max(1, min(w, (room.Height-2*pageMargin)/tall))
	}
	return fyne.NewSize(w, w*tall)
}

// pageFit lays a page out in the room that the scroll gives.
type pageFit struct{ v *pageView }

// MinSize is as high as the page; its breadth always has room.
func (f *pageFit) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(1, f.v.paperSize(f.v.scroll.Size()).Height+2*pageMargin)
}

// Layout puts the page in the middle.
func (f *pageFit) Layout(o []fyne.CanvasObject, room fyne.Size) {
	size := f.v.paperSize(f.v.scroll.Size())
	at := fyne.NewPos((room.Width-size.Width)/2, max(pageMargin, (room.Height-size.Height)/2))
	for _, x := range o {
		x.Move(at)
		x.Resize(size)
	}
}
