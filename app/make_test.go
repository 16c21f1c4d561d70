package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

const demo = "../assets/demo.jpg"

// command runs the program and returns its status and what it printed.
func command(args ...string) (status int, out, errs string) {
	var o, e bytes.Buffer
	status = run(context.Background(), args, &o, &e)
	return status, o.String(), e.String()
}

// readTruth reads the truth beside a drawn photograph.
func readTruth(t *testing.T, path string) scene.Truth {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	truth, err := scene.ReadTruth(f)
	if err != nil {
		t.Fatal(err)
	}
	return truth
}

// The demo photograph goes in, and the SVG that comes out is scored against
// the truth the photograph was drawn from: one rigid motion of the whole
// sheet, no scale. The bounds are the accuracy we hold ourselves to (outline
// RMS 0.10 mm, worst 0.35 mm, every piece and opening, 95 % of the marks and
// at most 2 % invented).
func TestDemoAgainstItsTruth(t *testing.T) {
	dir := t.TempDir()
	status, out, errs := command("make", demo, "--pitch", "1in", "--out", dir)
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	if !strings.Contains(out, "Squared up") {
		t.Errorf("the report is missing: %q", out)
	}
	for _, f := range []string{"pattern.pdf", "pattern.svg", "pattern.dxf", "report.json"} {
		if info, err := os.Stat(filepath.Join(dir, f)); err != nil || info.Size() < 1000 {
			t.Errorf("%s: %v", f, err)
		}
	}
	r := scene.Score(readTruth(t, "../assets/demo.truth.json"), readSVG(t, filepath.Join(dir, "pattern.svg")))
	t.Logf("demo: outline RMS %.3f mm (back %.3f), worst %.3f mm (back %.3f); %d of %d marks, %d invented",
		r.FoundToTruth.RMSMM, r.TruthToFound.RMSMM, r.FoundToTruth.WorstMM, r.TruthToFound.WorstMM, r.MarksFound, r.Marks, r.MarksInvented)
	if len(r.Missing) > 0 || len(r.Invented) > 0 || r.OpeningsMissing > 0 || r.OpeningsInvented > 0 {
		t.Errorf("pieces missing %v, invented %v; openings missing %d, invented %d", r.Missing, r.Invented, r.OpeningsMissing, r.OpeningsInvented)
	}
	if rms := max(r.FoundToTruth.RMSMM, r.TruthToFound.RMSMM); rms > 0.10 {
		t.Errorf("outline RMS %.3f mm, want at most 0.10", rms)
	}
	if worst := max(r.FoundToTruth.WorstMM, r.TruthToFound.WorstMM); worst > 0.35 {
		t.Errorf("outline worst %.3f mm, want at most 0.35", worst)
	}
	if r.MarksFoundPart() < 0.95 || float64(r.MarksInvented) > 0.02*float64(r.Marks) {
		t.Errorf("%d of %d marks found, %d invented; want 95 %% and at most 2 %%", r.MarksFound, r.Marks, r.MarksInvented)
	}
}

// The report's keys are a promise to other programs.
func TestReportKeys(t *testing.T) {
	status, out, errs := command("make", "--json", demo, "--pitch=25.4mm", "--out", t.TempDir(), "--paper", "letter")
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var r struct {
		Calibration struct {
			Crossings int     `json:"crossings_used"`
			RMSPx     float64 `json:"rms_px"`
			PitchMM   float64 `json:"pitch_mm"`
			PlusMinus struct {
				MedianMM float64 `json:"median_mm"`
			} `json:"plus_minus"`
			Lens struct {
				Terms []string `json:"terms"`
			} `json:"lens"`
		} `json:"calibration"`
		Pieces []struct {
			AreaMM2     float64 `json:"area_mm2"`
			PerimeterMM float64 `json:"perimeter_mm"`
			Nodes       int     `json:"nodes"`
		} `json:"pieces"`
		Seams    []any `json:"seams"`
		Findings []any `json:"findings"`
	}
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	c := r.Calibration
	if c.Crossings < 50 || c.RMSPx <= 0 || c.PitchMM != 25.4 || c.PlusMinus.MedianMM <= 0 || len(c.Lens.Terms) == 0 {
		t.Errorf("calibration is not filled in: %+v", c)
	}
	for i, p := range r.Pieces {
		if p.AreaMM2 < 100 || p.PerimeterMM < 40 || p.Nodes < 2 {
			t.Errorf("piece %d is not filled in: %+v", i, p)
		}
	}
	if r.Seams == nil || r.Findings == nil {
		t.Error("seams and findings are lists even when empty")
	}
}

