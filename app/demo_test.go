package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"flatwright/rectify/photo/intake"
)

// Run from anywhere, the program has its demo: it is put into the user's folder
// of data once, again when the file there is another, and is the photograph that
// lies with the source.
func TestTheDemoIsThereFromAnywhere(t *testing.T) {
	source, err := os.ReadFile(filepath.Join("..", "assets", "demo.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	data := t.TempDir()
	t.Setenv("XDG_DATA_HOME", data)
	t.Setenv("HOME", data)
	t.Setenv("XDG_CONFIG_HOME", filepath.Join(data, "config"))
	t.Chdir(t.TempDir())
	path := demoPath()
	if want := filepath.Join(data, "flatwright", "demo.jpg"); path != want {
		t.Fatalf("it lies at %q, want %q", path, want)
	}
	whole := func(when string) os.FileInfo {
		t.Helper()
		got, err := os.ReadFile(path)
		if err != nil || string(got) != string(source) {
			t.Fatalf("%s: %d bytes, %v", when, len(got), err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		return info
	}
	first := whole("at first")
	if demoPath() != path || !os.SameFile(first, whole("again")) {
		t.Error("it was written again")
	}
	for _, cut := range []int{0, len(source) / 2} {
		if err := os.WriteFile(path, source[:cut], 0o644); err != nil {
			t.Fatal(err)
		}
		if demoPath() != path {
			t.Error("it lies elsewhere")
		}
		whole("after another")
	}
	if list, err := os.ReadDir(filepath.Dir(path)); err != nil || len(list) != 1 {
		t.Errorf("%v, %v beside it", list, err)
	}
	p, err := intake.Open(context.Background(), path)
	if err != nil || p.Width < 1000 {
		t.Errorf("%v", err)
	}
}

// Beside the source its own file is taken, and nothing is written; where nothing
// can be written there is no demo, and no error.
func TestTheDemoBesideTheSource(t *testing.T) {
	data := t.TempDir()
	t.Setenv("XDG_DATA_HOME", filepath.Join(data, "none"))
	t.Chdir("..")
	if path := demoPath(); path != filepath.Join("assets", "demo.jpg") {
		t.Errorf("it lies at %q", path)
	}
	if _, err := os.Stat(filepath.Join(data, "none")); err == nil {
		t.Error("a copy was written")
	}
	t.Chdir(data)
	if err := os.WriteFile("none", []byte("no folder"), 0o644); err != nil {
		t.Fatal(err)
	}
	if path := demoPath(); path != "" {
		t.Errorf("it lies at %q, which is no folder", path)
	}
}
