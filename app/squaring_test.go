package main

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"flatwright/app/matprofile"
	"flatwright/rectify"
	"flatwright/rectify/photo"

	"pgregory.net/rapid"
)

// TestMain keeps the tests away from the user's own mats.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "flatwright-settings-")
	if err != nil {
		panic(err)
	}
	os.Setenv("XDG_CONFIG_HOME", dir)
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}

// ownMats gives a test a list of mats of its own.
func ownMats(t *testing.T, all ...matprofile.Profile) (path string) {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	path, err := matprofile.DefaultPath()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		if err := matprofile.Save(path, p); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

func measuredMat(name string) matprofile.Profile {
	return matprofile.Profile{
		Name: name, PitchMM: 25.4, Kind: 1, XFactor: 1.004, YFactor: 0.997, SigmaX: 0.0004, SigmaY: 0.0005, MeasuredOn: "2026-11-25",
	}
}

// What cannot be meant is refused before any photograph is opened, in one
// sentence, with status 2 and nothing written.
func TestSquaringUsage(t *testing.T) {
	four := strings.Fields("--crossing 10,10=0,0 --crossing 90,10=4,0 --crossing 90,90=4,4 --crossing 10,90=0,4")
	corners := strings.Fields("--corner 10,10 --corner 90,10 --corner 90,90 --corner 10,90")
	for name, tc := range map[string]struct {
		args string
		more []string
		want string
	}{
		"nothing":                 {"", nil, "how far apart"},
		"span of words":           {"--pitch 1in --across twenty", nil, "20=508.4mm"},
		"span without a length":   {"--pitch 1in --down 20=", nil, "20=508.4mm"},
		"span of no squares":      {"--pitch 1in --down 0=10mm", nil, "20=508.4mm"},
		"span far off":            {"--pitch 1in --across 20=480mm", nil, "count the squares"},
		"span, but no pitch":      {"--across 20=508mm", nil, "how far apart"},
		"unknown mat":             {"--mat pink", nil, `there are "green"`},
		"mat and another pitch":   {"--mat green --pitch 10mm", nil, "leave --pitch out"},
		"mat and other lines":     {"--mat green --lines 2", nil, "leave --lines out"},
		"mat and span":            {"--mat green --across 20=508mm", nil, "both give the scale"},
		"mat and save":            {"--mat green --save-mat other", nil, "leave one of them out"},
		"turned, but no mat":      {"--pitch 1in --mat-turned", nil, "--mat-turned goes with --mat"},
		"save with no name":       {"--pitch 1in --save-mat", []string{"  "}, "needs a name"},
		"save over what is known": {"--pitch 1in --save-mat GREEN", nil, "would lose"},
		"save a name too long":    {"--pitch 1in --save-mat " + strings.Repeat("x", 61), nil, "60"},
		"lines below nought":      {"--pitch 1in --lines -1", nil, "--lines"},
		"lines of words":          {"--pitch 1in --lines wide", nil, "-lines"},
		"raised of words":         {"--pitch 1in --raised thick", nil, "--raised"},
		"raised too much":         {"--pitch 1in --raised 300mm", nil, "--raised"},
		"camera height alone":     {"--pitch 1in --camera-height 600mm", nil, "goes with --raised"},
		"camera in the foam":      {"--pitch 1in --raised 20mm --camera-height 15mm", nil, "greater than"},
		"three crossings":         {"--pitch 1in", four[:6], "it is there 3 times"},
		"crossing of words":       {"--pitch 1in --crossing a,b=0,0", four, "1012.5,733=4,0"},
		"crossing, half a count":  {"--pitch 1in --crossing 5,5=0.5,0", four, "1012.5,733=4,0"},
		"crossing nowhere":        {"--pitch 1in --crossing NaN,5=0,0", four, "1012.5,733=4,0"},
		"corner, no sheet":        {"--pitch 1in", corners, "--sheet a4"},
		"sheet, three corners":    {"--sheet a4", corners[:6], "it is there 3 times"},
		"sheet, five corners":     {"--sheet a4 --corner 50,5", corners, "it is there 5 times"},
		"sheet and pitch":         {"--sheet a4 --pitch 1in", corners, "leave out --sheet"},
		"sheet and mat":           {"--sheet a4 --mat green", corners, "leave out --sheet"},
		"sheet and crossings":     {"--sheet a4", append(append([]string{}, corners...), four...), "leave out --sheet"},
		"unknown sheet":           {"--sheet b9", corners, "a4"},
		"sheet of one length":     {"--sheet 300mm", corners, "300x200mm"},
		"corner of words":         {"--sheet a4 --corner here", corners[:6], "1012.5,733"},
		"check without a length":  {"--pitch 1in --check 1,1:2,2", nil, "812,644:2310,655=300mm"},
		"check of one place":      {"--pitch 1in --check 1,1:1,1=3mm", nil, "812,644:2310,655=300mm"},
		"check of nought":         {"--pitch 1in --check 1,1:2,2=0mm", nil, "812,644:2310,655=300mm"},
		"unknown option":          {"--pitch 1in --squares 3", nil, "--help"},
	} {
		t.Run(name, func(t *testing.T) {
			ownMats(t, measuredMat("green"))
			args := append(strings.Fields(tc.args), tc.more...)
			dir := filepath.Join(t.TempDir(), "out")
			for _, command := range [][]string{{"make", "nowhere.jpg", "--out", dir}, {"square", "nowhere.jpg"}} {
				refused(t, append(command, args...), statusUsage, tc.want)
			}
			if _, err := os.Stat(dir); !os.IsNotExist(err) {
				t.Errorf("%s was left behind", dir)
			}
		})
	}
}

// refused runs the program and wants one sentence with a word in it, and
// nothing else.
func refused(t *testing.T, args []string, status int, want string) {
	t.Helper()
	got, out, errs := command(args...)
	if got != status || !strings.Contains(errs, want) {
		t.Errorf("%v: status %d, said %q; want %d and something with %q", args, got, errs, status, want)
	}
	if strings.Count(strings.TrimSpace(errs), "\n") != 0 || out != "" {
		t.Errorf("%v: want one sentence on standard error alone, got %q and %q", args, errs, out)
	}
}

// What belongs to one photograph is refused with two.
func TestOnePhotographOnly(t *testing.T) {
	for _, args := range []string{
		"--pitch 1in --check 1,1:2,2=3mm", "--pitch 1in --save-mat mine", "--pitch 1in --raised 5mm --camera-height 600mm",
		"--sheet a4 --corner 1,1 --corner 9,1 --corner 9,9 --corner 1,9",
	} {
		refused(t, append([]string{"make", "a.jpg", "b.jpg", "--out", "nowhere"}, strings.Fields(args)...), statusUsage, "one photograph only")
	}
	refused(t, []string{"square", "a.jpg", "b.jpg", "--pitch", "1in"}, statusUsage, "one photograph, not 2")
	refused(t, []string{"square", "--pitch", "1in"}, statusUsage, "no photograph given")
}

// What the options say reaches the squaring up as it was meant.
func TestSquaringOptions(t *testing.T) {
	ownMats(t, measuredMat("big green"))
	a, err := parseMake([]string{
		"a.jpg", "--out", "x", "--pitch", "1in", "--across", "20=508.4mm", "--down", "15 = 38 cm", "--lines", "2",
		"--raised", "3/8in", "--camera-height", "62cm", "--check", "812.5,644:2310,655=300mm",
		"--crossing", "10,10=0,0", "--crossing=90.25, 10=4,0", "--crossing", "90,90=4,4", "--crossing", "10,90=-1,4",
	}, os.Stderr)
	if err != nil {
		t.Fatal(err)
	}
	o := a.squaring.options
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	near("pitch", o.PitchMM, 25.4)
	near("across", o.Scale.X, 508.4/508)
	near("down", o.Scale.Y, 380/381.0)
	near("thickness", o.Raised.ThicknessMM, 9.525)
	near("camera", o.Raised.CameraHeightMM, 620)
	if o.Scale.Source != rectify.FromRule || o.Kind != 2 || o.Rectangle != nil || len(o.Corners) != 4 {
		t.Errorf("%+v", o)
	}
	if o.Corners[1] != (rectify.Corner{At: photo.Point{X: 90.25, Y: 10}, Column: 4}) || o.Corners[3].Column != -1 {
		t.Errorf("crossings %+v", o.Corners)
	}
	if want := (distance{photo.Point{X: 812.5, Y: 644}, photo.Point{X: 2310, Y: 655}, 300}); len(a.squaring.known) != 1 || a.squaring.known[0] != want {
		t.Errorf("check %+v", a.squaring.known)
	}
	a, err = parseMake([]string{"a.jpg", "b.jpg", "--out", "x", "--mat", "BIG green", "--mat-turned", "--pitch", "25.4mm"}, os.Stderr)
	if err != nil {
		t.Fatal(err)
	}
	o = a.squaring.options
	if o.PitchMM != 25.4 || o.Scale.X != 0.997 || o.Scale.SigmaX != 0.0005 || o.Scale.Source != rectify.FromProfile || o.Scale.Name != "big green" || o.Kind != 1 {
		t.Errorf("from the profile: %+v", o)
	}
}

func TestParseSheet(t *testing.T) {
	for text, want := range map[string]rectify.Rectangle{
		"a4":               {Name: "A4", WidthMM: 210, HeightMM: 297},
		"A4-Landscape":     {Name: "A4", WidthMM: 297, HeightMM: 210},
		"letter":           {Name: "Letter", WidthMM: 215.9, HeightMM: 279.4},
		"300x200mm":        {WidthMM: 300, HeightMM: 200},
		"200 mm × 30 cm":   {WidthMM: 200, HeightMM: 300},
		"12x9in":           {WidthMM: 304.8, HeightMM: 228.6},
		"8 1/2 x 11 in":    {WidthMM: 215.9, HeightMM: 279.4},
		"300x200":          {WidthMM: 300, HeightMM: 200},
		"30x20cm":          {WidthMM: 300, HeightMM: 200},
		"1,200x2,400mm":    {},
		"a4-landscape-ish": {}, "x": {}, "300x": {}, "x200mm": {}, "-300x200mm": {}, "300x200x100": {}, "300x200mm-landscape": {}, "": {},
	} {
		got, err := parseSheet(text)
		var usage *usageError
		if want == (rectify.Rectangle{}) {
			if !errors.As(err, &usage) {
				t.Errorf("%q: %+v, %v", text, got, err)
			}
			continue
		}
		if err != nil || got.Name != want.Name || math.Abs(got.WidthMM-want.WidthMM) > 1e-9 || math.Abs(got.HeightMM-want.HeightMM) > 1e-9 {
			t.Errorf("%q: %+v, %v; want %+v", text, got, err, want)
		}
	}
}

// Whatever is typed, the values are read to something finite, or refused in a
// sentence.
func TestValuesOfAnyText(t *testing.T) {
	text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[0-9a.,:=x×/ min-]{0,24}`))
	rapid.Check(t, func(t *rapid.T) {
		s := text.Draw(t, "text")
		var values []float64
		if c, err := parseCrossing(s); err == nil {
			values = append(values, c.At.X, c.At.Y)
		}
		if v, err := parseSpan("--across", s); err == nil {
			values = append(values, v.Squares, v.LengthMM)
		}
		if d, err := parseDistance(s); err == nil {
			values = append(values, d.from.X, d.to.Y, d.knownMM)
		}
		if r, err := parseSheet(s); err == nil {
			values = append(values, r.WidthMM, r.HeightMM)
		}
		for _, v := range values {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%q gives %g", s, v)
			}
		}
	})
}
