package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"flatwright/export/page/specimen"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

func sample() Report {
	return Report{
		Title: "Helmet",
		Photo: Photo{Name: "mat.jpg", WidthPx: 4000, HeightPx: 3000},
		Calibration: Calibration{
			PitchMM: 25.4, Points: 2113, Crossings: 300, RMSPx: 0.123456, MaxPx: 0.9, LeftOutRMSMM: 0.031,
			PlusMinus: PlusMinus{MedianMM: 0.02, WorstMM: 0.06, WorstAt: Point{X: 500, Y: 300}},
			MMPerPx:   0.21, Lens: Lens{Terms: []string{"k1", "k2"}, K1: -0.0912345678},
			Scale:        Scale{Source: "mat profile", Name: "big green", XFactor: 1.001, YFactor: 0.999, PitchXMM: 25.4254, PitchYMM: 25.3746, Note: "Scale from the mat."},
			PlusMinusMap: []PlusMinusAt{{X: 1, Y: 2}},
			Height:       &Height{ThicknessMM: 10, CameraHeightMM: 612.34, CameraHeightPlusMinusMM: finiteOrNil(19.2), Source: "camera height"},
			Checks:       []Check{{KnownMM: 300, MeasuredMM: 300.1, DifferenceMM: 0.1, PlusMinusMM: 0.31, Agrees: true}},
			Advice:       []Advice{{Text: "The left third is bare. Hold the phone higher.", At: Point{1, 2}}},
		},
		Pieces:   PiecesOf(specimen.Helmet()),
		Problems: []Finding{{Text: "Only half of the mat shows.", At: &Point{X: 1.00001, Y: 2}}, {Text: "No tag."}},
		Files:    []string{"out/pattern.pdf"},
		Timings:  []Timing{{Stage: "decode", MS: 251.26}, {Stage: "trace", MS: 400}},
	}
}

// The keys that other programs rely on, each at its place.
func TestKeys(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, sample()); err != nil {
		t.Fatal(err)
	}
	var r map[string]any
	if err := json.Unmarshal(b.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{
		"photo.name", "photo.width_px", "photo.height_px",
		"calibration.points_used", "calibration.crossings_used", "calibration.rms_px", "calibration.max_px",
		"calibration.left_out_rms_mm", "calibration.pitch_mm", "calibration.mm_per_px",
		"calibration.plus_minus.median_mm", "calibration.plus_minus.worst_mm", "calibration.plus_minus.worst_at_mm.x_mm",
		"calibration.lens.terms", "calibration.lens.k1", "calibration.rejected_points",
		"calibration.scale.source", "calibration.scale.name", "calibration.scale.x_factor", "calibration.scale.y_factor",
		"calibration.scale.pitch_x_mm", "calibration.scale.pitch_y_mm", "calibration.scale.plus_minus_percent", "calibration.scale.note",
		"calibration.printed_spacings_mm", "calibration.plus_minus_map.0.x_mm", "calibration.plus_minus_map.0.plus_minus_mm",
		"calibration.hull_mm", "calibration.bend.rms_mm", "calibration.bend.worst_mm", "calibration.bend.worst_at_mm.x_mm", "calibration.height.thickness_mm", "calibration.height.camera_height_mm",
		"calibration.height.camera_height_plus_minus_mm", "calibration.height.camera_height_given_mm", "calibration.height.camera_foot_mm.x_mm", "calibration.height.tilt_deg",
		"calibration.height.focal_px", "calibration.height.focal_plus_minus_px", "calibration.height.source", "calibration.height.tag_refused",
		"calibration.checks.0.known_mm", "calibration.checks.0.measured_mm", "calibration.checks.0.difference_mm", "calibration.checks.0.plus_minus_mm",
		"calibration.advice.0.text", "calibration.advice.0.at_mm.y_mm", "calibration.advice.0.mm",
		"pieces.0.id", "pieces.0.name", "pieces.0.area_mm2", "pieces.0.perimeter_mm", "pieces.0.nodes",
		"pieces.0.openings", "pieces.0.marks", "pieces.0.bounds_mm.min_x", "pieces.0.edges.0.length_mm",
		"problems.0.text", "problems.0.at_mm.x_mm", "files.0", "timings.0.ms",
	} {
		if !has(r, key) {
			t.Errorf("no %s", key)
		}
	}
	for _, list := range []string{"printed_spacings_mm", "plus_minus_map", "hull_mm", "checks", "advice"} {
		if _, ok := r["calibration"].(map[string]any)[list].([]any); !ok {
			t.Errorf("calibration.%s is %T, not a list", list, r["calibration"].(map[string]any)[list])
		}
	}
	for _, list := range []string{"pieces", "seams", "findings", "problems", "files", "timings"} {
		if _, ok := r[list].([]any); !ok {
			t.Errorf("%s is %T, not a list", list, r[list])
		}
	}
}

