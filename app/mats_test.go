package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/app/matprofile"
)

func TestMatsListAndForget(t *testing.T) {
	ownMats(t)
	if status, out, errs := command("mats"); status != 0 || !strings.Contains(out, "--save-mat") || errs != "" {
		t.Errorf("status %d, %q, %q", status, out, errs)
	}
	whole := measuredMat("big green")
	whole.Columns, whole.Rows, whole.Ground, whole.Note = 24, 18, &matprofile.Colour{R: 0x2f, G: 0x69, B: 0x4e}, "curls"
	oneWay := measuredMat("one way")
	oneWay.SigmaY, oneWay.YFactor = 0, 1
	ownMats(t, whole, oneWay, matprofile.Profile{Name: "plain", PitchMM: 10, XFactor: 1, YFactor: 1})
	status, out, _ := command("mats")
	for _, want := range []string{
		"big green: lines 25.4 mm apart; a square is 25.502 × 25.324 mm, ± 0.10 %; 24 × 18 squares; colour #2f694e; 2026-11-25; curls\n",
		"one way: lines 25.4 mm apart; measured one way, a square is 25.502 × 25.400 mm, ± 0.08 %; 2026-11-25\n",
		"plain: lines 10 mm apart; not measured\n",
	} {
		if status != 0 || !strings.Contains(out, want) {
			t.Errorf("status %d, no %q in:\n%s", status, want, out)
		}
	}
	if status, out, errs := command("mats", "forget", "BIG green"); status != 0 || !strings.Contains(out, `"big green" is forgotten`) {
		t.Errorf("status %d, %q, %q", status, out, errs)
	}
	if _, out, _ := command("mats"); strings.Contains(out, "big green") || !strings.Contains(out, "plain") {
		t.Errorf("after forgetting:\n%s", out)
	}
	refused(t, []string{"mats", "forget", "big green"}, statusUsage, `"one way", "plain"`)
	refused(t, []string{"mats", "forget"}, statusUsage, "which mat")
	refused(t, []string{"mats", "forget", "one", "way"}, statusUsage, "in quotes")
	refused(t, []string{"mats", "lose", "plain"}, statusUsage, "lose")
	if status, out, _ := command("mats", "--help"); status != 0 || !strings.Contains(out, "forget NAME") {
		t.Errorf("help: status %d, %q", status, out)
	}
}

// A list of mats that is damaged or newer is refused with its place and stays
// as it is; work that asks for no mat goes on.
func TestDamagedMats(t *testing.T) {
	for what, text := range map[string]string{
		"line 2, character 3": "{\n  schema: 1}\n",
		"newer":               `{"schema": 99, "mats": []}`,
	} {
		path := ownMats(t)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		dir := filepath.Join(t.TempDir(), "out")
		for _, args := range [][]string{
			{"mats"},
			{"mats", "forget", "x"},
			{"make", demo, "--mat", "x", "--out", dir},
			{"make", demo, "--pitch", "1in", "--save-mat", "x", "--out", dir},
			{"square", demo, "--mat", "x"},
		} {
			refused(t, args, statusFailed, what)
			refused(t, args, statusFailed, path)
		}
		if _, err := os.Stat(dir); !os.IsNotExist(err) {
			t.Errorf("%s was left behind", dir)
		}
		if status, _, errs := command("square", demo, "--pitch", "1in"); status != 0 || errs != "" {
			t.Errorf("without a mat: status %d, %q", status, errs)
		}
		if after, _ := os.ReadFile(path); string(after) != text {
			t.Errorf("the list was changed to %q", after)
		}
	}
}

// A list that cannot be written comes too late for the pattern, which is
// there, and is said so; where nothing else was asked for, nothing is printed.
func TestMatCannotBeKept(t *testing.T) {
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	path := ownMats(t)
	if err := os.MkdirAll(path+".lock", 0o755); err != nil { // in the way of the lock
		t.Fatal(err)
	}
	photo, dir := d.write(t, 0), t.TempDir()
	refused(t, []string{"square", photo, "--pitch", "1in", "--save-mat", "mine"}, statusFailed, "mats.json cannot be written")
	refused(t, []string{"make", photo, "--pitch", "1in", "--save-mat", "mine", "--out", dir}, statusFailed, "pattern was written to "+dir)
	if _, err := os.Stat(filepath.Join(dir, "pattern.pdf")); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Error("a list was written after all")
	}
}
