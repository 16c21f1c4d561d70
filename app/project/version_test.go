package project

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// longer is a schema of one more version, as a later program will have.
func longer() schema {
	tables := slices.Clone(forms.tables())
	for i := range tables {
		if tables[i].name == "setting" {
			tables[i].create = strings.Replace(tables[i].create, "value TEXT NOT NULL", "value TEXT NOT NULL,\n\tby TEXT", 1)
		}
	}
	i := slices.IndexFunc(tables, func(t table) bool { return t.name == "setting" })
	return append(slices.Clone(forms), form{tables: tables, change: []string{
		"ALTER TABLE setting RENAME TO setting_before", tables[i].create,
		"INSERT INTO setting (id, key, value) SELECT id, key, value FROM setting_before", "DROP TABLE setting_before",
	}})
}

// A file of an older version is brought to this one, with a copy of what it
// was beside; where it cannot be written to, it is read all the same; and an
// older program refuses what has become of it.
func TestOlderVersion(t *testing.T) {
	ctx := context.Background()
	s := newSample(t, 20)
	dir := t.TempDir()
	path := filepath.Join(dir, "my helmet"+Extension)
	must(t, os.WriteFile(path, s.data, 0o644))

	r, err := openIn(ctx, path, false, longer())
	must(t, err)
	must(t, s.honest(r))
	must(t, r.Close())
	if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, s.data) {
		t.Errorf("reading an older version changed the file: %v", err)
	}

	p, err := openIn(ctx, path, true, longer())
	must(t, err)
	must(t, p.Stored())
	must(t, s.honest(p))
	var got Export
	if ok, err := p.Setting(ForExport, &got); !ok || err != nil || got.Paper != "a4" {
		t.Errorf("the setting came over as %+v: %v", got, err)
	}
	must(t, p.Close())
	var newer *NewerError
	if _, err := Open(ctx, path); !errors.As(err, &newer) || newer.Version != Version+1 {
		t.Errorf("the older program: %v", err)
	}
	old := opened(t, filepath.Join(dir, "my helmet (version 1)"+Extension))
	must(t, old.Stored())
	must(t, s.honest(old))
}

// A change of versions that does not come off leaves the file as it was, to be
// read.
func TestOlderVersionThatCannotBeChanged(t *testing.T) {
	ctx := context.Background()
	s := newSample(t, 20)
	path := filepath.Join(t.TempDir(), "helmet"+Extension)
	must(t, os.WriteFile(path, s.data, 0o644))
	broken := longer()
	broken[1].change = append(slices.Clone(broken[1].change), "INSERT INTO nowhere VALUES (1)")
	if _, err := openIn(ctx, path, true, broken); err == nil || !strings.Contains(err.Error(), "version 1 to 2") {
		t.Errorf("a change that fails: %v", err)
	}
	p := opened(t, path)
	must(t, p.Stored())
	must(t, s.honest(p))
}

// A file that the first version wrote is read as it was meant. The file is not
// to be made anew: it stands for those that makers have.
func TestFileOfVersion1(t *testing.T) {
	ctx := context.Background()
	data, err := os.ReadFile(filepath.Join("testdata", "version1"+Extension))
	must(t, err)
	path := filepath.Join(t.TempDir(), "old"+Extension)
	must(t, os.WriteFile(path, data, 0o644))
	p := opened(t, path)
	must(t, p.Stored())
	list, at, err := p.History()
	must(t, err)
	if len(list) != 6 || at != 3 || list[5].Name != "bevel 5" {
		t.Errorf("%d entries at %d", len(list), at)
	}
	for _, want := range []int{4, 5} {
		s, err := p.Redo()
		must(t, err)
		if s.Pattern.Name != fmt.Sprint("edit ", want) || angleOf(s.Pattern) != float64(want) || string(s.Work) != fmt.Sprintf(`{"n":%d}`, want) {
			t.Errorf("redo to %d gives %q, %s", want, s.Pattern.Name, s.Work)
		}
	}
	photos, err := p.Photos()
	must(t, err)
	if b, err := p.PhotoBytes(ctx, photos[0].ID); err != nil || string(b) != "the bytes of a photograph" || photos[0].Name != "mat.jpg" || string(photos[0].Settings) != `{"pitch_mm":25.4}` {
		t.Errorf("the photograph came back as %+v, %q: %v", photos[0], b, err)
	}
	var e Export
	if ok, err := p.Setting(ForExport, &e); !ok || err != nil || e != (Export{Paper: "A4", MarginMM: 10, OverlapMM: 10, DXF: "splines"}) {
		t.Errorf("the setting came back as %+v: %v", e, err)
	}
}
