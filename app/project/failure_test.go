//go:build linux

package project

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// starve edits a project in a process whose files may not grow beyond what
// they are now and a number of bytes: every write past that fails, in the
// journal or in the file, wherever the number happens to fall. The work must
// go on in memory, and all of it be there once it is saved elsewhere.
func starve(path, room string) error {
	signal.Ignore(syscall.SIGXFSZ)
	bytes, err := strconv.Atoi(room)
	if err != nil {
		return err
	}
	ctx := context.Background()
	p, err := Open(ctx, path)
	if err != nil {
		return err
	}
	limit := uint64(size(path)) + uint64(bytes)
	if bytes < 0 {
		limit = uint64(-bytes) // less than the file has: the journal alone is starved
	}
	old, err := limitFiles(limit)
	if err != nil {
		return err
	}
	told, err := editUntilTold(p)
	if err != nil {
		return err
	}
	if _, err := p.AddPhoto(ctx, "late.jpg", photograph(7), nil); !inMemory(err) {
		return fmt.Errorf("a photograph in memory: %w", err)
	}
	if err := p.Retry(ctx); err == nil {
		return errors.New("saved where there is no room")
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &old); err != nil {
		return err
	}
	if err := same(p, told, 1); err != nil {
		return fmt.Errorf("in memory: %w", err)
	}
	if err := p.SaveAs(ctx, path+" elsewhere"); err != nil {
		return err
	}
	return errors.Join(p.Stored(), p.Close())
}

// limitFiles bounds the files that the process writes, and returns the bounds
// before.
func limitFiles(bytes uint64) (old syscall.Rlimit, err error) {
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &old); err != nil {
		return old, err
	}
	return old, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: bytes, Max: old.Max})
}

// editUntilTold edits until some time after the first word that an edit is in
// memory only, and returns how many edits there were.
func editUntilTold(p *Project) (edits int, err error) {
	since := 0
	for n := 1; n < 3000 && since < 10; n++ {
		_, err := p.Commit(strconv.Itoa(n), numbered(n))
		switch {
		case err == nil && since > 0:
			return n, errors.New("an edit was stored after one was not")
		case inMemory(err):
			since++
		case err != nil:
			return n, err
		}
		edits = n
	}
	if since == 0 {
		return edits, errors.New("all edits found room")
	}
	return edits, nil
}

// same holds a project to a number of edits and photographs.
func same(p *Project, edits, photos int) error {
	list, at, err := p.History()
	if err != nil {
		return err
	}
	if len(list) != edits+1 || at != edits {
		return fmt.Errorf("%d edits at %d, want %d", len(list)-1, at, edits)
	}
	found, err := p.Photos()
	if err != nil || len(found) != photos {
		return fmt.Errorf("%d photographs, want %d: %w", len(found), photos, err)
	}
	for n := edits - 1; n > edits-15 && n > 0; n-- {
		s, err := p.Undo()
		if err != nil && !inMemory(err) {
			return err
		}
		if s.Pattern.Name != fmt.Sprint("edit ", n) {
			return fmt.Errorf("undo to edit %d gives %q", n, s.Pattern.Name)
		}
	}
	for n := edits - 1; n > edits-15 && n > 0; n-- {
		if _, err := p.Redo(); err != nil && !inMemory(err) {
			return err
		}
	}
	return nil
}

// Wherever a write fails, nothing is lost: not in memory, not in the file that
// is left behind, not in the one that is saved elsewhere.
func TestWritesThatFail(t *testing.T) {
	for _, room := range []int{0, 1, 4096, 5000, 20480, -300, -513, -4097, -9000} {
		path, p := made(t)
		must(t, p.Close())
		runChild(t, "starve", path, strconv.Itoa(room))
		left := opened(t, path)
		if err := left.Stored(); err != nil || len(left.Missing()) > 0 {
			t.Errorf("with room for %d bytes the file is left damaged: %v %q", room, err, left.Missing())
		}
		moved := opened(t, path+" elsewhere")
		list, _, err := moved.History()
		must(t, err)
		if err := same(moved, len(list)-1, 1); err != nil {
			t.Errorf("with room for %d bytes: %v", room, err)
		}
		if rest, err := filepath.Glob(filepath.Join(filepath.Dir(path), ".*.new-*")); err != nil || len(rest) > 0 {
			t.Errorf("with room for %d bytes %q were left behind: %v", room, rest, err)
		}
	}
}

