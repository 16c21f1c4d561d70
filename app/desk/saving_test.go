package desk

import (
	"os"
	"path/filepath"
	"testing"
)

func TestPlaceOfAFile(t *testing.T) {
	b := ready(t)
	dir := t.TempDir()
	home := filepath.Join(dir, "home")
	t.Setenv("HOME", home)
	for text, want := range map[string]string{
		filepath.Join(dir, "a"):     filepath.Join(dir, "a.pdf"),
		filepath.Join(dir, "a.PDF"): filepath.Join(dir, "a.PDF"),
		filepath.Join(dir, "a.b"):   filepath.Join(dir, "a.b.pdf"),
		"~/a":                       filepath.Join(home, "a.pdf"),
		" ":                         "",
		dir + "/":                   "",
	} {
		p := b.askPlace(tr.export, text, ".pdf", placed{after: func(string) {}})
		if got := p.full(); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
		p.ask.Hide()
	}
}

// saveWord is what the button says that saves.
func (b *bench) saveWord() string {
	for _, x := range b.places().Things {
		if x.Kind == "button" && (x.Text == tr.keep.save || x.Text == tr.place.replace) {
			return x.Text
		}
	}
	return ""
}

// What would be replaced is named, the files beside a PDF too, and the button
// says so.
func TestWhatIsReplacedIsNamed(t *testing.T) {
	b := ready(t)
	dir := t.TempDir()
	x := b.print()
	x.SVG, x.DXF = true, true
	for _, name := range []string{"a.pdf", "a.svg", "b.dxf", "c.zip"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("old"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		typed, note string
		replaces    bool
	}{
		{"a.pdf", "There are files of these names: a.pdf, a.svg. They will be replaced.", true},
		{"b.pdf", "There are files of these names: b.dxf. They will be replaced.", true},
		{"c.pdf", "", false},
		{"c", "It will be saved as c.pdf.", false},
		{"a.zip", "It will be saved as a.zip.pdf.", false},
		{"a", "It will be saved as a.pdf. There are files of these names: a.pdf, a.svg. They will be replaced.", true},
		{"", tr.keep.noName, false},
	} {
		p := b.askPlace(tr.export, filepath.Join(dir, "new.pdf"), ".pdf", placed{x.Beside, func(string) {}})
		p.path.SetText(filepath.Join(dir, c.typed))
		if c.typed == "" {
			p.path.SetText("")
		}
		if p.note.Text != c.note {
			t.Errorf("%q: it says %q, want %q", c.typed, p.note.Text, c.note)
		}
		if got, want := b.saveWord(), map[bool]string{true: "Replace", false: "Save"}[c.replaces]; got != want {
			t.Errorf("%q: the button says %q, want %q", c.typed, got, want)
		}
		p.ask.Hide()
	}
}

// What must not be replaced stays: one sentence says why, and the question is
// put again.
func TestWhatStaysIsNotReplaced(t *testing.T) {
	b := ready(t)
	dir := t.TempDir()
	x := b.print()
	x.SVG = true
	made := func(name string, mode os.FileMode) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte("old"), mode); err != nil {
			t.Fatal(err)
		}
		return path
	}
	made("locked.pdf", 0o400)
	made("beside.pdf", 0o600)
	made("beside.svg", 0o400)
	if err := os.Mkdir(filepath.Join(dir, "folder.pdf"), 0o700); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"locked": "locked.pdf is protected against writing and stays as it is. Type another name, or lift its protection first.",
		"beside": "beside.svg is protected against writing and stays as it is. Type another name, or lift its protection first.",
		"folder": "folder.pdf is a folder, which no file can replace. Type another name.",
	}
	if os.Symlink(dir, filepath.Join(dir, "link.pdf")) == nil {
		want["link"] = "link.pdf is a folder, which no file can replace. Type another name."
	}
	if os.Symlink(os.DevNull, filepath.Join(dir, "device.pdf")) == nil {
		want["device"] = "device.pdf is no ordinary file and stays as it is. Type another name."
	}
	for name, sentence := range want {
		p := b.askPlace(tr.export, filepath.Join(dir, name+".pdf"), ".pdf", placed{x.Beside, func(path string) { t.Errorf("%s was saved", path) }})
		if p.note.Text != sentence || b.saveWord() != tr.keep.save {
			t.Errorf("%s: it says %q, the button %q", name, p.note.Text, b.saveWord())
		}
		p.ask.Confirm()
		again := b.win.Canvas().Overlays().Top()
		if again == nil {
			t.Fatalf("%s: the question is gone", name)
		}
		again.Hide()
	}
	for _, name := range []string{"locked.pdf", "beside.pdf", "beside.svg"} {
		if text, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(text) != "old" {
			t.Errorf("%s holds %q, %v", name, text, err)
		}
	}
}
