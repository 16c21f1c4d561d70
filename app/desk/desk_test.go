package desk

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"

	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// bench is a window on the practice job, without a display. Work posts to a
// queue that the test runs itself, as the window's goroutine would.
type bench struct {
	*desk
	t     *testing.T
	job   *practice.Job
	queue chan func()
	file  string
}

// drawn is the practice photograph, drawn once: nothing writes to it.
var drawn = sync.OnceValue((&practice.Job{}).Photo)

func newBench(t *testing.T, o Options, j *practice.Job) *bench {
	t.Helper()
	b := &bench{t: t, job: j, queue: make(chan func(), 100), file: filepath.Join(t.TempDir(), "bench.jpg")}
	if err := os.WriteFile(b.file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	o.Job, j.Drawn = j, drawn()
	if o.Appearance == "" {
		o.Appearance = "light"
	}
	b.desk = newDesk(test.NewTempApp(t), o, func(f func()) { b.queue <- f })
	t.Cleanup(b.win.Close)
	return b
}

// settle runs what work posts until none is left.
func (b *bench) settle() {
	b.t.Helper()
	end := time.After(20 * time.Second)
	for b.runner.busy() {
		select {
		case f := <-b.queue:
			f()
		case <-end:
			b.t.Fatal("the work never ended")
		}
	}
}

// ready opens the practice photograph and lets the work end.
func ready(t *testing.T) *bench {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{})
	b.open(b.file)
	b.settle()
	b.capture()
	return b
}

func (b *bench) capture() image.Image { return b.win.Canvas().Capture() }

// seen returns where a point of the mat lies in the editor, in its own px.
func (b *bench) seen(x, y float64) fyne.Position {
	p := b.editor.onScreen(view.Point{X: x, Y: y})
	return fyne.NewPos(float32(p.X), float32(p.Y))
}

func (b *bench) press(at fyne.Position, button desktop.MouseButton) {
	b.editor.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: button})
}

func (b *bench) click(at fyne.Position) {
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	b.press(at, desktop.MouseButtonPrimary)
	b.editor.MouseUp(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}, Button: desktop.MouseButtonPrimary})
}

func (b *bench) drag(from, to fyne.Position, button desktop.MouseButton) {
	b.press(from, button)
	b.editor.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: to}, Dragged: fyne.NewDelta(to.X-from.X, to.Y-from.Y)})
}

func (b *bench) typed(keys string) {
	for _, r := range keys {
		b.editor.TypedRune(r)
	}
}

// at returns the editor's own picture at a position.
func (b *bench) at(p fyne.Position) color.NRGBA {
	i := b.editor.front.PixOffset(int(p.X), int(p.Y))
	q := b.editor.front.Pix[i:]
	return color.NRGBA{R: q[0], G: q[1], B: q[2], A: 255}
}

// has reports whether a colour occurs within a radius of a position, up to a
// tolerance per channel.
func (b *bench) has(p fyne.Position, radius int, want color.NRGBA, tol int) bool {
	for dy := -radius; dy <= radius; dy++ {
		for dx := -radius; dx <= radius; dx++ {
			if near(b.at(p.AddXY(float32(dx), float32(dy))), want, tol) {
				return true
			}
		}
	}
	return false
}

func near(a, b color.NRGBA, tol int) bool {
	d := func(x, y uint8) bool { return int(math.Abs(float64(x)-float64(y))) <= tol }
	return d(a.R, b.R) && d(a.G, b.G) && d(a.B, b.B)
}

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

func TestThePictureShowsTheOutlineWhereItIs(t *testing.T) {
	b := ready(t)
	for _, p := range [][2]float64{{60, 25}, {130, 40}, {215, 130}, {60, 210}} {
		if !b.has(b.seen(p[0], p[1]), 1, b.pal.ink, 40) {
			t.Errorf("no ink at the edge at %v mm: %v", p, b.at(b.seen(p[0], p[1])))
		}
	}
	if got := b.at(b.seen(100, 60)); !near(got, color.NRGBA{226, 220, 204, 255}, 12) {
		t.Errorf("the middle of piece A is %v, not tape", got)
	}
	if b.at(b.seen(100, 130)) == b.at(b.seen(100, 60)) {
		t.Error("mat and tape look alike")
	}
}