// outsider opens a project as a user who may read it and nothing else.
func outsider(path string) error {
	if err := syscall.Setuid(65534); err != nil {
		return err
	}
	ctx := context.Background()
	p, err := Open(ctx, path)
	if err != nil {
		return err
	}
	defer p.Close()
	var told *NotStoredError
	if err := p.Stored(); !errors.As(err, &told) {
		return fmt.Errorf("it is said to be stored: %w", err)
	}
	s, err := p.Current()
	if err != nil || s.Pattern.Name != "edit 3" {
		return fmt.Errorf("the present state is %q: %w", s.Pattern.Name, err)
	}
	list, err := p.Photos()
	if err != nil || len(list) != 1 {
		return fmt.Errorf("%d photographs: %w", len(list), err)
	}
	if _, err := p.PhotoBytes(ctx, list[0].ID); err != nil {
		return err
	}
	if _, err := p.Commit("4", numbered(4)); !errors.As(err, &told) {
		return fmt.Errorf("an edit: %w", err)
	}
	var bad *FileError
	if err := p.SaveAs(ctx, path); !errors.As(err, &bad) {
		return fmt.Errorf("saving where nothing may be written: %w", err)
	}
	elsewhere := filepath.Join(os.TempDir(), fmt.Sprint("flatwright-outsider-", os.Getpid(), Extension))
	defer os.Remove(elsewhere)
	if err := p.SaveAs(ctx, elsewhere); err != nil {
		return err
	}
	if s, err := p.Undo(); err != nil || s.Pattern.Name != "edit 3" {
		return fmt.Errorf("undo elsewhere gives %q: %w", s.Pattern.Name, err)
	}
	return nil
}

// withThreeEdits returns a project's file in a folder that all may enter.
func withThreeEdits(t *testing.T) string {
	t.Helper()
	path, p := made(t)
	for n := 1; n <= 3; n++ {
		_, err := p.Commit(strconv.Itoa(n), numbered(n))
		must(t, err)
	}
	_, err := p.AddPhoto(context.Background(), "mat.jpg", photograph(5), nil)
	must(t, err)
	must(t, p.Close())
	return path
}

// shut lets nobody write in a folder, and gives it back with the test. The
// superuser may write anywhere, so the child becomes somebody else.
func shut(t *testing.T, path string) {
	t.Helper()
	dir := filepath.Dir(path)
	for d := dir; d != filepath.Dir(os.TempDir()) && d != "/" && d != os.TempDir(); d = filepath.Dir(d) {
		must(t, os.Chmod(d, 0o755))
	}
	must(t, os.Chmod(dir, 0o555))
	t.Cleanup(func() { must(t, os.Chmod(dir, 0o755)) })
	must(t, os.Chmod(path, 0o444))
	if os.Getuid() != 0 {
		t.Log("run by a user who is not the superuser: the child stays that user")
	}
}

// In a folder where nothing may be written the project is opened all the same,
// edits stay in memory, and it can be saved elsewhere; also when a program was
// killed in the middle of an edit, which cannot be taken back there.
func TestFolderThatMustNotBeWritten(t *testing.T) {
	for _, interrupted := range []bool{false, true} {
		path := withThreeEdits(t)
		if interrupted {
			interrupt(t, path)
		}
		shut(t, path)
		if os.Getuid() == 0 {
			runChild(t, "outsider", path)
			continue
		}
		if err := outsider(path); err != nil {
			t.Errorf("interrupted %v: %v", interrupted, err)
		}
	}
}

