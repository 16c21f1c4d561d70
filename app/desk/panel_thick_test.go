package desk

import (
	"testing"

	"fyne.io/fyne/v2"

	"flatwright/app/desk/session"
)

func (b *bench) thicknesses() []float64 {
	var out []float64
	for _, p := range b.s.Document().Pattern.Pieces {
		out = append(out, p.ThicknessMM)
	}
	return out
}

// The rung that needs a thickness has a line for it while nothing is chosen; once
// some pieces have one it leads to those that have not.
func TestTheThicknessIsAskedForWhereItIsNeeded(t *testing.T) {
	b := ready(t)
	b.goTo(session.StageMarkUp)
	mark := b.panels[session.StageMarkUp].(*markPanel)
	if !mark.thick.box.Visible() || !mark.thick.allRow.Visible() || mark.thick.give.Visible() {
		t.Fatal("no piece has a thickness and no line asks for one")
	}
	b.enter(mark.thick.all, "-3")
	if !b.strip.shown() || b.thicknesses()[0] != 0 {
		t.Errorf("-3 mm is taken: %v", b.thicknesses())
	}
	b.enter(mark.thick.all, "6 mm")
	for _, mm := range b.thicknesses() {
		if mm != 6 {
			t.Errorf("the thicknesses are %v", b.thicknesses())
		}
	}
	if mark.thick.box.Visible() || b.s.State(session.StageMarkUp) != session.Done {
		t.Error("it is asked for again")
	}
	b.doUndo()
	b.win.Canvas().Focus(mark.thick.all)
	mark.thick.all.SetText("6 mm")
	mark.thick.all.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if b.win.Canvas().Focused() != fyne.Focusable(b.editor) {
		t.Errorf("the line is gone, and the keyboard is at %T", b.win.Canvas().Focused())
	}
	b.doUndo()
	b.win.Canvas().Focus(mark.thick.all) // a press in the ladder takes what was typed
	mark.thick.all.SetText("6 mm")
	b.win.Canvas().Focus(b.rungs[5])
	if b.win.Canvas().Focused() != fyne.Focusable(b.rungs[5]) || b.editor.focused {
		t.Errorf("two things have the keyboard, one of them %T", b.win.Canvas().Focused())
	}
	b.doUndo()
	if !mark.thick.allRow.Visible() || mark.thick.all.Text != "" {
		t.Errorf("undone, the line holds %q", mark.thick.all.Text)
	}
	first, second := b.s.Document().Pattern.Pieces[0].ID, b.s.Document().Pattern.Pieces[1].ID
	if err := b.s.SetThickness(first, 4); err != nil {
		t.Fatal(err)
	}
	b.changed()
	if mark.thick.allRow.Visible() || !mark.thick.give.Visible() {
		t.Fatal("a line for all pieces would write over the one that is known")
	}
	mark.thick.give.OnTapped()
	if p, _ := b.s.SelectedPiece(); p.ID != second || b.win.Canvas().Focused() != fyne.Focusable(mark.thickness) {
		t.Errorf("it leads to piece %q, the keyboard at %T", p.ID, b.win.Canvas().Focused())
	}
	if mark.thick.box.Visible() {
		t.Error("two lines ask for a thickness")
	}
}

// A thickness that is being typed can be given to all pieces at once, and taking
// it moves nothing from under the pointer.
func TestAThicknessIsGivenToAllAsItIsTyped(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	b.typed("b")
	b.capture()
	mark := b.panels[session.StageMarkUp].(*markPanel)
	if mark.other.Text != tr.otherFaceNot {
		t.Errorf("without a thickness the other face is said to be %q", mark.other.Text)
	}
	if !mark.same.Disabled() {
		t.Error("no thickness can be given to all")
	}
	b.win.Canvas().Focus(mark.thickness)
	for _, c := range []struct {
		text string
		can  bool
	}{{"5", true}, {"5 m", false}, {"5 mm", true}, {"", false}, {"0", false}, {"3/8in", true}, {"6 mm", true}} {
		mark.thickness.SetText(c.text)
		if mark.same.Disabled() == c.can {
			t.Errorf("with %q typed it can be given to all: %t", c.text, !mark.same.Disabled())
		}
	}
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	before := place(mark.same)
	b.win.Canvas().Unfocus() // as a press on the button does first
	b.capture()
	if after := place(mark.same); after != before {
		t.Errorf("taking the thickness moves the button from %v to %v", before, after)
	}
	mark.same.OnTapped()
	for _, mm := range b.thicknesses() {
		if mm != 6 {
			t.Errorf("the thicknesses are %v", b.thicknesses())
		}
	}
}

func TestPairsAreCounted(t *testing.T) {
	for _, c := range []struct {
		all, sure int
		want      string
	}{
		{0, 0, tr.seam.matesNone},
		{1, 0, "1 pair of edges looks like mates, not for sure"},
		{1, 1, "1 pair of edges looks like mates, for sure"},
		{3, 0, "3 pairs of edges look like mates, none of them sure"},
		{3, 2, "3 pairs of edges look like mates, 2 of them sure"},
		{3, 3, "3 pairs of edges look like mates, all sure"},
	} {
		if got := matesText(c.all, c.sure); got != c.want {
			t.Errorf("%d, %d: %q", c.all, c.sure, got)
		}
	}
}

// However much the panel holds, the button that saves is in sight, and so is the
// one that opens the folder afterwards.
func TestTheButtonThatSavesIsInSight(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1024, 700))
	b.s.SelectEdge("A2")
	b.typed("b") // a fault: no thickness is known
	b.goTo(session.StagePrint)
	p := b.printPanel()
	p.sheets.open(true)
	p.printer.open(true)
	b.changed()
	b.capture()
	place := fyne.CurrentApp().Driver().AbsolutePositionForObject
	inSight := func(w *button) bool {
		return w.Visible() && place(w).Y > place(b.holder).Y+b.holder.Size().Height && place(w).Y+w.Size().Height <= place(b.bottom).Y
	}
	if p.box.MinSize().Height <= b.holder.Size().Height {
		t.Fatal("the whole panel fits the window, so nothing is tried")
	}
	if !inSight(p.save) {
		t.Errorf("the button that saves is at %v", place(p.save))
	}
	b.saved = "x.pdf"
	b.changed()
	b.capture()
	if !inSight(p.save) || !inSight(p.folder) {
		t.Errorf("after saving the buttons are at %v and %v", place(p.save), place(p.folder))
	}
	if p.look.Text != tr.print.toFault {
		t.Errorf("one fault leads on as %q", p.look.Text)
	}
	b.goTo(session.StageCheck)
	if len(b.foot.Objects) != 0 {
		t.Error("the button that saves stands below another panel")
	}
}