func TestMissingLinesAreMarked(t *testing.T) {
	b := ready(t)
	at := b.seen(12*practice.PitchMM, 8.4*practice.PitchMM)
	if !b.has(at, 3, b.pal.miss, 40) {
		t.Errorf("a line that misses by %.1f px is not marked at %v", practice.MissPx, at)
	}
	b.typed("g")
	b.capture()
	if b.has(at, 3, b.pal.miss, 40) {
		t.Error("G did not hide the lines")
	}
}

func TestClickAnEdgeAndBevelIt(t *testing.T) {
	b := ready(t)
	b.click(b.seen(130, 40))
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" {
		t.Fatalf("selected %q", e.ID)
	}
	b.capture()
	if !b.has(b.seen(130, 40), 1, b.pal.accent, 40) {
		t.Error("the selected edge is not in the accent colour")
	}
	b.typed("b2")
	if e, _ := b.s.SelectedEdge(); e.Cut != (pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}) {
		t.Errorf("B and 2 gave %+v", e.Cut)
	}
	m := b.panels[session.StageMarkUp].(*markPanel)
	m.thickness.SetText("3/8 in")
	m.thickness.OnSubmitted("")
	if p, _ := b.s.SelectedPiece(); math.Abs(p.ThicknessMM-9.525) > 1e-9 {
		t.Errorf("thickness %v", p.ThicknessMM)
	}
	b.capture()
	inside := 130 - 9.525*math.Tan(30*math.Pi/180)
	found := false
	for y := 30.0; y < 65; y++ {
		found = found || b.has(b.seen(inside, y), 1, styleOf(pattern.Bevel).colour, 40)
	}
	if !found {
		t.Error("the other face's edge is not drawn 5.5 mm inside")
	}
	if m.other.Text != "5.5 mm inside" || m.angle.Text != "30°" {
		t.Errorf("the panel says %q, %q", m.other.Text, m.angle.Text)
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

func TestTabGoesFromEdgeToEdge(t *testing.T) {
	b := ready(t)
	if !b.editor.AcceptsTab() {
		t.Fatal("Tab leaves the editor")
	}
	for _, want := range []string{"A1", "A2", "A3"} {
		b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyTab})
		if e, _ := b.s.SelectedEdge(); e.ID != want {
			t.Errorf("Tab selected %q, want %q", e.ID, want)
		}
	}
}

func TestHoverShowsEdgeAndLength(t *testing.T) {
	b := ready(t)
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.seen(60, 25)}})
	if b.editor.hover != "A1" || b.editor.Cursor() != desktop.PointerCursor {
		t.Errorf("hover %q", b.editor.hover)
	}
	if got := b.status.cursor.Text; got != "60.0, 25.0 mm" && !strings.HasPrefix(got, "59.9") && !strings.HasPrefix(got, "60.") {
		t.Errorf("the status line says %q", got)
	}
	if got := b.status.here.Text; !strings.HasSuffix(got, "here") || strings.Contains(got, "?") {
		t.Errorf("the status line says %q", got)
	}
}

func TestWheelZoomsToThePointer(t *testing.T) {
	b := ready(t)
	at := fyne.NewPos(300, 200)
	before := b.editor.view().ToWorld(b.editor.device(at))
	scale := b.editor.view().Scale
	b.editor.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: at}, Scrolled: fyne.NewDelta(0, 75)})
	after := b.editor.view().ToWorld(b.editor.device(at))
	if b.editor.view().Scale <= scale || math.Hypot(after.X-before.X, after.Y-before.Y) > 1e-6 {
		t.Errorf("scale %v to %v, the point moved from %v to %v", scale, b.editor.view().Scale, before, after)
	}
	b.typed("f")
	if math.Abs(b.editor.view().Scale-scale) > 1e-9 {
		t.Error("F does not fit")
	}
}

func TestDraggingMovesTheView(t *testing.T) {
	for _, button := range []desktop.MouseButton{desktop.MouseButtonPrimary, desktop.MouseButtonTertiary} {
		b := ready(t)
		before := b.editor.view().Offset
		b.drag(fyne.NewPos(100, 100), fyne.NewPos(150, 120), button)
		b.editor.DragEnd()
		if d := b.editor.view().Offset; d.X-before.X != 50 || d.Y-before.Y != 20 {
			t.Errorf("button %d: moved by %v, %v", button, d.X-before.X, d.Y-before.Y)
		}
		if _, ok := b.s.SelectedPiece(); ok {
			t.Error("a drag selected something")
		}
	}
}

