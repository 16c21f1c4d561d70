package keep_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"flatwright/app/desk/keep"
	"flatwright/app/project"
	"flatwright/trace/pattern"
)

// A recent project is told with the time that its file was changed last, whoever
// did it; looking touches nothing, and takes no lock
// from a window that has the project open.
func TestRecentProjectsAreToldAsTheyAre(t *testing.T) {
	path := filepath.Join(t.TempDir(), "helmet.flatwright")
	open, err := project.Create(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer open.Close()
	var p keep.Preferences
	p.Remember(keep.Recent{Path: path, At: time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC)})
	p.Remember(keep.Recent{Path: path + ".gone", At: time.Now()})
	before := folder(t, filepath.Dir(path))
	for range 100 {
		if r := p.There(); len(r) != 1 || r[0].Path != path || time.Since(r[0].At) > time.Hour {
			t.Fatalf("there are %v", r)
		}
	}
	if after := folder(t, filepath.Dir(path)); len(after) != len(before) {
		t.Errorf("looking made files: %d, then %d", len(before), len(after))
	} else {
		for name, b := range before {
			if !bytes.Equal(after[name], b) {
				t.Errorf("looking changed %s", name)
			}
		}
	}
	if _, err := open.Commit("an edit", pattern.Pattern{Name: "b"}); err != nil {
		t.Errorf("the window that has it open cannot write: %v", err)
	}
	late := time.Date(2021, 1, 2, 3, 4, 0, 0, time.UTC)
	if err := os.Chtimes(path, late, late); err != nil {
		t.Fatal(err)
	}
	if r := p.There(); len(r) != 1 || !r[0].At.Equal(late) {
		t.Errorf("changed at %v, it is told of %v", late, r)
	}
}

// folder returns what is in a folder.
func folder(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, e := range all {
		b, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = b
	}
	return out
}