func has(v any, key string) bool {
	first, rest, more := strings.Cut(key, ".")
	switch x := v.(type) {
	case map[string]any:
		v, ok := x[first]
		return ok && (!more || has(v, rest))
	case []any:
		return len(x) > 0 && (!more || has(x[0], rest))
	}
	return false
}

// A disc of radius 50 with a hole of 10 × 20: area and lengths by formula
// (four cubics are within 0.03 % of a circle).
func TestPieceByHand(t *testing.T) {
	const k = 50 * 0.5522847498
	o := curve.Path{Closed: true, Segments: []curve.Segment{
		curve.Cubic(mat.Point{X: 50}, mat.Point{X: 50, Y: k}, mat.Point{X: k, Y: 50}, mat.Point{Y: 50}),
		curve.Cubic(mat.Point{Y: 50}, mat.Point{X: -k, Y: 50}, mat.Point{X: -50, Y: k}, mat.Point{X: -50}),
		curve.Cubic(mat.Point{X: -50}, mat.Point{X: -50, Y: -k}, mat.Point{X: -k, Y: -50}, mat.Point{Y: -50}),
		curve.Cubic(mat.Point{Y: -50}, mat.Point{X: k, Y: -50}, mat.Point{X: 50, Y: -k}, mat.Point{X: 50}),
	}}
	hole := curve.Polygon(mat.Point{}, mat.Point{Y: 20}, mat.Point{X: 10, Y: 20}, mat.Point{X: 10})
	p := PiecesOf(pattern.Pattern{Pieces: []pattern.Piece{{
		ID: "A", Outline: o, Openings: []curve.Path{hole},
		Edges: []pattern.Edge{{ID: "A1", First: 3, Count: 2, Cut: pattern.Cut{Kind: pattern.Bevel, AngleDeg: 30}}},
	}}})[0]
	near(t, "area", p.AreaMM2, math.Pi*2500-200, 3)
	near(t, "perimeter", p.PerimeterMM, 100*math.Pi, 0.1)
	near(t, "edge", p.Edges[0].LengthMM, 50*math.Pi, 0.1)
	near(t, "left", p.Bounds.MinX, -50, 1e-9)
	if p.Nodes != 8 || p.Openings != 1 || p.Edges[0].AngleDeg != 30 {
		t.Errorf("%+v", p)
	}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s is %g, want %g", what, got, want)
	}
}

// A number that JSON cannot hold is an error, and nothing is written.
func TestNotANumber(t *testing.T) {
	r := sample()
	r.Calibration.RMSPx = math.NaN()
	var b bytes.Buffer
	if err := Write(&b, r); err == nil || b.Len() > 0 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

// Writing does not change what was handed in.
func TestWriteLeavesTheReport(t *testing.T) {
	r := sample()
	if err := Write(&bytes.Buffer{}, r); err != nil {
		t.Fatal(err)
	}
	if r.Problems[0].At.X != 1.00001 || r.Timings[0].MS != 251.26 || r.Pieces[0].AreaMM2 != sample().Pieces[0].AreaMM2 {
		t.Error("the report was rounded in place")
	}
}

// Crossings are counted where a column and a row both have a sample near.
func TestCrossings(t *testing.T) {
	fit := &lens.Fit{Points: []mat.LinePoint{
		{Family: mat.Columns, Index: 2, Along: 2.9},
		{Family: mat.Columns, Index: 2, Along: 3.2},
		{Family: mat.Rows, Index: 3, Along: 2.1},
		{Family: mat.Rows, Index: 4, Along: 2},
	}}
	if n := crossings(fit.Points); n != 1 {
		t.Errorf("%d crossings", n)
	}
}

func TestWithin(t *testing.T) {
	for mm, want := range map[float64]string{0: "0.01", 0.003: "0.01", 0.02: "0.02", 0.0201: "0.03", 1.239: "1.24"} {
		if got := Within(mm); got != want {
			t.Errorf("%g: %s, want %s", mm, got, want)
		}
	}
}

func TestText(t *testing.T) {
	var b bytes.Buffer
	r := sample()
	r.Pieces[0].Name = "two\nlines\x1b[31m"
	if err := Text(&b, r); err != nil {
		t.Fatal(err)
	}
	out := b.String()
	for _, want := range []string{
		"mat.jpg: 4000 × 3000 px (12.0 megapixels)", "25.4 mm apart", "Scale from the mat.",
		"Pieces 10 mm thick are allowed for, the camera 612 ± 20 mm above the mat (as measured).",
		"Check: 300.10 mm where 300.00 mm is known, +0.10 mm, within the ± 0.31 mm", "Hold the phone higher.", "± 0.02 mm on the pieces, ± 0.06 mm at worst",
		"10 pieces:", "Problems:", "(at 1.0, 2.0 mm)", "Wrote pattern.pdf", "Took 0.65 s",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in:\n%s", want, out)
		}
	}
	if strings.ContainsRune(out, '\x1b') {
		t.Error("a control character reaches the terminal")
	}
	t.Log("\n" + out)
}
