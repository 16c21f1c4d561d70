package desk

import (
	"errors"
	"net/url"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// setPaper chooses a paper as the panel does.
func (b *bench) setPaper(name string) {
	b.printPanel().change(func(x *session.Print) { x.Paper = name })
}

// What was exported is still known to be in another window, until something is
// done to it.
func TestThatItIsPrintedIsKept(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	a.exportTo(filepath.Join(t.TempDir(), "out.pdf"))
	a.settle()
	if a.s.State(session.StagePrint) != session.Done {
		t.Fatal("printed, the rung is not done")
	}
	path := a.path()
	a.letGo()
	b := keeping(t, at, path)
	if b.s.State(session.StagePrint) != session.Done {
		t.Error("in another window the rung is not done")
	}
	b.setPaper("letter")
	b.letGo()
	c := keeping(t, at, path)
	if c.s.State(session.StagePrint) == session.Done {
		t.Error("on another paper the rung is still done")
	}
	c.letGo()
}

// The panel follows undo and redo of what is chosen in it.
func TestChoicesOfPaperAreUndoneInThePanel(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.panels[session.StagePrint].(*printPanel)
	b.enter(p.margin, "20 mm")
	p.papers.SetSelected(paperTitle("letter"))
	p.svg.SetChecked(true)
	for _, want := range []session.Action{session.ActionFiles, session.ActionPaper, session.ActionPaper} {
		if got := b.s.NextUndo().Action; got != want {
			t.Errorf("the next undo is of %q, want %q", got.Key(), want.Key())
		}
		b.doUndo()
	}
	if p.svg.Checked || p.papers.Selected != paperTitle("a4") || p.margin.Text != "10 mm" || b.print() != session.UsualPrint("a4") {
		t.Errorf("undone, the panel shows %t, %s, %s", p.svg.Checked, p.papers.Selected, p.margin.Text)
	}
	for range 3 {
		b.doRedo()
	}
	if x := b.print(); !x.SVG || x.Paper != "letter" || x.MarginMM != 20 || !p.svg.Checked || p.papers.Selected != paperTitle("letter") || p.margin.Text != "20 mm" {
		t.Errorf("done again it is %+v, the panel shows %t, %s, %s", x, p.svg.Checked, p.papers.Selected, p.margin.Text)
	}
}

// opened is a program that notes what it is asked to open, as the system would.
type opened struct {
	fyne.App
	all []string
	err error
}

func (o *opened) OpenURL(u *url.URL) error {
	o.all = append(o.all, u.Path)
	return o.err
}

// After saving, the PDF and its folder can be opened; where the system cannot, a
// sentence says where they lie.
func TestTheFileAndItsFolderAreOpened(t *testing.T) {
	b := ready(t)
	system := &opened{App: b.app}
	b.app = system
	b.goTo(session.StagePrint)
	dir := t.TempDir()
	path := filepath.Join(dir, "out.pdf")
	b.exportTo(path)
	b.settle()
	p := b.panels[session.StagePrint].(*printPanel)
	if all := b.ways(); len(all) != 1 || all[0].Text != tr.print.openPDF || !p.folder.Visible() {
		t.Fatalf("%d ways on, the folder is offered: %t", len(all), p.folder.Visible())
	}
	test.Tap(b.ways()[0])
	test.Tap(p.folder)
	if !slices.Equal(system.all, []string{path, dir}) {
		t.Errorf("opened were %q", system.all)
	}
	system.err = errors.New("no viewer")
	test.Tap(p.folder)
	if text := b.strip.text.Text; !strings.Contains(text, "no viewer") || !strings.Contains(text, dir) {
		t.Errorf("it is told as %q", text)
	}
}

// Before printing it is said that a fault stands, with the way to it.
func TestFaultsAreToldBeforePrinting(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.printPanel()
	if p.faulty.Visible() {
		t.Fatal("a fault is told of that is not there")
	}
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}); err != nil { // of a thickness not known
		t.Fatal(err)
	}
	b.changed()
	if n := b.faults(); n == 0 || !p.faulty.Visible() || !strings.Contains(p.faults.Text, "stand") {
		t.Fatalf("%d faults, told as %q", n, p.faults.Text)
	}
	b.goTo(session.StageCheck)
}

