package desk

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

func TestOpeningGoesAllTheWayToMarkUp(t *testing.T) {
	b := ready(t)
	if b.stage != session.StageMarkUp || len(b.s.Document().Pattern.Pieces) != 4 {
		t.Fatalf("stage %d, %d pieces", b.stage, len(b.s.Document().Pattern.Pieces))
	}
	if got := b.rungs[session.StageTrace].number; got != "4 pieces" {
		t.Errorf("the trace rung says %q", got)
	}
	if got := b.rungs[session.StageSquareUp].number; !strings.HasPrefix(got, "± 0.0") {
		t.Errorf("the square-up rung says %q", got)
	}
}

func TestUndoAndRedoByKeys(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	b.typed("u")
	if b.status.undo.Text != "Undo: cut of A2" {
		t.Errorf("the status line says %q", b.status.undo.Text)
	}
	b.editor.TypedShortcut(&fyne.ShortcutUndo{})
	if e, _ := b.s.SelectedEdge(); e.Cut.Kind != pattern.Straight {
		t.Errorf("after undo %v", e.Cut)
	}
	b.editor.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyZ, Modifier: fyne.KeyModifierControl | fyne.KeyModifierShift})
	if e, _ := b.s.SelectedEdge(); e.Cut.Kind != pattern.Undercut {
		t.Errorf("after redo %v", e.Cut)
	}
}

func TestStoppingKeepsTheLastGoodState(t *testing.T) {
	b := ready(t)
	before := b.s.Version()
	b.job.StepDelay = time.Minute
	b.typed("p")
	if !b.runner.busy() || !b.status.work.Visible() {
		t.Fatal("no work is shown")
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if b.runner.busy() || b.status.work.Visible() || b.s.Version() != before {
		t.Error("Esc did not end the work")
	}
	if want := "Squaring up was stopped. The work is as it was before."; b.strip.text.Text != want || len(b.ways()) != 1 || b.ways()[0].Text != tr.squareUp {
		t.Errorf("that it was stopped is told as %q, with %d ways on", b.strip.text.Text, len(b.ways()))
	}
	b.strip.hide()
	select {
	case f := <-b.queue:
		f()
	case <-time.After(5 * time.Second):
		t.Fatal("the stopped work never returned")
	}
	if b.s.Version() != before || b.strip.shown() {
		t.Error("stopped work changed something when it returned")
	}
}

func TestLongWorkIsShownOverThePicture(t *testing.T) {
	b := ready(t)
	b.job.StepDelay = 120 * time.Millisecond
	b.typed("p")
	for end := time.Now().Add(10 * time.Second); b.editor.running == "" && time.Now().Before(end); {
		(<-b.queue)()
	}
	if b.editor.running != tr.squaring {
		t.Fatalf("the picture shows %q", b.editor.running)
	}
	b.capture()
	if got := b.at(fyne.NewPos(float32(b.editor.w)/2, 26)); !near(got, b.pal.panel, 30) {
		t.Errorf("no plate over the picture: %v", got)
	}
	b.settle()
	if b.editor.running != "" {
		t.Error("the plate stays after the work")
	}
}

func TestControlAndADigitOpenAStep(t *testing.T) {
	b := ready(t)
	b.editor.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.Key6, Modifier: fyne.KeyModifierControl})
	if b.stage != session.StagePrint {
		t.Errorf("Ctrl+6 shows step %d", b.stage)
	}
}

func TestPitchTyped(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	b.open(b.file)
	b.settle()
	p := b.panels[session.StageSquareUp].(*squarePanel)
	if !p.run.Disabled() {
		t.Error("squaring up is offered without a pitch")
	}
	p.pitch.typed("1,27 cm")
	if mm := b.s.Document().PitchMM; math.Abs(mm-12.7) > 1e-9 || p.run.Disabled() {
		t.Errorf("pitch %v", mm)
	}
	p.pitch.typed("long")
	if !strings.Contains(b.strip.text.Text, `"long"`) || b.s.Document().PitchMM == 0 {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	test.Tap(p.pitch.buttons[0])
	if b.s.Document().PitchMM != 25.4 {
		t.Error("the 1 in button does not choose 1 in")
	}
}

func TestDroppedFileIsOpened(t *testing.T) {
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
	b.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(b.file)})
	b.settle()
	if b.s.Photo() == nil {
		t.Error("nothing opened")
	}
}

