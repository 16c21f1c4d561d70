package desk

import (
	"context"
	"fmt"
	"image"
	"math"
	"sync/atomic"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
)

// pageSettle runs what is posted until the large page is the one asked for.
func (b *bench) pageSettle() {
	b.t.Helper()
	b.paperSettle()
	for v := b.printPanel().large; v != nil && v.asking; {
		(<-b.queue)()
	}
	b.capture()
}

// Every page of the preview, cover and tables too, is shown large by click and
// by keys; arrows turn the pages, and Esc, Enter and the button lead back.
func TestEveryPageIsShownLarge(t *testing.T) {
	b, _ := printing(t)
	p, c := b.printPanel(), b.win.Canvas()
	key := func(k fyne.KeyName) {
		if f := c.Focused(); f != nil {
			f.TypedKey(&fyne.KeyEvent{Name: k})
		} else {
			c.OnTypedKey()(&fyne.KeyEvent{Name: k})
		}
		b.pageSettle()
	}
	opens := []func(){
		func() { test.Tap(p.picture) },
		func() { p.picture.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) },
		func() { test.Tap(p.larger) },
	}
	leaves := []func(){
		func() { key(fyne.KeyEscape) },
		func() { key(fyne.KeyReturn) },
		func() { test.Tap(p.large.shut); b.pageSettle() },
		func() { c.Unfocus(); key(fyne.KeyEscape) },
	}
	for page, title := range []string{"Page 1 of 3: Cover", "Page 2 of 3: Sheet r1 c1", "Page 3 of 3: Sheet r1 c2"} {
		before := b.editor.views
		opens[page]()
		b.pageSettle()
		if p.large == nil || c.Overlays().Top() != p.large || p.large.name.Text != title {
			t.Fatalf("%s is not shown large: %+v", title, p.large)
		}
		if w := p.large.shown.Size(); w.Width != c.Size().Width-2*pageMargin || p.large.Size() != c.Size() {
			t.Errorf("%s is shown %v large in a window of %v", title, w, c.Size())
		}
		key(fyne.KeyHome)
		key(fyne.KeyRight)
		key(fyne.KeyRight)
		key(fyne.KeyLeft)
		if p.large.name.Text != "Page 2 of 3: Sheet r1 c1" || p.page != 1 {
			t.Errorf("turned, it is %q, page %d", p.large.name.Text, p.page)
		}
		key(fyne.KeyEnd)
		key(fyne.KeyRight)
		if p.page != 2 || !p.large.forth.Disabled() {
			t.Errorf("at the end it is page %d", p.page)
		}
		leaves[page]()
		if p.large != nil || c.Overlays().Top() != nil || b.editor.views != before || c.Focused() != b.editor {
			t.Errorf("after %s the work is not back: %v", title, c.Focused())
		}
		p.turn(page - 1) // from the last page to the next to look at
		b.paperSettle()
	}
	opens[2]()
	leaves[3]()
	if c.Overlays().Top() != nil {
		t.Error("Esc does not lead back when nothing has the keyboard")
	}
}

// The page is as wide as the window or whole, follows the window's size, and the
// keys move what of it is in sight.
func TestALargePageFitsTheWindow(t *testing.T) {
	b, _ := printing(t)
	p := b.printPanel()
	p.showLarge()
	b.pageSettle()
	v := p.large
	if v.scroll.Offset.Y != 0 || v.scroll.Content.Size().Height <= v.scroll.Size().Height {
		t.Fatalf("an upright page as wide as the window is %v high in %v", v.scroll.Content.Size(), v.scroll.Size())
	}
	v.key(fyne.KeyPageDown)
	if v.scroll.Offset.Y < v.scroll.Size().Height/2 {
		t.Errorf("a page down moves it by %v", v.scroll.Offset.Y)
	}
	test.Tap(v)
	b.pageSettle()
	if s, room := v.shown.Size(), v.scroll.Size(); s.Height > room.Height-2*pageMargin+0.01 || s.Height < room.Height-2*pageMargin-1 || v.scroll.Offset.Y != 0 {
		t.Errorf("the whole page is %v in %v, moved by %v", s, room, v.scroll.Offset.Y)
	}
	b.win.Resize(fyne.NewSize(1024, 700))
	b.pageSettle()
	if v.Size() != b.win.Canvas().Size() || v.shown.Size().Height > v.scroll.Size().Height {
		t.Errorf("in a window of %v the view is %v, the page %v", b.win.Canvas().Size(), v.Size(), v.shown.Size())
	}
	test.Tap(v.fit)
	if w := v.shown.Size().Width; w != v.scroll.Size().Width-2*pageMargin {
		t.Errorf("wide again it is %v of %v", w, v.scroll.Size().Width)
	}
}

// sized is a packer whose pages are as wide as is asked for, and as high as a
// sheet of A4 is then in whole px.
type sized struct {
	*packer
	drawn atomic.Int32
}

func (j *sized) ShowPage(_ context.Context, _ session.Printout, _, widthPx int) (image.Image, string, int, error) {
	j.drawn.Add(1)
	return image.NewRGBA(image.Rect(0, 0, widthPx, int(math.Round(float64(widthPx)*297/210)))), "Cover", 1, nil
}

// A page is drawn again for a size only when that differs: its height in whole px
// asks for no other width. And it is drawn again when what it shows has changed.
func TestALargePageIsDrawnOnce(t *testing.T) {
	b, packs := printing(t)
	j := &sized{packer: packs}
	b.o.Job = j
	p := b.printPanel()
	p.showLarge()
	b.pageSettle()
	v := p.large
	v.toggleFit()
	b.pageSettle()
	for high := range 60 {
		j.drawn.Store(0)
		v.Resize(fyne.NewSize(1024, 700+float32(high)))
		for v.asking && j.drawn.Load() < 5 {
			(<-b.queue)()
		}
		if n := j.drawn.Load(); n > 2 {
			t.Fatalf("in a window %d high the page is drawn %d times", 700+high, n)
		}
	}
	print := b.print()
	print.ShortMM = 99
	b.s.SetPrint(print)
	b.changed()
	b.pageSettle()
	if now := fmt.Sprint(b.s.Version(), print, p.page); v.drawn != now {
		t.Errorf("after a change to %s the large page shows %s", now, v.drawn)
	}
	v.Hide()
}
