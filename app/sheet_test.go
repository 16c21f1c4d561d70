package main

import (
	"strings"
	"sync"
	"testing"

	"flatwright/rectify/scene"
)

// sheetOnTable is a photograph of pieces and a sheet of A4 on a table.
var sheetOnTable = sync.OnceValues(func() (drawing, error) {
	return drawn(scene.RandomSheet(515, scene.SheetA4, scene.RandomOptions{
		Megapixels: 3, MinFocal35MM: 26, MaxFocal35MM: 26, MaxTiltDeg: 12, MaxPieces: 3,
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
	outside := append(d.withCorners(0)[:6], "--corner", "-40,20")
	refused(t, append([]string{"square", path, "--sheet", "a4"}, outside...), statusUsage, "lies outside")
}
