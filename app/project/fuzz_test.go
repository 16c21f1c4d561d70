package project

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// FuzzOpen: whatever is in a file, it is refused or opened, soon, and what it
// gives of the pattern has the right checksum.
func FuzzOpen(f *testing.F) {
	old, err := os.ReadFile(filepath.Join("testdata", "version1"+Extension))
	must(f, err)
	f.Add(old)
	s := newSample(f, 3)
	f.Add(s.data)
	f.Add(s.data[:len(s.data)/2])
	dir, err := os.MkdirTemp("/dev/shm", "flatwright-fuzz-")
	if err != nil {
		dir = f.TempDir()
	}
	f.Cleanup(func() { os.RemoveAll(dir) })
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<20 {
			return
		}
		p := try(t, filepath.Join(dir, fmt.Sprint(os.Getpid(), Extension)), data)
		if p == nil {
			return
		}
		defer p.Close()
		look(t, p)
	})
}

// look reads everything that a project gives, and writes to it.
func look(t *testing.T, p *Project) {
	ctx := context.Background()
	if _, err := p.Current(); err != nil {
		t.Fatalf("opened without a present state: %v", err)
	}
	list, at, err := p.History()
	if err == nil && (at < 0 || at >= max(1, len(list))) {
		t.Fatalf("at %d of %d edits", at, len(list))
	}
	for _, r := range list[:min(len(list), 100)] {
		_, _ = stateAt(p.active().db, r.Number)
	}
	photos, _ := p.Photos()
	for _, f := range photos {
		_, _ = p.PhotoBytes(ctx, f.ID)
	}
	var x any
	_, _ = p.Setting(ForExport, &x)
	_, _ = p.Undo()
	if _, err := p.Commit("another", angled(12)); err == nil || inMemory(err) {
		if s, err := p.Current(); err != nil || angleOf(s.Pattern) != 12 {
			t.Fatalf("an edit is not there: %v", err)
		}
	}
}
