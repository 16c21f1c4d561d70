package desk

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// revealMargin is how much stays free above and below what is brought into view.
const revealMargin = 12

// reveal scrolls the panel so far that a thing in it that has been given the
// keyboard is seen: the toolkit leaves it out of view.
func reveal(o fyne.CanvasObject) {
	c := fyne.CurrentApp().Driver().CanvasForObject(o)
	if c == nil {
		return
	}
	s := scrollAround(c.Content(), o)
	if s == nil {
		return
	}
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	top := place(o).Y - place(s).Y
	bottom := top + o.Size().Height - s.Size().Height
	switch {
	case top < 0:
		s.ScrollToOffset(s.Offset.AddXY(0, top-revealMargin))
	case bottom > 0:
		s.ScrollToOffset(s.Offset.AddXY(0, bottom+revealMargin))
	}
}

// scrollAround is the scroll that holds a thing; nil for none.
func scrollAround(in, o fyne.CanvasObject) *container.Scroll {
	switch x := in.(type) {
	case *container.Scroll:
		if holds(x.Content, o) {
			return x
		}
	case *fyne.Container:
		for _, y := range x.Objects {
			if s := scrollAround(y, o); s != nil {
				return s
			}
		}
	}
	return nil
}

func holds(in, o fyne.CanvasObject) bool {
	if in == o {
		return true
	}
	c, ok := in.(*fyne.Container)
	if !ok {
		return false
	}
	for _, x := range c.Objects {
		if holds(x, o) {
			return true
		}
	}
	return false
}
