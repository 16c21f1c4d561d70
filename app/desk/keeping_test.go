package desk

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"flatwright/app/desk/keep"
	"flatwright/app/desk/practice"
	"flatwright/app/desk/session"
	"flatwright/app/project"
	"flatwright/trace/pattern"
)

// keeping opens the practice photograph in a window that keeps its work.
func keeping(t *testing.T, at *Keeping, start string) *bench {
	t.Helper()
	b := newBench(t, Options{PitchMM: practice.PitchMM, Keep: at}, &practice.Job{})
	if start == "" {
		start = b.file
	}
	b.open(start)
	b.settle()
	b.capture()
	return b
}

func placeToKeep(t *testing.T) *Keeping {
	dir := t.TempDir()
	return &Keeping{Folder: filepath.Join(dir, "projects"), Preferences: filepath.Join(dir, "settings", "bench.json")}
}

// path is the project that the window keeps its work in.
func (b *bench) path() string { return b.kept.k.Project().Path() }

func (b *bench) encoded() []byte {
	b.t.Helper()
	doc := b.s.Document()
	st, err := keep.Encode(doc, b.s.Past().Only, session.Edit{}, b.kept.k.Sum)
	if err != nil {
		b.t.Fatal(err)
	}
	out, err := pattern.Encode(st.Pattern)
	if err != nil {
		b.t.Fatal(err)
	}
	return append(append(out, '\n'), st.Work...)
}

// bevel gives an edge a cut, as a maker would.
func (b *bench) bevel(edge string, deg float64) {
	b.t.Helper()
	b.s.SelectEdge(edge)
	b.setCut(edge, pattern.Cut{Kind: pattern.Bevel, AngleDeg: deg})
}

// Without being asked to save anything the window keeps every edit; another
// window finds them, and undo and redo go on across the closing.
func TestWorkIsKeptOverClosing(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	first := a.s.Document().Pattern.Pieces[0]
	traced := a.encoded()
	for i, e := range first.Edges {
		a.bevel(e.ID, 20+float64(i))
	}
	if err := a.s.SetName(first.ID, "Cheek"); err != nil {
		t.Fatal(err)
	}
	a.changed()
	a.doUndo() // the name is to be done again later
	want, path := a.encoded(), a.path()
	a.letGo()

	b := keeping(t, at, path)
	if got := b.encoded(); !bytes.Equal(got, want) {
		t.Fatalf("the work came back otherwise:\n%s\n%s", got, want)
	}
	if b.s.Document().Squared == nil || len(b.s.Unsolved()) > 0 {
		t.Error("the photograph was not squared up again")
	}
	if e := b.s.NextRedo(); e != (session.Edit{Action: session.ActionName, Target: first.ID}) {
		t.Errorf("redo would do %v", e)
	}
	b.doRedo()
	if got := b.s.Document().Pattern.Pieces[0].Name; got != "Cheek" {
		t.Errorf("redo gave the name %q", got)
	}
	for range len(first.Edges) + 1 {
		b.doUndo()
		b.settle()
	}
	if got := b.encoded(); !bytes.Equal(got, traced) {
		t.Errorf("undone, the work is otherwise than it was traced:\n%s\n%s", got, traced)
	}
	if e := b.s.NextUndo(); e.Action == session.NoAction {
		t.Error("undo does not reach back to the tracing")
	}
	b.letGo()
	c := keeping(t, at, path)
	if got := c.encoded(); !bytes.Equal(got, traced) {
		t.Error("what was undone came back")
	}
	c.letGo()
}

