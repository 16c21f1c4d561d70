package export

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"flatwright/export/dxf"
	"flatwright/export/page"
	"flatwright/export/page/draw"
	"flatwright/export/page/specimen"
	"flatwright/export/report"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

func document() draw.Document {
	return draw.Document{Pattern: specimen.Helmet(), Setup: page.DefaultSetup(), Date: time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)}
}

// listed returns the files of a folder with their contents.
func listed(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, e := range entries {
		data, _ := os.ReadFile(filepath.Join(dir, e.Name()))
		files[e.Name()] = string(data)
	}
	return files
}

func TestWriteAll(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	for range 2 { // the second time files are replaced
		r, err := WriteAll(context.Background(), dir, document(), Options{DXF: dxf.Splines}, report.Report{Photo: report.Photo{Name: "x.jpg"}})
		if err != nil {
			t.Fatal(err)
		}
		files := listed(t, dir)
		if len(files) != 4 || !strings.Contains(files[DXFName], "AC1015") || !strings.HasPrefix(files[PDFName], "%PDF-") || !strings.HasPrefix(files[SVGName], "<?xml") {
			t.Fatalf("%d files", len(files))
		}
		var back report.Report
		if err := json.Unmarshal([]byte(files[ReportName]), &back); err != nil {
			t.Fatal(err)
		}
		if len(back.Pieces) != 10 || back.Sheets.Tiles != 9 || len(back.Files) != 4 || back.Photo.Name != "x.jpg" || len(back.Timings) != 1 {
			t.Errorf("%+v", back)
		}
		if len(r.Pieces) != 10 || len(r.Timings) != 1 {
			t.Errorf("returned %+v", r)
		}
	}
	info, err := os.Stat(filepath.Join(dir, PDFName))
	if err != nil || info.Mode().Perm() != 0o644 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
}

func TestNothingIsLeftOfAFailure(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "new", "deep")
	doc := document()
	doc.Pattern = pattern.Pattern{}
	if _, err := WriteAll(context.Background(), dir, doc, Options{DXF: dxf.Splines}, report.Report{}); !errors.Is(err, page.ErrEmpty) {
		t.Error(err)
	}
	err := Replace(dir, []File{{"one", text("1")}, {"two", func(io.Writer) error { return errors.New("no ink") }}})
	if err == nil || !strings.Contains(err.Error(), "two was not written: no ink") {
		t.Error(err)
	}
	if left := listed(t, root); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := fmt.Fprint(w, s); return err }
}

// Whatever fails and whenever, the folder is as it was before.
func TestOldFilesSurviveAFailure(t *testing.T) {
	cases := map[string]func(dir string) []File{
		"while writing": func(string) []File {
			return []File{{"one", text("new")}, {"two", func(w io.Writer) error {
				fmt.Fprint(w, "half")
				return errors.New("power cut")
			}}}
		},
		// The last file cannot take its place, because a folder of that name
		// appears after the checks: the first has taken its place by then.
		"while changing over": func(dir string) []File {
			return []File{{"one", text("new")}, {"fresh", text("new")}, {"three", func(io.Writer) error {
				return os.Mkdir(filepath.Join(dir, "three"), 0o755)
			}}}
		},
		"a folder is in the way": func(dir string) []File {
			return []File{{"one", text("new")}, {"folder", text("new")}}
		},
	}
	for name, files := range cases {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			os.WriteFile(filepath.Join(dir, "one"), []byte("old"), 0o644)
			os.Mkdir(filepath.Join(dir, "folder"), 0o755)
			if err := Replace(dir, files(dir)); err == nil {
				t.Fatal("no error")
			} else {
				t.Log(err)
			}
			os.Remove(filepath.Join(dir, "three"))
			left := listed(t, dir)
			if len(left) != 2 || left["one"] != "old" {
				t.Errorf("left: %v", left)
			}
		})
	}
}

func TestFolderThatIsAFile(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "taken")
	os.WriteFile(dir, []byte("mine"), 0o644)
	_, err := WriteAll(context.Background(), dir, document(), Options{DXF: dxf.Splines}, report.Report{})
	if err == nil || !strings.Contains(err.Error(), "choose another") {
		t.Error(err)
	}
	if data, _ := os.ReadFile(dir); string(data) != "mine" {
		t.Error("the file was touched")
	}
}

// BenchmarkWriteAll writes all files for 16 pieces.
func BenchmarkWriteAll(b *testing.B) {
	doc := document()
	for i := range 6 {
		p := doc.Pattern.Pieces[i]
		p.ID += "A"
		p.Outline = p.Outline.Translate(mat.Point{Y: 480})
		doc.Pattern.Pieces = append(doc.Pattern.Pieces, p)
	}
	dir := b.TempDir()
	for b.Loop() {
		if _, err := WriteAll(context.Background(), dir, doc, Options{DXF: dxf.Splines}, report.Report{}); err != nil {
			b.Fatal(err)
		}
	}
}