func TestUnreadableFileKeepsThePhotograph(t *testing.T) {
	b := ready(t)
	b.open(filepath.Join(t.TempDir(), "none.jpg"))
	b.settle()
	if b.s.Photo() == nil || len(b.s.Document().Pattern.Pieces) != 4 || !strings.HasPrefix(b.strip.text.Text, "none.jpg could not be opened") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestDemoButton(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	b.o.DemoPath, b.o.DemoPitchMM = b.file, practice.PitchMM
	b.openDemo()
	b.settle()
	if len(b.s.Document().Pattern.Pieces) != 4 || b.empty.Visible() {
		t.Error("the demo did not run")
	}
}

func TestExport(t *testing.T) {
	b := ready(t)
	path := filepath.Join(t.TempDir(), "out")
	b.setPaper("letter")
	b.exportTo(path + ".pdf")
	b.settle()
	got, err := os.ReadFile(path + ".pdf")
	if err != nil || !strings.Contains(string(got), "letter") {
		t.Errorf("%q, %v", got, err)
	}
	if b.s.State(session.StagePrint) != session.Done {
		t.Error("the print rung is not done")
	}
	b.exportTo(filepath.Join(t.TempDir(), "no", "such", "folder", "x.pdf"))
	b.settle()
	if !strings.HasPrefix(b.strip.text.Text, "The PDF was not written") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

// Asking where the PDF goes must not touch the file of that name: it is the
// only good one until the new one is whole.
func TestFailedExportKeepsTheOldFile(t *testing.T) {
	b := ready(t)
	old := filepath.Join(t.TempDir(), "old.pdf")
	if err := os.WriteFile(old, []byte("the old one"), 0o600); err != nil {
		t.Fatal(err)
	}
	p := b.askPlace(tr.export, old, ".pdf", placed{after: b.exportTo})
	if p.note.Text != tr.keep.replaces {
		t.Errorf("of the file that is there it says %q", p.note.Text)
	}
	p.path.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if b.win.Canvas().Overlays().Top() != nil {
		t.Error("Esc does not put the question away")
	}
	p = b.askPlace(tr.export, old, ".pdf", placed{after: b.exportTo})
	b.job.FailExport = true
	p.ask.Confirm()
	b.settle()
	if got, err := os.ReadFile(old); string(got) != "the old one" || !b.strip.shown() {
		t.Errorf("the old file is %q, %v", got, err)
	}
}

func TestHelpOpensAndCloses(t *testing.T) {
	b := ready(t)
	b.typed("?")
	if b.help == nil || !b.help.Visible() {
		t.Fatal("? shows no sheet")
	}
	if s := b.help.Content.MinSize(); s.Width > 1024 || s.Height > 700 {
		t.Errorf("the sheet is %v and does not fit the smallest window", s)
	}
	b.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	if b.help.Visible() {
		t.Error("Esc does not close the sheet")
	}
	if b.win.Canvas().Focused() != fyne.Focusable(b.editor) {
		t.Error("the keyboard is not back at the work")
	}
}

func TestKeysOnAnEmptyBenchDoNoHarm(t *testing.T) {
	b := newBench(t, Options{}, &practice.Job{})
	b.capture()
	for r := range b.letters() {
		if r != 'o' && r != '?' {
			b.editor.TypedRune(r)
		}
	}
	for _, k := range []fyne.KeyName{fyne.KeyEscape, fyne.KeyReturn, fyne.KeyDelete, fyne.KeyTab, fyne.KeyF6, fyne.KeyUp, fyne.KeyLeft} {
		b.editor.TypedKey(&fyne.KeyEvent{Name: k})
	}
	b.click(fyne.NewPos(50, 50))
	b.editor.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(0, 25)})
	b.capture()
	if !b.empty.Visible() || b.s.Photo() != nil {
		t.Error("the empty bench is gone")
	}
}

func TestFocusIsVisible(t *testing.T) {
	b := ready(t)
	b.focusEditor()
	b.capture()
	if got := b.at(fyne.NewPos(1, 200)); !near(got, b.pal.accent, 30) {
		t.Errorf("the focused editor's border is %v", got)
	}
	b.win.Canvas().Unfocus()
	b.capture()
	if got := b.at(fyne.NewPos(1, 200)); near(got, b.pal.accent, 30) {
		t.Error("the border stays without focus")
	}
}

func TestSmallestWindow(t *testing.T) {
	b := ready(t)
	if m := b.win.Content().MinSize(); m.Width > 1024 || m.Height > 700 || m.Width < 1024 || m.Height < 700 {
		t.Errorf("smallest size %v", m)
	}
	for st := range session.Stages {
		b.goTo(st)
		if w := b.panels[st].object().MinSize().Width; w > panelWidth {
			t.Errorf("panel %d is %v wide", st, w)
		}
	}
}

func TestScreenshotShowsTheWork(t *testing.T) {
	b := ready(t)
	b.o.Screenshot = Screenshot{Edge: "A2", Cut: pattern.Cut{Kind: pattern.Bevel, AngleDeg: 45}, ThicknessMM: 10}
	b.pose()
	path := filepath.Join(t.TempDir(), "s.png")
	if err := b.saveCapture(path); err != nil {
		t.Fatal(err)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	colours := map[color.Color]bool{}
	for y := 0; y < img.Bounds().Dy(); y += 7 {
		for x := 0; x < img.Bounds().Dx(); x += 7 {
			colours[img.At(x, y)] = true
		}
	}
	if len(colours) < 40 {
		t.Errorf("%d colours only", len(colours))
	}
	if err := b.saveCapture(filepath.Join(t.TempDir(), "no", "s.png")); err == nil {
		t.Error("a picture was saved to nowhere")
	}
}

func TestRunWithoutAJobIsRefused(t *testing.T) {
	if err := Run(Options{}); err == nil {
		t.Error("no error")
	}
}

func TestAnotherPhotographDoesNotTakeTheMarkingUpUnasked(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	b.typed("b")
	b.open(b.file)
	b.settle()
	if e, ok := b.s.SelectedEdge(); !ok || e.Cut.Kind != pattern.Bevel || !b.strip.shown() {
		t.Fatal("the bevel is gone without a question")
	}
	test.Tap(b.ways()[0])
	b.settle()
	if b.s.LeaningCuts() != 0 || len(b.s.Document().Pattern.Pieces) != 4 {
		t.Error("open anyway did not open")
	}
}

func TestPrintedWorkMayBeLeft(t *testing.T) {
	b := ready(t)
	if b.s.MarkedUp() {
		t.Error("nothing was marked up yet")
	}
	b.click(b.seen(130, 40))
	b.typed("b")
	if !b.s.MarkedUp() {
		t.Error("a bevel is marking up")
	}
	b.exportTo(filepath.Join(t.TempDir(), "x.pdf"))
	b.settle()
	if b.s.MarkedUp() {
		t.Error("what is printed is not lost")
	}
}

func TestClosingAsksBeforeWorkIsLost(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	b.typed("b")
	b.closing()
	if b.win.Canvas().Overlays().Top() == nil {
		t.Error("no question")
	}
}
