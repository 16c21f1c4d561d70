package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/app/matprofile"
	"flatwright/app/project"
	"flatwright/export"
	"flatwright/export/page/specimen"
	"flatwright/trace/pattern"
)

// make --project keeps everything that export needs: the files come out the
// same to the byte, and the photograph as it came.
func TestProjectIsMadeAndExported(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1700000000")
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	file := filepath.Join(dir, "my helmet.flatwright")
	made, again := filepath.Join(dir, "made"), filepath.Join(dir, "again")
	status, _, errs := command("make", demo, "--pitch", "1in", "--out", made, "--project", file, "--quiet",
		"--paper", "letter", "--margin", "12mm", "--printed", "99.6x100.1mm", "--dxf", "polylines", "--save-mat", "green mat", "--across", "15=381.5mm")
	if status != 0 {
		t.Fatal(errs)
	}
	if status, out, errs := command("export", file, "--out", again); status != 0 || !strings.Contains(out, "Squared up") {
		t.Fatalf("status %d: %s%s", status, out, errs)
	}
	for _, f := range []string{export.PDFName, export.SVGName, export.DXFName} {
		if !bytes.Equal(contents(t, filepath.Join(made, f)), contents(t, filepath.Join(again, f))) {
			t.Errorf("%s comes out of the project otherwise than it was made", f)
		}
	}
	some := filepath.Join(dir, "some")
	if status, out, errs := command("export", file, "--out", some, "--format", "photos, pattern"); status != 0 || strings.Count(out, "\n") != 2 {
		t.Fatalf("status %d: %s%s", status, out, errs)
	}
	if !bytes.Equal(contents(t, filepath.Join(some, "photograph 1 demo.jpg")), contents(t, demo)) {
		t.Error("the photograph is not as it came")
	}
	if p, err := pattern.Decode(contents(t, filepath.Join(some, "pattern.json"))); err != nil || len(p.Pieces) == 0 {
		t.Errorf("the pattern: %d pieces, %v", len(p.Pieces), err)
	}
	if list, err := os.ReadDir(some); err != nil || len(list) != 2 {
		t.Errorf("%d files were written: %v", len(list), err)
	}
	checkKept(t, file)

	before := contents(t, file)
	status, _, errs = command("make", demo, "--pitch", "1in", "--out", filepath.Join(dir, "other"), "--project", file)
	if status != statusFailed || !strings.Contains(errs, "never written over") || !bytes.Equal(contents(t, file), before) {
		t.Errorf("a project that is there: status %d: %s", status, errs)
	}
}

// checkKept looks at what make put into a project beside the pattern.
func checkKept(t *testing.T, file string) {
	t.Helper()
	p, err := project.OpenReadOnly(context.Background(), file)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	var mats json.RawMessage
	if ok, err := p.Setting(project.ForMat, &mats); !ok || err != nil {
		t.Fatalf("the mat: %v, %v", ok, err)
	}
	if list, err := matprofile.Decode(mats); err != nil || len(list) != 1 || list[0].Name != "green mat" {
		t.Errorf("the mat came back as %+v: %v", list, err)
	}
	photos, err := p.Photos()
	if err != nil || len(photos) != 1 {
		t.Fatalf("%d photographs: %v", len(photos), err)
	}
	var s photoSettings
	if err := json.Unmarshal(photos[0].Settings, &s); err != nil || s.PitchMM != 25.4 || s.Calibration == nil || s.Calibration.Points == 0 {
		t.Errorf("the photograph's settings came back as %s: %v", photos[0].Settings, err)
	}
}

