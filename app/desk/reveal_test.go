package desk

import (
	"testing"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
)

func TestTheLineWithTheKeyboardIsSeen(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1024, 700))
	b.click(b.seen(130, 40))
	b.typed("b")
	b.capture()
	b.holder.Resize(fyne.NewSize(300, 400)) // less than the panel needs
	mark := b.panels[session.StageMarkUp].(*markPanel)
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	seen := func(f *field) bool {
		top := place(f).Y - place(b.holder).Y
		return top >= 0 && top+f.Size().Height <= b.holder.Size().Height
	}
	if seen(mark.quantity) {
		t.Fatal("the whole panel fits the window, so nothing is tried")
	}
	b.win.Canvas().Focus(mark.quantity)
	if !seen(mark.quantity) {
		t.Error("the count has the keyboard and is out of view")
	}
	b.holder.ScrollToBottom()
	b.win.Canvas().Focus(mark.angle)
	if !seen(mark.angle) {
		t.Error("the angle has the keyboard and is out of view")
	}
	// A thickness brings the line on the other face, above it.
	b.win.Canvas().Focus(mark.thickness)
	mark.thickness.SetText("10mm")
	mark.thickness.OnSubmitted("10mm")
	if !mark.otherRow.Visible() {
		t.Fatal("the line on the other face does not appear")
	}
	if !seen(mark.thickness) {
		t.Error("the thickness was pushed out of view")
	}
}
