package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"flatwright/rectify/scene"
)

// slabMM is the thickness of the pieces of foamOnMat.
const slabMM = 10

// foamOnMat is a photograph of slabs of foam, taken at a slant.
var foamOnMat = sync.OnceValues(func() (drawing, error) {
	tilt := 18.0
	return drawn(scene.Random(909, scene.RandomOptions{
		Megapixels: 3, PitchMM: 25.4, MatColour: "green", MinFocal35MM: 26, MaxFocal35MM: 26,
		TiltDeg: &tilt, MaxPieces: 4, ThicknessMM: slabMM,
	}))
})

// Slabs of known thickness come out in their true size, where without it they
// come out too large; the camera's height is told from the photograph, or
// given.
func TestRaisedPieces(t *testing.T) {
	ownMats(t)
	d, err := foamOnMat()
	if err != nil {
		t.Fatal(err)
	}
	path, heightMM := d.write(t, 0), d.spec.Camera.HeightMM()
	flat, _ := squareJSON(t, path, "--pitch", "1in")
	r, _ := squareJSON(t, path, "--pitch", "1in", "--raised", "10mm")
	h := r.Calibration.Height
	if flat.Calibration.Height != nil || h == nil || h.ThicknessMM != slabMM || h.Source == "camera height" || h.PlusMinusMM == nil {
		t.Fatalf("height %+v", h)
	}
	t.Logf("camera %.1f ± %.1f mm above the mat, truly %.1f; ± %.3f mm over the mat, %.3f in its plane",
		h.CameraHeightMM, *h.PlusMinusMM, heightMM, r.Calibration.PlusMinus.MedianMM, flat.Calibration.PlusMinus.MedianMM)
	// Twice two standard errors: one draw in fifteen thousand lies outside.
	near(t, "camera height", h.CameraHeightMM, heightMM, 2**h.PlusMinusMM)
	if r.Calibration.PlusMinus.MedianMM <= flat.Calibration.PlusMinus.MedianMM {
		t.Errorf("± %g mm with the height in it", r.Calibration.PlusMinus.MedianMM)
	}
	r, _ = squareJSON(t, path, "--pitch", "1in", "--raised", "10mm", "--camera-height", mm(math.Round(heightMM)))
	h = r.Calibration.Height
	if h == nil || h.GivenMM == nil || *h.GivenMM != math.Round(heightMM) {
		t.Fatalf("height as given: %+v", h)
	}
	near(t, "camera height, given too", h.CameraHeightMM, heightMM, 2**h.PlusMinusMM)
	// A height that the photograph contradicts is refused.
	refused(t, []string{"square", path, "--pitch", "1in", "--raised", "10mm", "--camera-height", mm(heightMM / 2)}, statusFailed, "height")
}

// A photograph taken straight down, that carries no focal length, does not
// tell how high the camera stood: thick pieces are refused until it is given.
func TestRaisedNeedsTheCamerasHeight(t *testing.T) {
	ownMats(t)
	tilt := 0.0
	d, err := drawn(scene.Random(31, scene.RandomOptions{
		Megapixels: 2, PitchMM: 25.4, MatColour: "blue", MinFocal35MM: 26, MaxFocal35MM: 26, TiltDeg: &tilt, MaxPieces: 1,
	}))
	if err != nil {
		t.Fatal(err)
	}
	d.spec.Sensor.Focal35MM = 0
	path, dir := d.write(t, 0), filepath.Join(t.TempDir(), "out")
	refused(t, []string{"square", path, "--pitch", "1in", "--raised", "20mm"}, statusFailed, "measure the height")
	refused(t, []string{"make", path, "--pitch", "1in", "--raised", "20mm", "--out", dir}, statusFailed, "measure the height")
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("%s was left behind", dir)
	}
	given := mm(math.Round(d.spec.Camera.HeightMM()))
	if r, _ := squareJSON(t, path, "--pitch", "1in", "--raised", "20mm", "--camera-height", given); r.Calibration.Height == nil || r.Calibration.Height.Source != "camera height" {
		t.Errorf("%+v", r.Calibration.Height)
	}
}

// The traced slabs are scored against the truth.
func TestRaisedPiecesTraced(t *testing.T) {
	ownMats(t)
	d, err := foamOnMat()
	if err != nil {
		t.Fatal(err)
	}
	path, dir := d.write(t, 0), t.TempDir()
	raised, text := made(t, d, dir, path, "--pitch", "1in", "--raised", "10mm")
	if raised.FoundToTruth.RMSMM > 0.25 {
		t.Errorf("RMS %.3f mm, worst %.3f mm", raised.FoundToTruth.RMSMM, raised.FoundToTruth.WorstMM)
	}
	if !strings.Contains(text, "Pieces 10 mm thick are allowed for") {
		t.Errorf("the report says nothing of the height:\n%s", text)
	}
	flat, _ := made(t, d, filepath.Join(dir, "flat"), path, "--pitch", "1in")
	if flat.FoundToTruth.RMSMM < 3*raised.FoundToTruth.RMSMM {
		t.Errorf("taken for tape: RMS %.3f mm; the height made little difference", flat.FoundToTruth.RMSMM)
	}
}
