package matprofile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

func sample(name string) Profile {
	return Profile{
		Name: name, PitchMM: 25.4, Kind: 1, XFactor: 1.001, YFactor: 0.998, SigmaX: 0.0004, SigmaY: 0.0005,
		Columns: 24, Rows: 18, Ground: &Colour{0x2f, 0x6d, 0x55}, Line: &Colour{0xe6, 0xe2, 0xbd},
		MeasuredOn: "2026-11-25", Note: "curls at the left",
	}
}

func mustSave(t *testing.T, path string, p Profile) {
	t.Helper()
	if err := Save(path, p); err != nil {
		t.Fatal(err)
	}
}

func mustLoad(t *testing.T, path string) []Profile {
	t.Helper()
	all, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func TestSaveLoadForget(t *testing.T) {
	path := filepath.Join(t.TempDir(), "made", "on the way", FileName)
	if all := mustLoad(t, path); len(all) != 0 {
		t.Fatalf("%v from no file", all)
	}
	mustSave(t, path, sample("green"))
	mustSave(t, path, sample("Blue"))
	changed := sample(" GREEN ")
	changed.XFactor = 1.01
	mustSave(t, path, changed)
	all := mustLoad(t, path)
	if len(all) != 2 || all[0].Name != "Blue" || all[1].Name != "GREEN" || all[1].XFactor != 1.01 {
		t.Fatalf("%+v", all)
	}
	if !reflect.DeepEqual(all[0], sample("Blue")) {
		t.Errorf("%+v came back", all[0])
	}
	if err := Forget(path, "green"); err != nil {
		t.Fatal(err)
	}
	if all := mustLoad(t, path); len(all) != 1 || all[0].Name != "Blue" {
		t.Errorf("%+v is left", all)
	}
	var unknown *NotKnownError
	if err := Forget(path, "green"); !errors.As(err, &unknown) {
		t.Errorf("%v", err)
	}
	if err := Forget(filepath.Join(t.TempDir(), FileName), "green"); !errors.As(err, &unknown) {
		t.Errorf("%v from no file", err)
	}
}

// What cannot be is refused, and the file stays as it was.
func TestSaveRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	mustSave(t, path, sample("green"))
	before, _ := os.ReadFile(path)
	for what, spoil := range map[string]func(*Profile){
		"name":        func(p *Profile) { p.Name = "" },
		"pitch_mm":    func(p *Profile) { p.PitchMM = 0.5 },
		"x_factor":    func(p *Profile) { p.XFactor = 1.2 },
		"y_factor":    func(p *Profile) { p.YFactor = 0 },
		"x_sigma":     func(p *Profile) { p.SigmaX = -1 },
		"y_sigma":     func(p *Profile) { p.SigmaY = 0.2 },
		"lines":       func(p *Profile) { p.Kind = -1 },
		"columns":     func(p *Profile) { p.Columns = 0 },
		"measured_on": func(p *Profile) { p.MeasuredOn = "25 Nov" },
		"note":        func(p *Profile) { p.Note = "a\nb" },
	} {
		p := sample("other")
		spoil(&p)
		if err := Save(path, p); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
		t.Error("the file was changed")
	}
}