// Undo as far as it goes, across closing, and redo all of it again.
func TestHistoryBothWaysAcrossClosing(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	edge := a.s.Document().Pattern.Pieces[0].Edges[0].ID
	for k := range 7 {
		a.bevel(edge, 10+float64(k))
	}
	end, path := a.encoded(), a.path()
	a.letGo()
	b := keeping(t, at, path)
	undone := 0
	for b.s.NextUndo().Action != session.NoAction && undone < 100 {
		b.doUndo()
		b.settle()
		undone++
	}
	if undone < 8 || len(b.s.Document().Pattern.Pieces) != 0 {
		t.Errorf("%d steps undone leave %d pieces", undone, len(b.s.Document().Pattern.Pieces))
	}
	b.letGo()
	c := keeping(t, at, path)
	for range undone {
		c.doRedo()
		c.settle()
	}
	if got := c.encoded(); !bytes.Equal(got, end) {
		t.Errorf("done again, the work is otherwise:\n%s\n%s", got, end)
	}
	c.letGo()
}

// A photograph is in the project as soon as it is open: a machine that stops
// then, before anything is said of the mat, loses nothing.
func TestPhotographIsKeptAtOnce(t *testing.T) {
	at := placeToKeep(t)
	a := newBench(t, Options{Keep: at}, &practice.Job{})
	a.open(a.file)
	a.settle()
	a.kept.k.Flush()
	b := newBench(t, Options{}, &practice.Job{})
	b.openProjectBy(a.path(), project.OpenReadOnly)
	b.settle()
	if b.s.Photo() == nil || b.s.NextUndo().Action != session.NoAction {
		t.Errorf("photograph %v, undo would take back %v", b.s.Photo(), b.s.NextUndo())
	}
	b.letGo()
	a.letGo()
}

// A photograph that was only looked at leaves no file behind, work does.
func TestLookingLeavesNoProject(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	path := a.path()
	a.letGo()
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Errorf("the project of a photograph that was only looked at: %v", err)
	}
	if p, err := keep.ReadPreferences(at.Preferences); err != nil || len(p.Recent) != 0 {
		t.Errorf("remembered: %v, %v", p.Recent, err)
	}
}

func TestSavingUnderAName(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	old, path := a.path(), filepath.Join(t.TempDir(), "helmet.flatwright")
	a.saveProject(path)
	a.settle()
	if a.path() != path {
		t.Fatalf("the work goes on in %s", a.path())
	}
	if _, err := os.Stat(old); !os.IsNotExist(err) {
		t.Errorf("the unnamed project stayed: %v", err)
	}
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[1].ID, 40)
	want := a.encoded()
	a.letGo()
	b := keeping(t, at, path)
	if got := b.encoded(); !bytes.Equal(got, want) {
		t.Error("what was done after saving is not in the file")
	}
	if r := b.kept.prefs.There(); len(r) == 0 || r[0].Path != path {
		t.Errorf("recent projects: %v", r)
	}
	b.letGo()
}

// Work that is stopped too late to notice holds no project open, and a new one
// leaves no file.
func TestStoppedOpeningLetsGo(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	path := a.path()
	a.letGo()
	b := newBench(t, Options{PitchMM: practice.PitchMM, Keep: at}, &practice.Job{})
	for _, file := range []string{path, b.file} {
		b.open(file)
		late := <-b.queue // the result, or word of progress before it
		b.runner.stop()
		late()
		for settled := time.After(2 * time.Second); ; {
			select {
			case f := <-b.queue:
				f()
				continue
			case <-settled:
			}
			break
		}
		if b.s.Photo() != nil || b.kept.k != nil {
			t.Fatal("what was stopped was opened all the same")
		}
	}
	if list, err := filepath.Glob(filepath.Join(at.Folder, "*")); err != nil || len(list) != 1 {
		t.Errorf("in the folder are %v, %v", list, err)
	}
	again, err := project.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := again.Close(); err != nil {
		t.Error(err)
	}
}

// An edit that waits to be kept is not forgotten when solutions are put in
// meanwhile.
func TestWaitingEditIsKept(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	if err := a.s.SetName(a.s.Document().Pattern.Pieces[0].ID, "Cheek"); err != nil {
		t.Fatal(err)
	}
	a.fillIn() // before anything was followed
	want, path := a.encoded(), a.path()
	a.letGo()
	b := keeping(t, at, path)
	if got := b.encoded(); !bytes.Equal(got, want) {
		t.Error("the edit is lost")
	}
	b.letGo()
}

