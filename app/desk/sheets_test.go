package desk

import (
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// onSheets is the practice job with two sheets side by side.
type onSheets struct{ *practice.Job }

func (onSheets) Sheets(_ pattern.Pattern, print session.Print) ([]SheetPlace, error) {
	if print.Packed {
		return nil, nil
	}
	x, y := print.ShiftXMM, print.ShiftYMM
	return []SheetPlace{
		{"r1 c1", mat.Point{X: x, Y: y}, mat.Point{X: x + 150, Y: y + 250}, mat.Point{X: x + 140, Y: y + 250}, "Sheet r1 c1"},
		{"r1 c2", mat.Point{X: x + 140, Y: y}, mat.Point{X: x + 290, Y: y + 250}, mat.Point{X: x + 290, Y: y + 250}, "Sheet r1 c2"},
	}, nil
}

// sheetsSettle runs what is posted until the sheets are those asked for.
func (b *bench) sheetsSettle() {
	b.t.Helper()
	for s := &b.editor.sheets; s.asking || s.print != b.print(); {
		(<-b.queue)()
	}
}

// The sheets are dragged over the pattern with the mouse, moved with the
// arrows, put back, and kept with the project.
func TestSheetsAreMoved(t *testing.T) {
	at := placeToKeep(t)
	b := keeping(t, at, "")
	b.o.Job = onSheets{b.job}
	b.bevel(b.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	b.typed(";")
	if b.editor.tool != toolSheets || b.stage != session.StagePrint || b.editor.space != session.OnMat {
		t.Fatalf("tool %v, step %d, space %v", b.editor.tool, b.stage, b.editor.space)
	}
	b.capture()
	b.sheetsSettle()
	scale := b.editor.view().Scale
	view := b.editor.view()
	b.drag(b.seen(100, 100), b.seen(130, 80), desktop.MouseButtonPrimary)
	b.editor.DragEnd()
	if b.editor.view() != view {
		t.Error("the drag moved the view")
	}
	if x, y := b.print().ShiftXMM, b.print().ShiftYMM; math.Abs(x-30) > 2/scale || math.Abs(y+20) > 2/scale {
		t.Errorf("dragged by 30, -20 mm the sheets are moved by %.1f, %.1f", x, y)
	}
	b.sheetsSettle()
	if got, want := b.editor.sheets.all[0].Min, (mat.Point{X: b.print().ShiftXMM, Y: b.print().ShiftYMM}); got != want {
		t.Errorf("the first sheet begins at %v, want %v", got, want)
	}
	x, y := b.print().ShiftXMM, b.print().ShiftYMM
	b.nudgeSheets([2]float64{1, 0}, 0)
	b.nudgeSheets([2]float64{0, 1}, fyne.KeyModifierShift)
	if b.print().ShiftXMM != x+1 || b.print().ShiftYMM != y+10 {
		t.Errorf("the arrows moved the sheets by %g, %g", b.print().ShiftXMM-x, b.print().ShiftYMM-y)
	}
	b.doUndo()
	if b.print().ShiftXMM != x || b.print().ShiftYMM != y {
		t.Errorf("after undo of the arrows the sheets lie at %g, %g, dragged they lay at %g, %g", b.print().ShiftXMM, b.print().ShiftYMM, x, y)
	}
	b.doUndo()
	if b.print() != b.print().ForAnother() {
		t.Error("the drag is not undone")
	}
	b.doRedo()
	b.doRedo()
	want, path := b.print(), b.path()
	b.escape()
	if b.editor.tool != toolSelect {
		t.Error("Esc does not end it")
	}
	b.letGo()

	c := keeping(t, at, path)
	if c.print() != want {
		t.Errorf("the paper came back as %+v, was %+v", c.print(), want)
	}
	for range 2 {
		c.doUndo()
	}
	if c.print() != want.ForAnother() {
		t.Errorf("undone in another window the sheets lie at %g, %g", c.print().ShiftXMM, c.print().ShiftYMM)
	}
	c.doRedo()
	c.sheetsBack()
	if c.print().ShiftXMM != 0 || c.print().ShiftYMM != 0 {
		t.Error("the sheets do not go back")
	}
	c.letGo()
	if p := c.kept.prefs.Print; p == nil || (p.ShiftXMM != 0 || p.ShiftYMM != 0) {
		t.Error("the next pattern begins with sheets that are moved")
	}
}

// Packed pieces have no sheets to move.
func TestPackedSheetsStay(t *testing.T) {
	b := ready(t)
	b.o.Job = onSheets{b.job}
	x := b.print()
	x.Packed = true
	b.s.SetPrint(x)
	b.typed(";")
	if b.editor.tool == toolSheets || b.strip.text.Text != tr.print.packedStay {
		t.Errorf("tool %v, the strip says %q", b.editor.tool, b.strip.text.Text)
	}
}