// The same photograph gives the same bytes when the date is given.
func TestSameBytes(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "1795000000")
	var first [2][]byte
	for round := range 2 {
		dir := t.TempDir()
		if status, _, errs := command("make", demo, "--pitch", "1in", "--out", dir, "--quiet"); status != 0 {
			t.Fatal(errs)
		}
		for k, f := range []string{"pattern.pdf", "pattern.svg"} {
			data, err := os.ReadFile(filepath.Join(dir, f))
			if err != nil {
				t.Fatal(err)
			}
			if round == 1 && !bytes.Equal(first[k], data) {
				t.Errorf("%s differs from one run to the next", f)
			}
			first[k] = data
		}
	}
}

// Two photographs make one pattern: the second's pieces come below the
// first's, lettered on.
func TestTwoPhotographs(t *testing.T) {
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	one, two, photo := t.TempDir(), t.TempDir(), d.write(t, 0)
	if status, _, errs := command("make", photo, "--pitch", "1in", "--out", one); status != 0 {
		t.Fatal(errs)
	}
	if status, _, errs := command("make", photo, photo, "--pitch", "1in", "--out", two); status != 0 {
		t.Fatal(errs)
	}
	a, b := readSVG(t, filepath.Join(one, "pattern.svg")), readSVG(t, filepath.Join(two, "pattern.svg"))
	if len(b) != 2*len(a) {
		t.Fatalf("%d pieces of two photographs, want twice %d", len(b), len(a))
	}
	height := 0.0
	for _, o := range b[:len(a)] {
		for _, p := range o.Polygon {
			height = max(height, p.Y)
		}
	}
	for _, o := range b[len(a):] {
		for _, p := range o.Polygon {
			if p.Y < height {
				t.Fatalf("a piece of the second photograph lies at y %.1f mm, among the first's that reach down to %.1f", p.Y, height)
			}
		}
	}
}

// What cannot be done is one sentence, a status that is not 0, and no file.
func TestRefusals(t *testing.T) {
	blank := writeJPEG(t, "blank.jpg", 1200, 900)
	text := filepath.Join(t.TempDir(), "notes.jpg")
	if err := os.WriteFile(text, []byte("not a photograph"), 0o600); err != nil {
		t.Fatal(err)
	}
	full, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	half := filepath.Join(t.TempDir(), "half.jpg")
	if err := os.WriteFile(half, full[:len(full)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	for name, tc := range map[string]struct {
		args   []string
		status int
		want   string
	}{
		"no photograph":    {[]string{"--pitch", "1in"}, 2, "no photograph"},
		"no pitch":         {[]string{demo}, 2, "how far apart"},
		"absurd pitch":     {[]string{demo, "--pitch", "2000mm"}, 2, "from 1 mm to 1000 mm"},
		"pitch of words":   {[]string{demo, "--pitch", "wide"}, 2, "not a length"},
		"unknown paper":    {[]string{demo, "--pitch", "1in", "--paper", "b9"}, 2, "paper"},
		"unknown option":   {[]string{demo, "--pitch", "1in", "--colour"}, 2, "--help"},
		"missing file":     {[]string{"nowhere.jpg", "--pitch", "1in"}, 1, "nowhere.jpg"},
		"not a photograph": {[]string{text, "--pitch", "1in"}, 1, "notes.jpg"},
		"cut in half":      {[]string{half, "--pitch", "1in"}, 1, "half.jpg"},
		"no mat":           {[]string{blank, "--pitch", "1in"}, 1, "no mat lines"},
		"second one bad":   {[]string{demo, blank, "--pitch", "1in"}, 1, "blank.jpg"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "out")
			status, out, errs := command(append([]string{"make", "--out", dir}, tc.args...)...)
			if status != tc.status || !strings.Contains(errs, tc.want) {
				t.Errorf("status %d, said %q; want %d and something with %q", status, errs, tc.status, tc.want)
			}
			if strings.Count(strings.TrimSpace(errs), "\n") != 0 || out != "" {
				t.Errorf("want one sentence on standard error alone, got %q and %q", errs, out)
			}
			if _, err := os.Stat(dir); !os.IsNotExist(err) {
				t.Errorf("%s was left behind", dir)
			}
		})
	}
}

// A folder that cannot be written to leaves what was there as it was.
func TestOutIsAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "taken")
	if err := os.WriteFile(file, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	status, _, errs := command("make", d.write(t, 0), "--pitch", "1in", "--out", file)
	if status != 1 || !strings.Contains(errs, "taken") {
		t.Errorf("status %d, said %q", status, errs)
	}
	if data, _ := os.ReadFile(file); string(data) != "mine" {
		t.Error("the file was changed")
	}
}

// writeJPEG writes an even grey photograph.
func writeJPEG(t *testing.T, name string, w, h int) string {
	t.Helper()
	p := &photo.Photo{Width: w, Height: h, RGB: bytes.Repeat([]byte{120}, 3*w*h), Luma: bytes.Repeat([]byte{120}, w*h)}
	path := filepath.Join(t.TempDir(), name)
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := scene.EncodeJPEG(f, p, 90, scene.Tags{Orientation: 1, Focal35MM: 26}); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}
