package desk

import (
	"image"
	"reflect"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
)

// A sentence lies over the work: whether a short one or one of many lines with
// buttons comes, nothing that could be clicked moves, on screen or on the mat.
func TestNothingMovesUnderASentence(t *testing.T) {
	for _, space := range []session.Space{session.InPhoto, session.OnMat} {
		b := ready(t)
		b.editor.setSpace(space)
		b.strip.hide()
		b.capture()
		where := fyne.CurrentApp().Driver().AbsolutePositionForObject
		at, size, views := where(b.editor), b.editor.Size(), b.editor.views
		still := func(when string) {
			t.Helper()
			b.capture()
			if where(b.editor) != at || b.editor.Size() != size || !reflect.DeepEqual(b.editor.views, views) {
				t.Fatalf("%s the work lies at %v, %v large, seen through %v; before at %v, %v, %v",
					when, where(b.editor), b.editor.Size(), b.editor.views, at, size, views)
			}
		}
		for _, text := range []string{"Short.", strings.Repeat("A long sentence of many words. ", 12)} {
			b.strip.say(text, way{"One", nil}, way{"Another", nil})
			still("under a sentence")
			b.strip.hide()
			still("after it")
		}
	}
}

// The sentence hides no ruler, and takes the pointer within itself only: there it
// keeps it from the work, with the wheel and every button.
func TestASentenceTakesItsOwnPlaceOnly(t *testing.T) {
	b := ready(t)
	b.editor.setSpace(session.OnMat)
	b.capture()
	bare := b.rulers()
	b.strip.tell(strings.Repeat("A sentence that takes more than one line. ", 6))
	if got := b.rulers(); !reflect.DeepEqual(got, bare) {
		t.Error("the sentence changes the rulers")
	}
	pos, size := b.strip.box.Position(), b.strip.box.Size()
	for name, at := range map[string]fyne.Position{
		"above":  pos.AddXY(size.Width/2, -3),
		"left":   pos.AddXY(-3, size.Height/2),
		"right":  pos.AddXY(size.Width+3, size.Height/2),
		"below":  pos.AddXY(size.Width/2, size.Height+3),
		"within": pos.AddXY(size.Width/4, size.Height/2),
	} {
		if got, want := b.under(at), name != "within"; got != want {
			t.Errorf("%s the sentence the pointer reaches the work: %t", name, got)
		}
	}
	b.strip.hide()
	if b.capture(); !b.under(pos.AddXY(size.Width/4, size.Height/2)) {
		t.Error("the sentence is gone, but takes the pointer")
	}
}

// rulers is the picture of the window where the editor's rulers are.
func (b *bench) rulers() []image.Image {
	im, ok := b.capture().(interface {
		SubImage(r image.Rectangle) image.Image
	})
	if !ok {
		b.t.Fatal("the window has no picture")
	}
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(b.editor)
	x, y, w, h := int(at.X), int(at.Y), int(b.editor.Size().Width), int(b.editor.Size().Height)
	var out []image.Image
	for _, r := range []image.Rectangle{image.Rect(x, y, x+w, y+rulerPx), image.Rect(x, y, x+leftRulerPx, y+h)} {
		got := image.NewRGBA(r)
		for py := r.Min.Y; py < r.Max.Y; py++ {
			for px := r.Min.X; px < r.Max.X; px++ {
				got.Set(px, py, im.SubImage(r).At(px, py))
			}
		}
		out = append(out, got)
	}
	return out
}

// under reports whether the wheel and the pointer reach the work at a place of the
// editor.
func (b *bench) under(at fyne.Position) bool {
	b.t.Helper()
	c, place := b.win.Canvas(), at.Add(fyne.CurrentApp().Driver().AbsolutePositionForObject(b.editor))
	before := b.editor.views
	test.Scroll(c, place, 0, 10)
	turned := b.editor.views != before
	b.editor.views, b.editor.pointerIn = before, false
	test.MoveMouse(c, fyne.NewPos(1, 1))
	test.MoveMouse(c, place)
	if b.editor.pointerIn != turned {
		b.t.Errorf("at %v the wheel reaches the work: %t, the pointer: %t", at, turned, b.editor.pointerIn)
	}
	return turned
}
