package project

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file whose content is lost under the open project: the present state is
// kept, what is lost is named, and the rest can be saved elsewhere.
func TestContentLostWhileOpen(t *testing.T) {
	ctx := context.Background()
	path, p := made(t)
	for _, deg := range []float64{10, 20} {
		_, err := p.Commit("bevel", angled(deg))
		must(t, err)
	}
	_, err := p.AddPhoto(ctx, "mat.jpg", bytes.NewReader(bytes.Repeat([]byte("x"), 3*partBytes)), nil)
	must(t, err)
	must(t, os.Truncate(path, 0))
	_, err = p.Commit("bevel 30", angled(30))
	if !inMemory(err) {
		t.Fatalf("the edit: %v", err)
	}
	elsewhere := filepath.Join(t.TempDir(), "saved"+Extension)
	var less *LeftOutError
	if err := p.SaveAs(ctx, elsewhere); err != nil && !errors.As(err, &less) {
		t.Fatal(err)
	}
	if s, err := p.Current(); err != nil || angleOf(s.Pattern) != 30 {
		t.Errorf("the present state is %g°: %v", angleOf(s.Pattern), err)
	}
	if s, err := p.Undo(); err != nil || angleOf(s.Pattern) != 20 {
		t.Errorf("undo gives %g°: %v", angleOf(s.Pattern), err)
	}
	must(t, p.Close())
	must(t, opened(t, elsewhere).Stored())
}

// A photograph that cannot be read keeps nothing else from being saved, and is
// named.
func TestPhotographLostWhenSaving(t *testing.T) {
	ctx := context.Background()
	_, p := made(t)
	_, err := p.Commit("bevel", angled(10))
	must(t, err)
	for _, name := range []string{"one.jpg", "two.jpg"} {
		_, err := p.AddPhoto(ctx, name, strings.NewReader(name), nil)
		must(t, err)
	}
	_, err = p.file.db.Exec("UPDATE photo_part SET data = x'00' WHERE id = 1 << 16")
	must(t, err)
	elsewhere := filepath.Join(t.TempDir(), "saved"+Extension)
	err = p.SaveAs(ctx, elsewhere)
	var less *LeftOutError
	if !errors.As(err, &less) || !strings.Contains(err.Error(), "one.jpg") || strings.Contains(err.Error(), "two.jpg") {
		t.Fatalf("the maker is told %v", err)
	}
	must(t, p.Close())
	q := opened(t, elsewhere)
	if list, err := q.Photos(); err != nil || len(list) != 1 || list[0].Name != "two.jpg" || len(q.Missing()) > 0 {
		t.Errorf("saved: %+v, %v, %q", list, err, q.Missing())
	}
}

// Trying again never writes over what others may have done meanwhile.
func TestRetry(t *testing.T) {
	ctx := context.Background()
	n, err := New()
	must(t, err)
	defer n.Close()
	if err := n.Retry(ctx); !errors.Is(err, ErrNoFile) || !errors.Is(n.Stored(), ErrNoFile) {
		t.Errorf("a project without a file: %v, %v", err, n.Stored())
	}

	path, p := made(t)
	must(t, p.Retry(ctx))
	away := path + " away"
	must(t, os.Rename(path, away))
	if _, err := p.Commit("bevel", angled(10)); !inMemory(err) {
		t.Fatalf("an edit of a file that was moved: %v", err)
	}
	must(t, os.WriteFile(path, []byte("another's"), 0o644))
	if err := p.Retry(ctx); !errors.Is(err, errOther) {
		t.Errorf("over another file: %v", err)
	}
	must(t, os.Remove(path))
	must(t, p.Retry(ctx))
	must(t, p.Stored())
	must(t, p.Close())

	r, err := OpenReadOnly(ctx, path)
	must(t, err)
	defer r.Close()
	if _, err := r.Commit("bevel", angled(20)); !inMemory(err) {
		t.Errorf("an edit of what was only read: %v", err)
	}
	if err := r.Retry(ctx); !errors.Is(err, errOnlyRead) {
		t.Errorf("over what was only read: %v", err)
	}
	if s, err := opened(t, path).Current(); err != nil || angleOf(s.Pattern) != 10 {
		t.Errorf("the file holds %g°: %v", angleOf(s.Pattern), err)
	}
}

// A lock whose file was taken away is taken anew, and the other's is left
// alone.
func TestLockThatWasTakenAway(t *testing.T) {
	ctx := context.Background()
	path, p := made(t)
	must(t, os.Remove(lockPath(path)))
	other := opened(t, path)
	if err := p.SaveAs(ctx, path); err == nil {
		t.Error("saved over a project that another has open")
	}
	must(t, p.Close())
	if _, err := os.Stat(lockPath(path)); err != nil {
		t.Errorf("the other's lock is gone: %v", err)
	}
	must(t, other.Close())
}

// What a killed program left of saving is swept away when the file is opened
// next; nothing else is.
func TestLeftoversAreSwept(t *testing.T) {
	path, p := made(t)
	must(t, p.Close())
	dir := filepath.Dir(path)
	gone := filepath.Join(dir, "."+filepath.Base(path)+".new-ABCDEFGH")
	stays := []string{
		filepath.Join(dir, ".other"+Extension+".new-ABCDEFGH"),
		filepath.Join(dir, "."+filepath.Base(path)+".new-A"),
		filepath.Join(dir, "notes.txt"),
	}
	for _, name := range append(stays, gone) {
		must(t, os.WriteFile(name, nil, 0o644))
	}
	must(t, opened(t, path).Stored())
	if _, err := os.Stat(gone); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%s is still there: %v", gone, err)
	}
	for _, name := range stays {
		if _, err := os.Stat(name); err != nil {
			t.Error(err)
		}
	}
}

// A project that is closed answers with errors.
func TestClosed(t *testing.T) {
	ctx := context.Background()
	_, p := made(t)
	_, err := p.Commit("bevel", angled(10))
	must(t, err)
	must(t, p.Close())
	must(t, p.Close())
	_, _, history := p.History()
	_, photos := p.Photos()
	_, commit := p.Commit("late", angled(20))
	_, undo := p.Undo()
	_, add := p.AddPhoto(ctx, "late.jpg", strings.NewReader("x"), nil)
	_, setting := p.Setting(ForExport, new(Export))
	for name, err := range map[string]error{
		"History": history, "Photos": photos, "Commit": commit, "Undo": undo, "AddPhoto": add, "Setting": setting,
		"SetSetting": p.SetSetting("x", 1), "WritePhoto": p.WritePhoto(ctx, 1, &bytes.Buffer{}),
		"SaveAs": p.SaveAs(ctx, filepath.Join(t.TempDir(), "late"+Extension)),
	} {
		if err == nil {
			t.Errorf("%s of a closed project succeeds", name)
		}
	}
}