func contents(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// saved writes a project by hand.
func saved(t *testing.T, name string, p pattern.Pattern) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	x, err := project.Create(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	if _, err := x.Commit("drawn", p); err != nil {
		t.Fatal(err)
	}
	return path
}

// A project of which nothing was said is exported the usual way, on the paper
// that is asked for; what cannot be done is one sentence, and writes nothing.
func TestExportOfAProject(t *testing.T) {
	file := saved(t, "helmet.flatwright", specimen.Helmet())
	text := filepath.Join(t.TempDir(), "letter.flatwright")
	if err := os.WriteFile(text, []byte("dear maker"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		args   []string
		status int
		want   string
	}{
		{"usual", []string{file}, statusDone, ""},
		{"bundle on letter", []string{file, "--paper", "letter", "--bundle"}, statusDone, ""},
		{"no dxf", []string{file, "--dxf", "none"}, statusDone, ""},
		{"unknown format", []string{file, "--format", "pdf,png"}, statusUsage, `--format "png" is none of`},
		{"unknown dxf", []string{file, "--dxf", "r13"}, statusUsage, `--dxf "r13" is none of`},
		{"unknown paper", []string{file, "--paper", "foolscap"}, statusUsage, `--paper "foolscap" is not known`},
		{"two projects", []string{file, file}, statusUsage, "give one project"},
		{"no photographs", []string{file, "--format", "photos"}, statusFailed, "holds no photographs"},
		{"no pieces", []string{saved(t, "empty.flatwright", pattern.Pattern{Name: "x"})}, statusFailed, "there are no pieces"},
		{"no such file", []string{file + "x"}, statusFailed, "there is no such file"},
		{"no project", []string{text}, statusFailed, "it is no project of Flatwright"},
	} {
		dir := filepath.Join(t.TempDir(), "out")
		status, _, errs := command(append([]string{"export", "--out", dir}, c.args...)...)
		if status != c.status || !strings.Contains(errs, c.want) || strings.Count(errs, "\n") > 1 {
			t.Errorf("%s: status %d: %q; want %d and %q", c.name, status, errs, c.status, c.want)
		}
		list, err := os.ReadDir(dir)
		if status != statusDone && err == nil {
			t.Errorf("%s: %d files were written", c.name, len(list))
		}
		if want := map[string]int{"usual": 4, "bundle on letter": 5, "no dxf": 3}[c.name]; status == statusDone && len(list) != want {
			t.Errorf("%s: %d files, want %d", c.name, len(list), want)
		}
	}
	if status, _, errs := command("export", file); status != statusUsage || !strings.Contains(errs, "say where to write") {
		t.Errorf("nowhere to write: status %d: %s", status, errs)
	}
}

// Settings that cannot be used do not keep a pattern from being written: the
// usual ones take their place, and it is said.
func TestExportOfUnusableSettings(t *testing.T) {
	for name, set := range map[string]func(*project.Project) error{
		"last written": func(p *project.Project) error {
			return p.SetSetting(project.ForExport, project.Export{Paper: "1e9x1e9", MarginMM: -5})
		},
		"known of the photographs": func(p *project.Project) error { return p.SetSetting(project.ForReport, "no report") },
	} {
		file := saved(t, "helmet.flatwright", specimen.Helmet())
		p, err := project.Open(context.Background(), file)
		if err != nil {
			t.Fatal(err)
		}
		if err := set(p); err != nil {
			t.Fatal(err)
		}
		if err := p.Close(); err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		if status, _, errs := command("export", file, "--out", dir); status != statusDone || !strings.Contains(errs, name) {
			t.Errorf("status %d: %q; want a word on what is %s", status, errs, name)
		}
		if list, err := os.ReadDir(dir); err != nil || len(list) != 4 {
			t.Errorf("%d files: %v", len(list), err)
		}
	}
}

// Names from a stranger's project lead nowhere but into the folder.
func TestPhotoFile(t *testing.T) {
	for name, want := range map[string]string{
		"mat.jpg":                         "photograph 1 mat.jpg",
		"../../etc/passwd":                "photograph 1 .._.._etc_passwd",
		`C:\mat?.jpg`:                     "photograph 1 C__mat_.jpg",
		"..":                              "photograph 1 ..",
		strings.Repeat("ß", 300) + ".jpg": "photograph 1 " + strings.Repeat("ß", 48) + ".jpg",
	} {
		if got := photoFile(0, name); got != want {
			t.Errorf("%q becomes %q, want %q", name, got, want)
		}
	}
}