// A file that cannot be read is named with the place, and never replaced.
func TestDamagedFileIsLeft(t *testing.T) {
	good, err := Encode([]Profile{sample("green"), sample("blue")})
	if err != nil {
		t.Fatal(err)
	}
	twice := bytes.ReplaceAll(good, []byte(`"blue"`), []byte(`"GREEN"`))
	for name, tc := range map[string]struct {
		data []byte
		want string
	}{
		"empty":         {nil, "line 1, character 1"},
		"broken off":    {good[:len(good)/2], "line "},
		"not JSON":      {[]byte("{\n  \"schema\": 1,\n  mats: []\n}\n"), "line 3, character 3"},
		"rubbish after": {append(bytes.Clone(good), "more"...), "line "},
		"wrong kind":    {bytes.Replace(good, []byte("25.4"), []byte(`"wide"`), 1), "line 6"},
		"unknown key":   {bytes.Replace(good, []byte(`"note"`), []byte(`"owner"`), 1), "owner"},
		"no schema":     {[]byte("{}"), "schema"},
		"newer":         {bytes.Replace(good, []byte(`"schema": 1`), []byte(`"schema": 7`), 1), "newer"},
		"newer inside":  {[]byte(`{"schema": 2, "mats": {"a": 1}}`), "newer"},
		"name twice":    {twice, "mat 2"},
		"bad factor":    {bytes.Replace(good, []byte("1.001"), []byte("1e300"), 1), "x_factor"},
		"bad colour":    {bytes.Replace(good, []byte("#2f6d55"), []byte("green"), 1), "colour"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, FileName)
			if err := os.WriteFile(path, tc.data, 0o600); err != nil {
				t.Fatal(err)
			}
			var e *FileError
			for what, err := range map[string]error{
				"Load": second(Load(path)), "Save": Save(path, sample("red")), "Forget": Forget(path, "green"),
			} {
				if !errors.As(err, &e) || !strings.Contains(err.Error(), tc.want) || !strings.Contains(err.Error(), path) ||
					!strings.Contains(err.Error(), "left as it is") {
					t.Errorf("%s: %v; want the file and %q", what, err, tc.want)
				}
			}
			if after, _ := os.ReadFile(path); !bytes.Equal(after, tc.data) {
				t.Error("the file was changed")
			}
			for _, f := range names(t, dir) {
				if f != FileName && f != FileName+".lock" {
					t.Errorf("%s was left behind", f)
				}
			}
		})
	}
}

func second(_ []Profile, err error) error { return err }

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return all
}

// The file a link leads to is changed, and the link stays a link.
func TestThroughALink(t *testing.T) {
	dir := t.TempDir()
	real, link := filepath.Join(dir, "real.json"), filepath.Join(dir, FileName)
	mustSave(t, real, sample("green"))
	if err := os.Symlink(real, link); err != nil {
		t.Skip("SKIPPED: no links here: ", err)
	}
	mustSave(t, link, sample("blue"))
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v", err)
	}
	if all := mustLoad(t, real); len(all) != 2 {
		t.Errorf("%d mats in the file itself", len(all))
	}
}

// helperVariable makes a test binary save mats and quit, as a program beside
// this one.
const helperVariable = "MATPROFILE_SAVE"

const savesEach = 12