func TestDoublePressFits(t *testing.T) {
	b := ready(t)
	b.editor.zoomMiddle(3)
	at := b.seen(110, 132)
	b.click(at)
	b.click(at)
	want := view.Fitted(b.editor.world(), float64(b.editor.w), float64(b.editor.h), 8)
	if b.editor.view() != want {
		t.Errorf("view %v, want %v", b.editor.view(), want)
	}
}

// crossing returns where a crossing of the practice mat is seen.
func (b *bench) crossing(c, r int) fyne.Position {
	m := b.job.Model()
	p := b.editor.view().ToDevice(view.Point(m.ToPhoto(mat.Point{X: float64(c) * practice.PitchMM, Y: float64(r) * practice.PitchMM})))
	return fyne.NewPos(float32(p.X), float32(p.Y))
}

// failed is a bench whose photograph could not be squared up by itself.
func failed(t *testing.T) *bench {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM}, &practice.Job{FailAlone: true})
	b.open(b.file)
	b.settle()
	b.capture()
	return b
}

func TestFailureSaysSoAndOffersCorners(t *testing.T) {
	b := failed(t)
	if !b.strip.shown() || b.strip.text.Text != "Only 3 lines found, all in the left half." {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
	if len(b.strip.ways.Objects) != 1 {
		t.Fatal("no way out")
	}
	test.Tap(b.strip.ways.Objects[0].(fyne.Tappable))
	if b.editor.tool != toolCorners || b.strip.shown() {
		t.Error("the way out does not lead to placing corners")
	}
}

func TestFourCornersByHand(t *testing.T) {
	b := failed(t)
	b.typed("c")
	p := b.panels[session.StageSquareUp].(*squarePanel)
	for i, k := range [][2]int{{1, 1}, {11, 1}, {11, 8}, {1, 8}} {
		b.click(b.crossing(k[0], k[1]).AddXY(4, -3))
		c := b.s.Document().Corners[i]
		m := b.job.Model()
		at := m.ToPhoto(mat.Point{X: float64(k[0]) * practice.PitchMM, Y: float64(k[1]) * practice.PitchMM})
		if !c.Snapped || math.Hypot(c.At.X-at.X, c.At.Y-at.Y) > 0.01 {
			t.Errorf("corner %d did not snap: %+v", i, c)
		}
		if !c.Known {
			p.rows[i].column.SetText([]string{"0", "10", "10", "0"}[i])
			p.rows[i].column.OnSubmitted("")
			p.rows[i].row.SetText([]string{"0", "0", "7", "7"}[i])
			p.rows[i].row.OnSubmitted("")
		}
	}
	if n := len(b.s.UsableCorners()); n != 4 {
		t.Fatalf("%d corners are usable: %+v", n, b.s.Document().Corners)
	}
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	b.settle()
	if b.s.Document().Squared == nil || len(b.s.Document().Pattern.Pieces) != 4 {
		t.Error("Enter did not square up from the corners")
	}
}

func TestTooFewCornersAreRefusedInASentence(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(1, 1))
	b.editor.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	if b.runner.busy() || !strings.HasPrefix(b.strip.text.Text, "Only 1 of the corners") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestDraggedCornerReleasedOutsideIsOneStep(t *testing.T) {
	b := failed(t)
	b.typed("c")
	b.click(b.crossing(2, 2))
	at := b.s.Document().Corners[0].At
	b.drag(b.crossing(2, 2), b.crossing(3, 2).AddXY(2, 2), desktop.MouseButtonPrimary)
	b.editor.DragEnd() // no MouseUp comes from outside the window
	m := b.job.Model()
	want := m.ToPhoto(mat.Point{X: 3 * practice.PitchMM, Y: 2 * practice.PitchMM})
	if c := b.s.Document().Corners[0]; !c.Snapped || math.Hypot(c.At.X-want.X, c.At.Y-want.Y) > 0.01 {
		t.Errorf("dragged to %+v, want %v", c, want)
	}
	b.editor.TypedShortcut(&fyne.ShortcutUndo{})
	if c := b.s.Document().Corners[0]; c.At != at {
		t.Errorf("one undo left it at %v, it began at %v", c.At, at)
	}
}

func TestMagnifierShowsFourTimesAsLarge(t *testing.T) {
	b := failed(t)
	b.typed("c")
	at := b.crossing(4, 4)
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: at}})
	b.capture()
	// The loupe's middle shows the pointer's place, 10 px beside it 40.
	for _, dx := range []float32{-18, -10, 10, 18} {
		i := b.editor.loupe.PixOffset(loupePx/2+int(4*dx), loupePx/2+20)
		got := color.NRGBA{b.editor.loupe.Pix[i], b.editor.loupe.Pix[i+1], b.editor.loupe.Pix[i+2], 255}
		w := b.editor.view().ToWorld(view.Point{X: float64(at.X + dx), Y: float64(at.Y) + 5})
		k := 3 * (int(w.Y+0.5)*b.s.Photo().Width + int(w.X+0.5))
		rgb := b.s.Photo().RGB[k : k+3]
		if !near(got, color.NRGBA{rgb[0], rgb[1], rgb[2], 255}, 40) {
			t.Errorf("%v px beside the pointer the loupe shows %v, the photograph has %v", dx, got, rgb)
		}
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
	if b.runner.busy() || b.status.work.Visible() || b.s.Version() != before || b.strip.shown() {
		t.Error("Esc did not end the work quietly")
	}
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

func TestFlatViewShowsPaperInMillimetres(t *testing.T) {
	b := ready(t)
	b.typed("v")
	b.capture()
	if b.editor.space != session.OnMat {
		t.Fatal("V does not show flat")
	}
	if got := b.at(b.seen(100, 60)); !near(got, b.pal.panel, 2) {
		t.Errorf("a piece's face is %v", got)
	}
	if !b.has(b.seen(60, 25), 1, b.pal.ink, 30) {
		t.Error("no outline in the flat view")
	}
	b.editor.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: b.seen(100, 60)}})
	if got := b.status.cursor.Text; got != "100.0, 60.0 mm" {
		t.Errorf("the status line says %q", got)
	}
	b.click(b.seen(130, 40))
	if e, _ := b.s.SelectedEdge(); e.ID != "A2" {
		t.Errorf("selected %q", e.ID)
	}
}