// A project knows how it is printed from the first, as the window was left.
func TestPaperIsKeptFromTheFirst(t *testing.T) {
	at := placeToKeep(t)
	a := newBench(t, Options{PitchMM: practice.PitchMM, Keep: at}, &practice.Job{})
	a.setPaper("letter")
	a.open(a.file)
	a.settle()
	var e project.Export
	if !a.kept.k.Get(project.ForExport, &e) || e.Paper != "letter" {
		t.Errorf("the project is printed as %+v", e)
	}
	a.letGo()
}

// A paper that a command wrote with a capital is the one on the list.
func TestPaperOfACommandIsOnTheList(t *testing.T) {
	for _, name := range []string{"Letter", "A3", "610x914mm"} {
		got := printKept(project.Export{Paper: name, MarginMM: 10}, session.UsualPrint("a4"))
		if got.Paper != strings.ToLower(name) || got.Orientation != "auto" {
			t.Errorf("%s is taken for %+v", name, got)
		}
	}
}

// The second window on one project is told, and may look.
func TestTwoWindowsOnOneProject(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	a.kept.k.Flush()
	b := keeping(t, at, a.path())
	if b.kept.k != nil || !b.strip.shown() {
		t.Fatalf("the second window was not told: %q", b.strip.text.Text)
	}
	b.openProjectBy(a.path(), project.OpenReadOnly)
	b.settle()
	if got, want := b.encoded(), a.encoded(); !bytes.Equal(got, want) {
		t.Error("what it looks at is not the work")
	}
	b.letGo()
	a.letGo()
}

// Where no file can be made the maker is told, and the work goes on.
func TestWorkGoesOnWithoutAPlace(t *testing.T) {
	at := placeToKeep(t)
	if err := os.WriteFile(at.Folder, []byte("a file where the folder should be"), 0o600); err != nil {
		t.Fatal(err)
	}
	a := keeping(t, at, "")
	if text := a.strip.text.Text; !a.strip.shown() || !strings.Contains(text, at.Folder) {
		t.Errorf("that no file can be made is told as %q", text)
	}
	a.bevel(a.s.Document().Pattern.Pieces[0].Edges[0].ID, 30)
	a.closing()
	if a.win.Canvas().Overlays().Top() == nil {
		t.Error("no question before work is lost")
	}
	path := filepath.Join(t.TempDir(), "saved.flatwright")
	a.saveProject(path)
	a.settle()
	want := a.encoded()
	a.letGo()
	b := keeping(t, at, path)
	if got := b.encoded(); !bytes.Equal(got, want) {
		t.Error("saved elsewhere, the work came back otherwise")
	}
	b.letGo()
}

// What is dragged is kept while the mouse is still down.
func TestDragsAreKept(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	p := a.s.Document().Pattern.Pieces[0].ID
	if err := a.s.SetName(p, "Cheek"); err != nil {
		t.Fatal(err)
	}
	a.changed()
	a.s.SetPitch(a.s.Document().PitchMM + 1)
	if !a.s.InGesture() {
		t.Fatal("a setting no longer waits for its solution: take another gesture")
	}
	a.keepNow()
	want, path := a.encoded(), a.path()
	a.kept.k.Flush()
	other, err := project.OpenReadOnly(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if !bytes.Equal(bytes.SplitN(other.Encoded(), []byte("\n"), 2)[0], bytes.SplitN(want, []byte("\n"), 2)[0]) {
		t.Error("the pattern in the file is another")
	}
	list, _, err := other.History()
	if err != nil || list[len(list)-1].Name != editTitle(session.Edit{Action: session.ActionPitch}) {
		t.Errorf("the history ends with %v, %v", list[len(list)-1], err)
	}
	a.letGo()
}
