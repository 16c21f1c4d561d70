package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// sheetOnTable is a photograph of pieces and a sheet of A4 on a table.
var sheetOnTable = sync.OnceValues(func() (drawing, error) {
	return drawn(scene.RandomSheet(515, scene.SheetA4, scene.RandomOptions{
		Megapixels: 2, MinFocal35MM: 26, MaxFocal35MM: 26, MaxTiltDeg: 12, MaxPieces: 3,
	}))
})

// withCorners are the sheet's corners, from the first-th on, each off by a
// pixel or two.
func (d drawing) withCorners(first int) []string {
	var args []string
	corners := d.spec.Sheet.Corners()
	for k := range 4 {
		at := d.spec.Camera.ToPhoto(corners[(k+first)%4])
		at.X, at.Y = at.X+[]float64{1.5, -1, 2, -1.5}[k], at.Y+[]float64{-1, 1.5, 1, -2}[k]
		args = append(args, "--corner", pixels(at))
	}
	return args
}

// A sheet of known size gives the scale where there is no mat.
func TestSquareFromASheet(t *testing.T) {
	ownMats(t)
	d, err := sheetOnTable()
	if err != nil {
		t.Fatal(err)
	}
	path := d.write(t, 0)
	// A length on the table that is known: along the sheet's own diagonal.
	c := d.spec.Sheet.Corners()
	from, to := d.spec.Camera.ToPhoto(c[0]), d.spec.Camera.ToPhoto(c[2])
	known := "--check=" + pixels(from) + ":" + pixels(to) + "=363.7mm"
	for name, args := range map[string][]string{
		"by name":   append([]string{"--sheet", "a4", known}, d.withCorners(0)...),
		"lying":     append([]string{"--sheet", "a4-landscape", known}, d.withCorners(1)...),
		"by sizes":  append([]string{"--sheet", "210x297mm", known}, d.withCorners(2)...),
		"in inches": append([]string{"--sheet", "8.268x11.693in", known}, d.withCorners(0)...),
	} {
		r, said := squareJSON(t, append([]string{path}, args...)...)
		s := r.Calibration.Scale
		if s.Source != "rectangle" || !strings.Contains(s.Note, "sides of") || s.PlusMinus == nil || r.Calibration.PitchMM != 0 || said != "" {
			t.Errorf("%s: %+v, said %q", name, s, said)
		}
		near(t, name+": the diagonal", r.Calibration.Checks[0].MeasuredMM, 363.74, 0.4)
		t.Logf("%s: %s ± %.3f mm, worst %.3f; diagonal %+.3f ± %.3f mm", name, s.Note, r.Calibration.PlusMinus.MedianMM,
			r.Calibration.PlusMinus.WorstMM, r.Calibration.Checks[0].DifferenceMM, r.Calibration.Checks[0].PlusMinusMM)
	}
	// With its sides exchanged, or its corners crossed, it is refused.
	refused(t, append([]string{"square", path, "--sheet", "a4-landscape"}, d.withCorners(0)...), statusFailed, "swap")
	crossed := d.withCorners(0)
	crossed[3], crossed[5] = crossed[5], crossed[3]
	refused(t, append([]string{"square", path, "--sheet", "a4"}, crossed...), statusFailed, "corner")
	// Without corners the program says where they seem to be, and does no more.
	dir := filepath.Join(t.TempDir(), "out")
	for _, args := range [][]string{{"square", path}, {"make", path, "--out", dir}} {
		status, out, said := command(append(args, "--sheet", "a4")...)
		_, list, _ := strings.Cut(said, "seem to be ")
		list, _, _ = strings.Cut(list, ":")
		if status != statusUsage || out != "" || strings.Count(said, "\n") != 1 || len(strings.Fields(list)) != 8 {
			t.Fatalf("%v: status %d, said %q", args, status, said)
		}
		for k, c := range d.spec.Sheet.Corners() {
			if want := d.spec.Camera.ToPhoto(c); !nearAny(list, want, 1) {
				t.Errorf("corner %d, at %.1f, is not among %s", k, want, list)
			}
		}
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("%s was left behind", dir)
	}
	refused(t, []string{"square", writeJPEG(t, "blank.jpg", 1200, 900), "--sheet", "a4"}, statusUsage, "no sheet stands out")
	outside := append(d.withCorners(0)[:6], "--corner", "-40,20")
	refused(t, append([]string{"square", path, "--sheet", "a4"}, outside...), statusUsage, "lies outside")
}

// nearAny reports whether a place is among those of a list of options.
func nearAny(list string, want photo.Point, withinPx float64) bool {
	for _, word := range strings.Fields(list) {
		if at, ok := parsePlace(word); ok && math.Hypot(at.X-want.X, at.Y-want.Y) <= withinPx {
			return true
		}
	}
	return false
}
