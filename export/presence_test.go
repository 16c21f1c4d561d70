package export

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"
)

// What a killed export left goes with the next one, whether that succeeds or
// not; files of others stay, whatever their names.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	others := []string{".pattern.pdf.new-123", ".flatwright", "flatwright-new-1", "notes.txt"}
	for name, fails := range map[string]error{"done": nil, "failed": errors.New("no ink")} {
		for _, n := range append([]string{freshPrefix + "1", keptPrefix + "2", presenceName}, others...) {
			if err := os.WriteFile(filepath.Join(dir, n), []byte("x"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		err := Replace(dir, []File{{"one", func(w io.Writer) error { fmt.Fprint(w, "new"); return fails }}})
		if !errors.Is(err, fails) {
			t.Fatal(err)
		}
		os.Remove(filepath.Join(dir, "one"))
		if left := listed(t, dir); len(left) != len(others) {
			t.Errorf("%s: left %v", name, left)
		}
	}
}

// An export that runs loses nothing to another that ends meanwhile; the last
// one clears up.
func TestRunningExportIsLeftAlone(t *testing.T) {
	dir := t.TempDir()
	err := Replace(dir, []File{
		{"one", text("1")},
		{"two", func(w io.Writer) error {
			for _, fails := range []error{nil, errors.New("no ink")} {
				err := Replace(dir, []File{{"three", func(w io.Writer) error { fmt.Fprint(w, "3"); return fails }}})
				if !errors.Is(err, fails) {
					return fmt.Errorf("the other export: %w", err)
				}
			}
			return text("2")(w)
		}},
	})
	if left := listed(t, dir); err != nil || len(left) != 3 || left["one"] != "1" || left["two"] != "2" || left["three"] != "3" {
		t.Errorf("%v, %v", left, err)
	}
}

// Many exports at once into one folder all succeed, and leave nothing else.
func TestManyAtOnce(t *testing.T) {
	dir := t.TempDir()
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			for n := range 10 {
				if err := Replace(dir, []File{{"shared", text("whole")}, {fmt.Sprint("own", i), text(fmt.Sprint(n))}}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if left := listed(t, dir); len(left) != 9 || left["shared"] != "whole" {
		t.Errorf("left %v", left)
	}
}

// Where a disk has no hard links the old file is copied: a symbolic link as
// such, any other with its bytes and permissions.
func TestDuplicate(t *testing.T) {
	dir := t.TempDir()
	file, link := filepath.Join(dir, "file"), filepath.Join(dir, "link")
	if err := errors.Join(os.WriteFile(file, []byte("old"), 0o600), os.Symlink("file", link)); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(duplicate(file, file+"2"), duplicate(link, link+"2")); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file + "2")
	info, err2 := os.Stat(file + "2")
	if err != nil || err2 != nil || string(b) != "old" || info.Mode().Perm() != 0o600 {
		t.Errorf("%q, %v, %v, %v", b, info.Mode(), err, err2)
	}
	if aim, err := os.Readlink(link + "2"); err != nil || aim != "file" {
		t.Errorf("%q, %v", aim, err)
	}
	if err := duplicate(file, link); !errors.Is(err, os.ErrExist) {
		t.Errorf("over another file: %v", err)
	}
}
