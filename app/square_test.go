package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"flatwright/app/matprofile"
	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// A mat printed with errors, measured with a rule: the pieces come out at
// their true size, which they do not when the print is taken as true. Kept and
// used by its name, the mat gives the same pattern to the byte.
func TestRuleAndProfile(t *testing.T) {
	ownMats(t)
	t.Setenv("SOURCE_DATE_EPOCH", "1795000000")
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	path := d.write(t, 0)
	dir := t.TempDir()
	plain, _ := made(t, d, t.TempDir(), path, "--pitch", "1in")
	measured := slices.Concat([]string{path, "--pitch", "1in", "--save-mat", "shrunk down"}, rule("--across", 15, stretchX), rule("--down", 10, stretchY))
	ruled, text := made(t, d, dir, measured...)
	if ruled.FoundToTruth.RMSMM > 0.10 {
		t.Errorf("measured: RMS %.3f mm, worst %.3f mm", ruled.FoundToTruth.RMSMM, ruled.FoundToTruth.WorstMM)
	}
	// The worst place is a matter of pixels, a third of a millimetre each here.
	if plain.FoundToTruth.RMSMM < 8*ruled.FoundToTruth.RMSMM || plain.FoundToTruth.WorstMM < 3*ruled.FoundToTruth.WorstMM {
		t.Errorf("not measured: RMS %.3f mm, worst %.3f mm; the rule made little difference", plain.FoundToTruth.RMSMM, plain.FoundToTruth.WorstMM)
	}
	if !strings.Contains(text, "Scale measured with a steel rule: a square is 25.5") {
		t.Errorf("the report does not say where the scale came from:\n%s", text)
	}
	again := t.TempDir()
	if status, _, errs := command("make", "--out", again, "--quiet", path, "--mat", "SHRUNK down"); status != 0 {
		t.Fatal(errs)
	}
	if file(t, again, "pattern.svg") != file(t, dir, "pattern.svg") {
		t.Error("the mat's profile and the rule give different patterns")
	}
	if note := `"source": "mat profile"`; !strings.Contains(file(t, again, "report.json"), note) {
		t.Errorf("no %s in the report", note)
	}
}

