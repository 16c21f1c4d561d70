package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// drawing is a drawn photograph in memory, and the scene it shows.
type drawing struct {
	spec  scene.Spec
	photo *photo.Photo
}

// The print of stretchedMat is larger than it claims across, and smaller down.
const (
	stretchX = 1.006
	stretchY = 0.995
)

// stretchedMat is a mat printed with errors, all of it in view.
var stretchedMat = sync.OnceValues(func() (drawing, error) {
	return drawn(scene.Random(4242, scene.RandomOptions{
		Megapixels: 3, PitchMM: 25.4, StretchX: stretchX, StretchY: stretchY, MatColour: "green",
		MinFocal35MM: 26, MaxFocal35MM: 26, MaxTiltDeg: 12, MaxPieces: 4,
	}))
})

func drawn(s scene.Spec) (drawing, error) {
	p, err := scene.Render(context.Background(), s)
	return drawing{s, p}, err
}

// write saves the photograph, turned clockwise by quarters, as a file.
func (d drawing) write(t *testing.T, quarters int) (path string) {
	t.Helper()
	p := d.photo
	for range quarters {
		p = turned(p)
	}
	var b bytes.Buffer
	if err := scene.EncodeJPEG(&b, p, d.spec.Sensor.Quality, scene.Tags{Orientation: 1, Focal35MM: d.spec.Sensor.Focal35MM}); err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(t.TempDir(), fmt.Sprintf("drawn%d.jpg", quarters))
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// turned is a photograph turned clockwise by a quarter.
func turned(p *photo.Photo) *photo.Photo {
	q := &photo.Photo{Width: p.Height, Height: p.Width, RGB: make([]byte, len(p.RGB)), Luma: make([]byte, len(p.Luma))}
	for y := range p.Height {
		for x := range p.Width {
			to, from := x*q.Width+p.Height-1-y, y*p.Width+x
			copy(q.RGB[3*to:3*to+3], p.RGB[3*from:3*from+3])
			q.Luma[to] = p.Luma[from]
		}
	}
	return q
}

// cropped is the part of a drawing's photograph from a corner on.
func (d drawing) cropped(x0, y0, w, h int) drawing {
	q := &photo.Photo{Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	for y := range h {
		from := (y0+y)*d.photo.Width + x0
		copy(q.RGB[3*y*w:], d.photo.RGB[3*from:3*(from+w)])
		copy(q.Luma[y*w:], d.photo.Luma[from:from+w])
	}
	return drawing{d.spec, q}
}

// at is where a point of the mat, counted in squares, is seen.
func (d drawing) at(columns, rows float64) photo.Point {
	m := d.spec.Mat
	return d.spec.Camera.ToPhoto(mat.Point{X: columns * m.PitchMM * m.StretchX, Y: rows * m.PitchMM * m.StretchY})
}

func pixels(p photo.Point) string { return fmt.Sprintf("%.2f,%.2f", p.X, p.Y) }

// squaredReport is what the square command prints, as far as tests look at it.
type squaredReport struct {
	Calibration calibrationReport `json:"calibration"`
	Problems    []struct {
		Text string `json:"text"`
	} `json:"problems"`
}

type calibrationReport struct {
	PitchMM float64 `json:"pitch_mm"`
	Points  int     `json:"points_used"`
	// Spacings are the printed ones.
	Spacings []float64 `json:"printed_spacings_mm"`
	MMPerPx  float64   `json:"mm_per_px"`
	Scale    struct {
		Source    string   `json:"source"`
		Name      string   `json:"name"`
		XFactor   float64  `json:"x_factor"`
		YFactor   float64  `json:"y_factor"`
		PitchXMM  float64  `json:"pitch_x_mm"`
		PitchYMM  float64  `json:"pitch_y_mm"`
		PlusMinus *float64 `json:"plus_minus_percent"`
		Note      string   `json:"note"`
	} `json:"scale"`
	PlusMinus struct {
		MedianMM float64 `json:"median_mm"`
		WorstMM  float64 `json:"worst_mm"`
	} `json:"plus_minus"`
	Height *struct {
		ThicknessMM    float64  `json:"thickness_mm"`
		CameraHeightMM float64  `json:"camera_height_mm"`
		PlusMinusMM    *float64 `json:"camera_height_plus_minus_mm"`
		GivenMM        *float64 `json:"camera_height_given_mm"`
		Source         string   `json:"source"`
	} `json:"height"`
	Checks []struct {
		KnownMM      float64 `json:"known_mm"`
		MeasuredMM   float64 `json:"measured_mm"`
		DifferenceMM float64 `json:"difference_mm"`
		PlusMinusMM  float64 `json:"plus_minus_mm"`
	} `json:"checks"`
}

// squareJSON runs the square command, which must succeed, and reads what it
// prints. What it says aside is returned as well.
func squareJSON(t *testing.T, args ...string) (r squaredReport, said string) {
	t.Helper()
	status, out, errs := command(append([]string{"square", "--json"}, args...)...)
	if status != 0 {
		t.Fatalf("%v: status %d: %s", args, status, errs)
	}
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	return r, errs
}

// made runs the make command into a folder, which must succeed, and scores its
// SVG against the scene. It returns what the command printed as well.
func made(t *testing.T, d drawing, dir string, args ...string) (scene.Report, string) {
	t.Helper()
	status, out, errs := command(append([]string{"make", "--out", dir}, args...)...)
	if status != 0 {
		t.Fatalf("%v: status %d: %s", args, status, errs)
	}
	score := scene.Score(d.spec.Truth(), readSVG(t, filepath.Join(dir, "pattern.svg")))
	t.Logf("%v: RMS %.3f mm, worst %.3f mm", args[1:], score.FoundToTruth.RMSMM, score.FoundToTruth.WorstMM)
	if len(score.Missing) > 0 || len(score.Invented) > 0 {
		t.Errorf("pieces missing %v, invented %v", score.Missing, score.Invented)
	}
	return score, out
}

// rule says what a steel rule, read to a tenth of a millimetre, would show of
// a stretched print.
func rule(option string, squares int, stretch float64) []string {
	return []string{option, fmt.Sprintf("%d=%.1fmm", squares, float64(squares)*25.4*stretch)}
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %g, want %g within %g", what, got, want, within)
	}
}

func hasProblem(r squaredReport, word string) bool {
	for _, p := range r.Problems {
		if strings.Contains(p.Text, word) {
			return true
		}
	}
	return false
}

// distanceMM is the true distance between two places counted in squares.
func (d drawing) distanceMM(c0, r0, c1, r1 float64) float64 {
	m := d.spec.Mat
	return m.PitchMM * math.Hypot((c1-c0)*m.StretchX, (r1-r0)*m.StretchY)
}

func mm(v float64) string { return fmt.Sprintf("%.4fmm", v) }

func itoa(n int) string { return strconv.Itoa(n) }