func TestMain(m *testing.M) {
	if path := os.Getenv(helperVariable); path != "" {
		for k := range savesEach {
			if err := Save(path, sample(fmt.Sprintf("process %d mat %d", os.Getpid(), k))); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// Several programs and several callers in one save at once; no mat is lost.
func TestNoneIsLost(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	var wait sync.WaitGroup
	for p := range 3 {
		wait.Go(func() {
			c := exec.Command(os.Args[0])
			c.Env = append(os.Environ(), helperVariable+"="+path)
			if out, err := c.CombinedOutput(); err != nil {
				t.Errorf("process %d: %v: %s", p, err, out)
			}
		})
		wait.Go(func() {
			for k := range savesEach {
				if err := Save(path, sample(fmt.Sprintf("caller %d mat %d", p, k))); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	if all := mustLoad(t, path); len(all) != 6*savesEach {
		t.Errorf("%d mats of %d are there", len(all), 6*savesEach)
	}
}

func drawProfile(t *rapid.T) Profile {
	colour := rapid.Custom(func(t *rapid.T) *Colour {
		if rapid.Bool().Draw(t, "none") {
			return nil
		}
		return &Colour{rapid.Byte().Draw(t, "r"), rapid.Byte().Draw(t, "g"), rapid.Byte().Draw(t, "b")}
	})
	p := Profile{
		Name:    rapid.StringMatching(`[\p{L}\p{N}"\\<&][\p{L}\p{N} ]{0,30}[\p{L}\p{N}]`).Draw(t, "name"),
		PitchMM: rapid.Float64Range(1, 1000).Draw(t, "pitch"), Kind: rapid.IntRange(0, 16).Draw(t, "kind"),
		XFactor: rapid.Float64Range(0.951, 1.049).Draw(t, "x"), YFactor: rapid.Float64Range(0.951, 1.049).Draw(t, "y"),
		SigmaX: rapid.Float64Range(0, 0.05).Draw(t, "sx"), SigmaY: rapid.Float64Range(0, 0.05).Draw(t, "sy"),
		Ground: colour.Draw(t, "ground"), Line: colour.Draw(t, "line"),
		MeasuredOn: rapid.SampledFrom([]string{"", "2026-11-25", "1999-02-28"}).Draw(t, "date"),
		Note:       rapid.StringMatching(`(\p{L}[\p{L}\p{N} ]{0,30}\p{L})?`).Draw(t, "note"),
	}
	if rapid.Bool().Draw(t, "whole") {
		p.Columns, p.Rows = rapid.IntRange(1, 90).Draw(t, "columns"), rapid.IntRange(1, 90).Draw(t, "rows")
	}
	return p
}

// What is written is read back the same.
func TestEncodeDecode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Profile
		for range rapid.IntRange(0, 5).Draw(t, "mats") {
			if p := drawProfile(t); index(all, p.Name) < 0 {
				all = append(all, p)
			}
		}
		data, err := Encode(all)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if len(all) != len(back) || len(all) > 0 && !reflect.DeepEqual(all, back) {
			t.Fatalf("%+v came back as %+v", all, back)
		}
	})
}

// Saving and forgetting in any order leaves what a map would hold.
func TestSaveAndForgetInAnyOrder(t *testing.T) {
	dir := t.TempDir()
	round := 0
	rapid.Check(t, func(t *rapid.T) {
		round++
		path := filepath.Join(dir, fmt.Sprintf("%d.json", round))
		want := map[string]float64{}
		for range rapid.IntRange(1, 4).Draw(t, "steps") {
			name := rapid.SampledFrom([]string{"a", "B", "A", "b"}).Draw(t, "name")
			key := strings.ToLower(name)
			if rapid.IntRange(0, 3).Draw(t, "forget") == 0 {
				_, known := want[key]
				if err := Forget(path, name); (err == nil) != known {
					t.Fatalf("forgetting %q: %v", name, err)
				}
				delete(want, key)
				continue
			}
			p := sample(name)
			p.XFactor = rapid.Float64Range(0.951, 1.049).Draw(t, "x")
			if err := Save(path, p); err != nil {
				t.Fatal(err)
			}
			want[key] = p.XFactor
		}
		all, err := Load(path)
		if err != nil || len(all) != len(want) {
			t.Fatalf("%d mats, want %d: %v", len(all), len(want), err)
		}
		for _, p := range all {
			if want[strings.ToLower(p.Name)] != p.XFactor {
				t.Fatalf("%q is %g", p.Name, p.XFactor)
			}
		}
	})
}

// Whatever a file holds, reading it ends in profiles that can be written and
// read again, or in one sentence.
func FuzzDecode(f *testing.F) {
	good, err := Encode([]Profile{sample("green"), {Name: "plain", PitchMM: 10, XFactor: 1, YFactor: 1}})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(good)
	f.Add(good[:len(good)/2])
	f.Add([]byte(`{"schema":2}`))
	f.Add([]byte(`{"schema":1,"mats":[{"name":"a\u202eb","pitch_mm":1e999}]}`))
	f.Add([]byte(`{"schema":1,"mats":null}`))
	f.Add([]byte("\xff\xfe"))
	f.Add([]byte(""))
	f.Fuzz(func(t *testing.T, data []byte) {
		all, err := Decode(data)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" || strings.ContainsRune(err.Error(), '\n') {
				t.Errorf("said %q", err)
			}
			return
		}
		again, err := Encode(all)
		if err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		back, err := Decode(again)
		if err != nil || !reflect.DeepEqual(all, back) {
			t.Errorf("%+v came back as %+v, %v", all, back, err)
		}
	})
}
