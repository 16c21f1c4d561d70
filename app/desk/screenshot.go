package desk

import (
	"errors"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"os"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/software"

	"flatwright/app/desk/session"
)

// screenshotWithin bounds how long the work before a screenshot may take.
const screenshotWithin = 5 * time.Minute

// ErrScreenshot tells that the window never came to show what was asked for.
var ErrScreenshot = errors.New("the window did not come to show the work in time")

// takeScreenshot waits until the work stands still, shows what was asked for,
// and saves a picture of the window.
func (d *desk) takeScreenshot(done func(error)) {
	go func() {
		end := time.Now().Add(screenshotWithin)
		if !waitFor(d.settled, end) {
			fyne.Do(func() { done(ErrScreenshot) })
			return
		}
		fyne.DoAndWait(d.pose)
		if !waitFor(func() bool { return !d.editor.paper.asking }, end) {
			fyne.Do(func() { done(ErrScreenshot) })
			return
		}
		// Two frames let layout and picture catch up.
		time.Sleep(700 * time.Millisecond)
		fyne.Do(func() { done(d.saveCapture(d.o.Screenshot.Path)) })
	}()
}

// waitFor waits until something holds on the window's goroutine, or an end.
func waitFor(holds func() bool, end time.Time) (held bool) {
	for !held && time.Now().Before(end) {
		time.Sleep(150 * time.Millisecond)
		fyne.DoAndWait(func() { held = holds() })
	}
	return held
}

// settled reports whether all work has ended.
func (d *desk) settled() bool {
	if d.runner.busy() {
		return false
	}
	return d.o.StartFile == "" || d.s.Photo() != nil || d.strip.shown()
}

// pose shows what the screenshot asks for.
func (d *desk) pose() {
	o := d.o.Screenshot
	if o.Flat {
		d.editor.setSpace(session.OnMat)
	}
	if o.Edge != "" {
		d.s.SelectEdge(o.Edge)
		if p, ok := d.s.SelectedPiece(); ok && o.ThicknessMM > 0 {
			_ = d.s.SetThickness(p.ID, o.ThicknessMM)
		}
		if o.Cut.Kind != "" {
			_ = d.s.SetCut(o.Edge, o.Cut)
		}
	}
	if o.Corners {
		d.placeCorners()
	}
	if o.Stage >= 1 && o.Stage <= int(session.Stages) {
		d.goTo(session.Stage(o.Stage - 1))
	}
	for _, i := range o.Folds {
		if f := d.squarePanel().folds(); i >= 1 && i <= len(f) {
			f[i-1].open(true)
		}
	}
	for _, r := range o.Keys {
		d.letter(r)
	}
	d.changed()
}

// picture paints the window's content once more, in memory: reading the
// display back gives an empty picture on some drivers. In memory the text of a
// field runs over the end of a panel that is scrolled, which it does not in the
// window: the line at the bottom is painted once more over that.
func (d *desk) picture() image.Image {
	line := d.bottom
	at, size := fyne.CurrentApp().Driver().AbsolutePositionForObject(line), line.Size()
	whole := paintedInMemory(d.win.Content(), d.win.Canvas().Size())
	out := image.NewNRGBA(whole.Bounds())
	draw.Draw(out, out.Bounds(), whole, image.Point{}, draw.Src)
	place := line.Position()
	bottom := paintedInMemory(line, size)
	line.Move(place)
	draw.Draw(out, bottom.Bounds().Add(image.Pt(int(at.X+0.5), int(at.Y+0.5))), bottom, image.Point{}, draw.Over)
	return out
}

func paintedInMemory(o fyne.CanvasObject, size fyne.Size) image.Image {
	c := software.NewCanvas()
	c.SetPadded(false)
	c.SetContent(o)
	c.Resize(size)
	return c.Capture()
}

// saveCapture writes the window as PNG.
func (d *desk) saveCapture(path string) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("saving a picture of the window: %w", err)
	}
	if err := png.Encode(f, d.picture()); err != nil {
		f.Close()
		return fmt.Errorf("saving a picture of the window to %s: %w", path, err)
	}
	return f.Close()
}
