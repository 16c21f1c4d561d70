package desk

import (
	"image"
	"testing"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/practice"
)

// The window light after dark looks as a light one does that was never dark, and the
// other way round, at every rung and in every group: drop-down arrows, too.
func TestTogglingLooksAsIfItHadAlwaysBeenSo(t *testing.T) {
	for was, is := range map[string]string{"dark": "light", "light": "dark"} {
		want := rungsAs(t, is, "")
		for i, got := range rungsAs(t, was, is) {
			if n, at := pixelsApart(got, want[i]); n > 0 {
				t.Errorf("%s after %s at rung %d: %d px are others, the first at %v", is, was, i+1, n, at)
			}
		}
	}
}

// rungsAs are pictures of all rungs in an appearance, changed to another at the
// first rung when that is given.
func rungsAs(t *testing.T, first, then string) []image.Image {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM, Appearance: first}, &practice.Job{})
	b.open(b.file)
	b.settle()
	b.win.Resize(fyne.NewSize(1280, 760)) // all is laid out anew
	_, folds := b.held()
	for _, f := range folds {
		f.open(true)
	}
	for i := range b.panels {
		b.goTo(st1(len(b.panels) - 1 - i)) // all have been seen once
	}
	b.capture()
	if then != "" {
		b.toggleAppearance()
		if b.look.forced != then {
			t.Fatalf("toggling made it %s", b.look.forced)
		}
	}
	var out []image.Image
	for i := range b.panels {
		b.goTo(st1(i))
		out = append(out, b.capture())
	}
	return out
}

// pixelsApart counts the pixels in which two pictures of one size differ, and
// says where the first is.
func pixelsApart(a, b image.Image) (n int, first image.Point) {
	r := a.Bounds()
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				if n == 0 {
					first = image.Pt(x, y)
				}
				n++
			}
		}
	}
	return n, first
}