func TestTapeMeasures(t *testing.T) {
	b := ready(t)
	b.typed("vm")
	b.capture()
	b.click(b.seen(30, 25))
	b.click(b.seen(130, 25))
	if len(b.editor.tape) != 2 {
		t.Fatal("two clicks, no tape")
	}
	if mm := math.Hypot(b.editor.tape[1].X-b.editor.tape[0].X, b.editor.tape[1].Y-b.editor.tape[0].Y); math.Abs(mm-100) > 0.5 {
		t.Errorf("%.2f mm", mm)
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
	b.export(path)
	b.settle()
	got, err := os.ReadFile(path + ".pdf")
	if err != nil || !strings.Contains(string(got), "letter") {
		t.Errorf("%q, %v", got, err)
	}
	if b.s.State(session.StagePrint) != session.Done {
		t.Error("the print rung is not done")
	}
	b.export(filepath.Join(t.TempDir(), "no", "such", "folder", "x.pdf"))
	b.settle()
	if !strings.HasPrefix(b.strip.text.Text, "The PDF was not written") {
		t.Errorf("the strip says %q", b.strip.text.Text)
	}
}

func TestFailedExportLeavesNoEmptyFile(t *testing.T) {
	b := ready(t)
	dir := t.TempDir()
	made := filepath.Join(dir, "made.pdf")
	if err := os.WriteFile(made, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	b.job.FailExport = true
	b.exportOver(made)
	b.settle()
	if _, err := os.Stat(made); !os.IsNotExist(err) || !b.strip.shown() {
		t.Errorf("the empty file stayed: %v", err)
	}
}

func TestTheStripGivesItsRoomBack(t *testing.T) {
	b := ready(t)
	whole := b.editor.Size().Height
	b.strip.say("Something.")
	b.capture()
	if less := b.editor.Size().Height; less >= whole {
		t.Errorf("the strip lies over the work: %v of %v", less, whole)
	}
	b.strip.hide()
	b.capture()
	if now := b.editor.Size().Height; now != whole {
		t.Errorf("the work got %v of %v back", now, whole)
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

func TestTheWholeStaysWholeWhenTheWindowChanges(t *testing.T) {
	b := ready(t)
	b.win.Resize(fyne.NewSize(1500, 900))
	b.capture()
	margin := 8.0
	if want := view.Fitted(b.editor.world(), float64(b.editor.w), float64(b.editor.h), margin); b.editor.view() != want {
		t.Errorf("view %v, want %v", b.editor.view(), want)
	}
	b.editor.zoomMiddle(2)
	zoomed := b.editor.view()
	b.win.Resize(fyne.NewSize(1280, 800))
	b.capture()
	if b.editor.view() != zoomed {
		t.Error("a chosen view was lost when the window changed")
	}
}