// The paper's line follows undo from a size of one's own.
func TestOwnPaperIsUndoneInThePanel(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.printPanel()
	p.papers.SetSelected(tr.print.customPaper)
	if !p.ownRow.Visible() {
		t.Fatal("there is no line to type a paper in")
	}
	b.changed()
	if !p.ownRow.Visible() {
		t.Error("the line goes before anything was typed")
	}
	b.enter(p.own, "610x914mm")
	if b.print().Paper != "610x914mm" {
		t.Fatalf("the paper is %q", b.print().Paper)
	}
	b.doUndo()
	if p.ownRow.Visible() || p.papers.Selected != paperTitle("a4") || b.print().Paper != "a4" {
		t.Errorf("undone, the panel shows %q, the line: %t", p.papers.Selected, p.ownRow.Visible())
	}
	b.doRedo()
	if !p.ownRow.Visible() || p.papers.Selected != tr.print.customPaper || p.own.Text != "610x914mm" {
		t.Errorf("done again, the panel shows %q, %q", p.papers.Selected, p.own.Text)
	}
}

// In a field undo is the window's while nothing has been typed; Esc leaves it as
// it was, and what was refused gives way to what is in force.
func TestKeysInAField(t *testing.T) {
	b := ready(t)
	b.goTo(session.StagePrint)
	p := b.printPanel()
	p.sheets.open(true)
	b.changed()
	b.enter(p.margin, "20 mm")
	c := b.win.Canvas()
	c.Focus(p.margin)
	p.margin.TypedShortcut(&fyne.ShortcutUndo{})
	if b.print().MarginMM != 10 || p.margin.Text != "10 mm" {
		t.Errorf("undone in the field the margin is %g, shown as %q", b.print().MarginMM, p.margin.Text)
	}
	p.margin.SetText("55")
	p.margin.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if c.Focused() != fyne.Focusable(b.editor) || p.margin.Text != "10 mm" || b.print().MarginMM != 10 {
		t.Errorf("after Esc the margin is %g, shown as %q", b.print().MarginMM, p.margin.Text)
	}
	c.Focus(p.margin)
	p.margin.SetText("abc")
	p.margin.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if p.margin.Text != "abc" || !b.strip.shown() {
		t.Errorf("refused, the field shows %q", p.margin.Text)
	}
	if c.Focused() != p.margin {
		t.Fatal("the keyboard is elsewhere")
	}
	c.Unfocus()
	if p.margin.Text != "10 mm" {
		t.Errorf("left, the field shows %q", p.margin.Text)
	}
	b.enter(p.margin, "12 mm")
	if b.strip.shown() {
		t.Errorf("something was taken, and it still says %q", b.strip.text.Text)
	}
}

// A fault for want of a thickness leads to where that is typed, beside the way
// that takes the cut back.
func TestAMissingThicknessIsAskedFor(t *testing.T) {
	b := ready(t)
	if err := b.s.SetCut("A1", pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}); err != nil {
		t.Fatal(err)
	}
	b.goTo(session.StageCheck)
	var give *button
	for _, o := range test.LaidOutObjects(b.panels[session.StageCheck].object()) {
		if w, ok := o.(*button); ok && w.Text == tr.thicknessGive {
			give = w
		}
	}
	if give == nil {
		t.Fatal("it is not asked for")
	}
	test.Tap(give)
	mark := b.marks()
	if b.stage != session.StageMarkUp || b.win.Canvas().Focused() != mark.thickness {
		t.Errorf("it leads to rung %d, the keyboard to %v", b.stage, b.win.Canvas().Focused())
	}
	b.enter(mark.thickness, "5 mm")
	if b.faults() != 0 {
		t.Error("given, the fault stands")
	}
}