// interrupt leaves a file as a program does that is killed between writing the
// file and taking the journal away.
func interrupt(t *testing.T, path string) {
	t.Helper()
	before, err := os.ReadFile(path)
	must(t, err)
	p := opened(t, path)
	tx, err := p.file.db.Begin()
	must(t, err)
	_, err = tx.Exec("UPDATE revision SET name = 'half done', content = zeroblob(20000)")
	must(t, err)
	_, err = tx.Exec("PRAGMA cache_spill(1)")
	must(t, err)
	_, err = tx.Exec("PRAGMA cache_size(1)")
	must(t, err)
	_, err = tx.Exec("UPDATE revision SET content = zeroblob(100000)")
	must(t, err)
	after, err := os.ReadFile(path)
	must(t, err)
	journal, err := os.ReadFile(path + "-journal")
	must(t, err)
	must(t, tx.Rollback())
	must(t, p.Close())
	if string(before) == string(after) || len(journal) < 1000 {
		t.Fatal("the test is worth nothing: the file was not touched yet")
	}
	must(t, os.WriteFile(path, after, 0o644))
	must(t, os.WriteFile(path+"-journal", journal, 0o644))
}

// A folder that is taken away while the project is open: the work goes on in
// memory, all of it, and can be saved elsewhere; so it does when another file
// takes the place of ours.
func TestFileThatIsGone(t *testing.T) {
	ctx := context.Background()
	for name, take := range map[string]func(path string) error{
		"folder removed": func(path string) error { return os.RemoveAll(filepath.Dir(path)) },
		"folder renamed": func(path string) error { return os.Rename(filepath.Dir(path), filepath.Dir(path)+" away") },
		"file removed":   os.Remove,
		"file replaced": func(path string) error {
			return errors.Join(os.Remove(path), os.WriteFile(path, []byte("something else"), 0o644))
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "stick")
			must(t, os.Mkdir(dir, 0o755))
			path := filepath.Join(dir, "helmet"+Extension)
			p, err := Create(ctx, path)
			must(t, err)
			defer p.Close()
			for n := 1; n <= 3; n++ {
				_, err = p.Commit(strconv.Itoa(n), numbered(n))
				must(t, err)
			}
			_, err = p.AddPhoto(ctx, "mat.jpg", photograph(5), nil)
			must(t, err)
			must(t, take(path))
			_, err = p.Commit("4", numbered(4))
			var told *NotStoredError
			if !errors.As(err, &told) || !strings.Contains(err.Error(), "no longer there") {
				t.Fatalf("the edit: %v", err)
			}
			elsewhere := filepath.Join(t.TempDir(), "saved"+Extension)
			must(t, p.SaveAs(ctx, elsewhere))
			must(t, p.Stored())
			must(t, same(p, 4, 1))
			must(t, p.Close())
			must(t, same(opened(t, elsewhere), 4, 1))
		})
	}
}

// A full disk, where there is leave to make one.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("none", dir, "tmpfs", 0, "size=300k"); err != nil {
		t.Skipf("a small disk in memory cannot be mounted here (%v); TestWritesThatFail covers writes that fail", err)
	}
	defer func() { must(t, syscall.Unmount(dir, 0)) }()
	ctx := context.Background()
	path := filepath.Join(dir, "helmet"+Extension)
	p, err := Create(ctx, path)
	must(t, err)
	defer p.Close()
	if _, err := p.AddPhoto(ctx, "large.jpg", photograph(2), nil); err == nil || !strings.Contains(err.Error(), "disk is full") {
		t.Errorf("a photograph on a full disk: %v", err)
	}
	must(t, p.Stored())
	edits, err := editUntilTold(p)
	must(t, err)
	if text := p.Stored().Error(); !strings.Contains(text, "disk is full") {
		t.Errorf("the maker is told %q", text)
	}
	must(t, same(p, edits, 0))
	if err := p.Retry(ctx); err == nil {
		t.Error("saved where there is no room")
	}
	must(t, syscall.Mount("none", dir, "tmpfs", syscall.MS_REMOUNT, "size=3m"))
	must(t, p.Retry(ctx))
	must(t, p.Stored())
	must(t, p.Close())
	again, err := Open(ctx, path)
	must(t, err)
	defer again.Close()
	must(t, same(again, edits, 0))
}