func file(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// A measured mat that lies turned by a quarter: the count of squares proves
// it where all of the mat is in view; elsewhere the maker says so.
func TestMatTurned(t *testing.T) {
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	m := d.spec.Mat
	known := matprofile.Profile{Name: "mine", PitchMM: 25.4, XFactor: stretchX, YFactor: stretchY, SigmaX: 3e-4, SigmaY: 4e-4, Columns: m.Columns, Rows: m.Rows}
	ownMats(t, known)
	upright, side := d.write(t, 0), d.write(t, 1)

	r, _ := squareJSON(t, upright, "--mat", "mine")
	near(t, "across, as measured", r.Calibration.Scale.PitchXMM, 25.4*stretchX, 1e-5)
	r, _ = squareJSON(t, side, "--mat", "mine")
	near(t, "across, turned", r.Calibration.Scale.PitchXMM, 25.4*stretchY, 1e-5)
	near(t, "down, turned", r.Calibration.Scale.PitchYMM, 25.4*stretchX, 1e-5)
	if len(r.Problems) > 0 {
		t.Errorf("the turn is proven, yet: %+v", r.Problems)
	}
	r, _ = squareJSON(t, side, "--mat", "mine", "--mat-turned")
	near(t, "across, said to be turned", r.Calibration.Scale.PitchXMM, 25.4*stretchY, 1e-5)
	refused(t, []string{"square", upright, "--mat", "mine", "--mat-turned"}, statusUsage, "leave out --mat-turned")

	part := d.cropped(d.photo.Width/4, d.photo.Height/4, d.photo.Width/2, d.photo.Height/2).write(t, 1)
	r, _ = squareJSON(t, part, "--mat", "mine")
	near(t, "across, not proven", r.Calibration.Scale.PitchXMM, 25.4*stretchX, 1e-5)
	if !hasProblem(r, "--mat-turned") {
		t.Errorf("nothing said of a turn that cannot be told: %+v", r.Problems)
	}
	r, _ = squareJSON(t, part, "--mat", "mine", "--mat-turned")
	near(t, "across, said", r.Calibration.Scale.PitchXMM, 25.4*stretchY, 1e-5)
	if len(r.Problems) > 0 {
		t.Errorf("%+v", r.Problems)
	}

	known.Columns, known.Rows = 5, 4
	ownMats(t, known)
	if r, _ = squareJSON(t, upright, "--mat", "mine"); !hasProblem(r, "has 5 × 4") {
		t.Errorf("nothing said of more squares than the mat has: %+v", r.Problems)
	}
}

// A mat that is kept is pointed out when a photograph looks like it and
// nothing was said of the scale; it is never used unasked.
func TestHint(t *testing.T) {
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	ownMats(t)
	path := d.write(t, 0)
	measured := slices.Concat([]string{path, "--pitch", "1in"}, rule("--across", 15, stretchX), rule("--down", 10, stretchY))
	_, said := squareJSON(t, append(measured, "--save-mat", "my green one")...)
	if !strings.Contains(said, `Kept as the mat "my green one": lines 25.4 mm apart; a square is 25.5`) {
		t.Errorf("said %q", said)
	}
	hint := `This looks like your mat "my green one"`
	r, said := squareJSON(t, path, "--pitch", "1in")
	if !strings.HasPrefix(said, hint) || strings.Count(said, "\n") != 1 || r.Calibration.Scale.Source != "pitch" || r.Calibration.Scale.XFactor != 1 {
		t.Errorf("said %q, scale %+v", said, r.Calibration.Scale)
	}
	dir := t.TempDir()
	if status, _, said := command("make", path, "--pitch", "1in", "--out", dir); status != 0 || !strings.HasPrefix(said, hint) {
		t.Errorf("make: status %d, said %q", status, said)
	}
	for _, args := range [][]string{{path, "--pitch", "1in", "--quiet"}, measured, {path, "--mat", "my green one"}} {
		if status, _, said := command(append([]string{"square"}, args...)...); status != 0 || said != "" {
			t.Errorf("%v: status %d, said %q", args, status, said)
		}
	}
	path2, err := matprofile.DefaultPath()
	if err != nil {
		t.Fatal(err)
	}
	blue := matprofile.Colour{R: 0x27, G: 0x48, B: 0x82}
	p := measuredMat("my green one")
	p.Ground = &blue
	if err := matprofile.Save(path2, p); err != nil {
		t.Fatal(err)
	}
	if _, said := squareJSON(t, path, "--pitch", "1in"); said != "" {
		t.Errorf("a blue mat is offered for a green one: %q", said)
	}
}

// Crossings given by their pixels start the squaring up; their numbering is
// kept, and one outside the photograph is named.
func TestCrossingsAndChecks(t *testing.T) {
	ownMats(t)
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	path := d.write(t, 0)
	m := d.spec.Mat
	args := []string{path, "--pitch", "1in"}
	args = append(args, rule("--across", 15, stretchX)...)
	args = append(args, rule("--down", 10, stretchY)...)
	auto, _ := squareJSON(t, args...)
	for _, c := range [][2]string{{"0", "0"}, {"c", "0"}, {"c", "r"}, {"0", "r"}} {
		column, row := 0, 0
		if c[0] == "c" {
			column = m.Columns
		}
		if c[1] == "r" {
			row = m.Rows
		}
		at := d.at(float64(column), float64(row))
		at.X, at.Y = at.X+1.5, at.Y-1
		args = append(args, "--crossing", pixels(at)+"="+itoa(column)+","+itoa(row))
	}
	from, to := d.at(1, 1), d.at(float64(m.Columns-1), float64(m.Rows-2))
	known := d.distanceMM(1, 1, float64(m.Columns-1), float64(m.Rows-2))
	args = append(args, "--check", pixels(from)+":"+pixels(to)+"="+mm(known), "--check", pixels(from)+":"+pixels(to)+"="+mm(known+3))
	r, _ := squareJSON(t, args...)
	c := r.Calibration
	if c.Points < auto.Calibration.Points/2 {
		t.Errorf("%d points of the lines from crossings, %d without", c.Points, auto.Calibration.Points)
	}
	if len(c.Checks) != 2 {
		t.Fatalf("%d checks", len(c.Checks))
	}
	// The rule was read to 0.1 mm in 260: 0.04 % of the length, and the pixels
	// are rounded.
	near(t, "the check", c.Checks[0].MeasuredMM, known, 0.0006*known)
	near(t, "its difference", c.Checks[1].DifferenceMM, c.Checks[0].DifferenceMM-3, 0.001)
	if c.Checks[0].PlusMinusMM <= 0 {
		t.Errorf("± %g mm", c.Checks[0].PlusMinusMM)
	}
	status, text, _ := command(append([]string{"square"}, args...)...)
	if status != 0 || strings.Count(text, "Check: ") != 2 {
		t.Errorf("status %d:\n%s", status, text)
	}
	for _, extra := range [][]string{{"--crossing", "9000,10=3,3"}, {"--check", "10,10:20,99999=5mm"}} {
		refused(t, append(append([]string{"square"}, args...), extra...), statusUsage, "lies outside")
	}
	// A count that the lines contradict is refused, and says which.
	wrong := strings.Replace(strings.Join(args, "\n"), "="+itoa(m.Columns)+","+itoa(m.Rows), "="+itoa(m.Columns)+","+itoa(m.Rows-1), 1)
	refused(t, append([]string{"square"}, strings.Split(wrong, "\n")...), statusFailed, "check")
}

// The maker may say which of the printed lines the pitch means: the same mat
// by its widest lines and by its finer ones.
func TestWhichLines(t *testing.T) {
	ownMats(t)
	d, err := stretchedMat()
	if err != nil {
		t.Fatal(err)
	}
	path, fineMM := d.write(t, 0), 25.4/float64(d.spec.Mat.MinorPerPitch)
	wide, _ := squareJSON(t, path, "--pitch", "1in", "--lines", "1")
	fine, _ := squareJSON(t, path, "--pitch", mm(fineMM), "--lines", "2")
	for name, c := range map[string]calibrationReport{"wide": wide.Calibration, "fine": fine.Calibration} {
		if len(c.Spacings) != 2 {
			t.Fatalf("%s: spacings %v", name, c.Spacings)
		}
		near(t, name+": the wide lines", c.Spacings[0], 25.4, 0.01)
		near(t, name+": the fine lines", c.Spacings[1], fineMM, 0.01)
	}
	near(t, "mm per pixel by the fine lines", fine.Calibration.MMPerPx, wide.Calibration.MMPerPx, 0.01*wide.Calibration.MMPerPx)
	refused(t, []string{"square", path, "--pitch", "1in", "--lines", "7"}, statusFailed, "choose 1")
}

// A mat that swells up is refused with its place, and nothing is written.
func TestBentMat(t *testing.T) {
	ownMats(t)
	d, err := drawn(scene.Random(63, scene.RandomOptions{
		Megapixels: 2, PitchMM: 25.4, MatColour: "grey", MinFocal35MM: 26, MaxFocal35MM: 26, MaxTiltDeg: 8, MaxPieces: 1,
		Bump: scene.Bump{At: mat.Point{X: 250, Y: 180}, AmplitudeMM: 14, RadiusMM: 170},
	}))
	if err != nil {
		t.Fatal(err)
	}
	path, dir := d.write(t, 0), filepath.Join(t.TempDir(), "out")
	refused(t, []string{"square", path, "--pitch", "1in"}, statusFailed, "does not lie flat")
	refused(t, []string{"make", path, "--pitch", "1in", "--out", dir}, statusFailed, "does not lie flat")
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("%s was left behind", dir)
	}
}

// The square command's refusals are one sentence each.
func TestSquareRefusals(t *testing.T) {
	blank := writeJPEG(t, "blank.jpg", 1200, 900)
	refused(t, []string{"square", blank, "--pitch", "1in"}, statusFailed, "no mat lines")
	refused(t, []string{"square", "nowhere.jpg", "--pitch", "1in"}, statusFailed, "nowhere.jpg")
	if status, out, _ := command("square", "--help"); status != 0 || !strings.Contains(out, "-save-mat") || !strings.Contains(out, "steel rule") {
		t.Errorf("help: status %d, %q", status, out)
	}
}
