package desk

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"flatwright/app/desk/practice"
	"flatwright/trace/pattern"
)

// The disk goes away in the middle of the work: the maker is told once, the
// work goes on, and can be saved elsewhere with its whole history.
func TestFolderVanishes(t *testing.T) {
	at := placeToKeep(t)
	a := keeping(t, at, "")
	edges := a.s.Document().Pattern.Pieces[0].Edges
	a.bevel(edges[0].ID, 30)
	a.kept.k.Flush()
	a.strip.hide()
	if err := os.RemoveAll(at.Folder); err != nil {
		t.Fatal(err)
	}
	a.bevel(edges[1].ID, 40)
	a.kept.k.Flush()
	for !a.strip.shown() {
		(<-a.queue)()
	}
	a.strip.hide()
	a.bevel(edges[2].ID, 50)
	a.kept.k.Flush()
	for len(a.queue) > 0 {
		(<-a.queue)()
	}
	if a.strip.shown() {
		t.Errorf("told again: %s", a.strip.text.Text)
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
	for range 3 {
		b.doUndo()
		b.settle()
	}
	if e := b.s.Document().Pattern.Pieces[0].Edges[0]; e.Cut.Kind != pattern.Straight {
		t.Errorf("the history was not saved: %v", e.Cut)
	}
	b.letGo()
}

// The three hints of the first run show once, and are gone for good when the
// maker says so.
func TestHintsGoAway(t *testing.T) {
	at := placeToKeep(t)
	demo := filepath.Join(t.TempDir(), "demo.jpg")
	if err := os.WriteFile(demo, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	open := func() *bench {
		b := newBench(t, Options{DemoPath: demo, DemoPitchMM: practice.PitchMM, Keep: at}, &practice.Job{})
		b.firstRun()
		b.settle()
		return b
	}
	a := open()
	if !a.hints.box.Visible() || len(a.s.Document().Pattern.Pieces) == 0 {
		t.Fatal("the first run shows no demo with hints")
	}
	for i := range tr.keep.hints {
		if a.hints.text.Text != tr.keep.hints[i] {
			t.Errorf("hint %d is %q", i+1, a.hints.text.Text)
		}
		if i+1 < len(tr.keep.hints) {
			a.hints.step()
		}
	}
	a.hints.end()
	a.letGo()
	b := open()
	if b.hints.box.Visible() || b.s.Photo() != nil {
		t.Error("the hints came back")
	}
}
