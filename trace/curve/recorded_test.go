package curve

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"flatwright/rectify/mat"
)

// recorded is an outline as the tracer delivered it, and the truth.
type recorded struct {
	GapMM   float64      `json:"gapMM"`
	Samples [][3]float64 `json:"samples"`
	Truth   [][2]float64 `json:"truth"`
}

func (r recorded) samples() []Sample {
	out := make([]Sample, len(r.Samples))
	for i, s := range r.Samples {
		out[i] = Sample{mat.Point{X: s[0], Y: s[1]}, s[2]}
	}
	return out
}

func (r recorded) path() Path {
	q := make([]mat.Point, len(r.Truth))
	for i, p := range r.Truth {
		q[i] = pt(p[0], p[1])
	}
	return Polygon(q...)
}

// TestFitRecorded: outlines that were once fitted centimetres wrong, now within
// 0.35 mm at worst and 0.06 mm RMS, with every corner and no other.
func TestFitRecorded(t *testing.T) {
	files, err := filepath.Glob("../../testdata/outlines/*.json")
	if err != nil || len(files) < 6 {
		t.Fatalf("%d recorded outlines: %v", len(files), err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			var in recorded
			if err := json.Unmarshal(b, &in); err != nil {
				t.Fatal(err)
			}
			checkRecorded(t, in)
		})
	}
}

func checkRecorded(t *testing.T, in recorded) {
	t.Helper()
	p, _, err := FitClosed(in.samples(), FitOptions{CornerGapMM: in.GapMM})
	if err != nil {
		t.Fatal(err)
	}
	checkPath(t, p)
	truth := in.path()
	if got := compare(p, truth); got.worst > 0.35 || got.rms > 0.06 {
		t.Errorf("rms %.3f mm, worst %.2f mm at (%.1f, %.1f)", got.rms, got.worst, got.at.X, got.at.Y)
	}
	want, have := cornersOf(truth), cornersOf(p)
	if len(want) != len(have) {
		t.Errorf("%d corners of %d", len(have), len(want))
	}
	for _, c := range want {
		off := math.Inf(1)
		for _, h := range have {
			off = min(off, dist(c.at, h.at))
		}
		if off > 0.5 {
			t.Errorf("the corner at (%.1f, %.1f) is %.2f mm off", c.at.X, c.at.Y, off)
		}
	}
	if n := len(p.Segments); n > 4*len(want)+2 {
		t.Errorf("%d nodes for %d edges", n, len(want))
	}
}
