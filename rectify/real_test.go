package rectify_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/photo/intake"
)

// opencvData is where Debian's package opencv-doc keeps its pictures.
const opencvData = "/usr/share/doc/opencv-doc/examples/data"

// referenceData is laid beside the project on some machines only.
const referenceData = "../../shared/reference/photos"

func open(t *testing.T, parts ...string) *photo.Photo {
	t.Helper()
	path := filepath.Join(parts...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("SKIPPED: %s is not on this machine", path)
	}
	p, err := intake.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func squareUp(t *testing.T, p *photo.Photo, pitchMM float64) *rectify.Squared {
	t.Helper()
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: pitchMM})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The documentation of discorpy (Vo 2015, doi 10.1364/OE.23.032859; data of
// the repository DiamondLightSource/discorpy) gives the distances of the
// lines of line_pattern_01 as 62.22 px and 62.26 px, and a weak radial
// distortion.
func TestLinePatternOfDiscorpy(t *testing.T) {
	p := open(t, referenceData, "discorpy", "line_pattern_01.jpg")
	s := squareUp(t, p, 10)
	centre, ok := s.Fit.ToMat(photo.Point{X: float64(p.Width) / 2, Y: float64(p.Height) / 2})
	if !ok {
		t.Fatal("the centre sees no mat")
	}
	slope, ok := s.Fit.SlopeToPhoto(centre)
	if !ok {
		t.Fatal("no slope at the centre")
	}
	across := 10 * math.Hypot(slope[0][0], slope[1][0])
	down := 10 * math.Hypot(slope[0][1], slope[1][1])
	t.Logf("lines %.3f px across, %.3f px down at the centre; rms %.3f px over %d samples, %d columns x %d rows, terms %v",
		across, down, s.Fit.RMSPx, len(s.Fit.Points), s.Grid.MaxColumn-s.Grid.MinColumn+1, s.Grid.MaxRow-s.Grid.MinRow+1, s.Fit.Terms)
	raw := [2]float64{rawDistancePx(s, mat.Columns), rawDistancePx(s, mat.Rows)}
	t.Logf("mean distance of the samples themselves over the middle third: %.3f px across, %.3f px down", raw[0], raw[1])
	if math.Abs(across-raw[0]) > 0.05 || math.Abs(down-raw[1]) > 0.05 {
		t.Errorf("line distances %.3f and %.3f px by the model, %.3f and %.3f by the samples alone; want them within 0.05", across, down, raw[0], raw[1])
	}
	if math.Abs(down-62.26) > 0.05 {
		t.Errorf("lines %.3f px apart down the picture, want 62.26 within 0.05", down)
	}
	// Across, the samples alone speak against the documented 62.22, by three
	// times their scatter; the documentation's is a median over one profile.
	if math.Abs(across-62.22) > 0.12 {
		t.Errorf("lines %.3f px apart across the picture, want 62.22 within 0.12", across)
	}
	if s.Fit.RMSPx > 0.2 {
		t.Errorf("residual %.3f px, want at most 0.2", s.Fit.RMSPx)
	}
}

// rawDistancePx returns the mean distance of a family's neighbouring lines
// over the middle third of the picture, from the measured samples alone.
func rawDistancePx(s *rectify.Squared, f mat.Family) float64 {
	w, h := float64(s.Photo.Width), float64(s.Photo.Height)
	sum, n := map[int]float64{}, map[int]float64{}
	for _, p := range s.Grid.Points {
		if p.Family != f || math.Abs(p.At.X-w/2) > w/6 || math.Abs(p.At.Y-h/2) > h/6 {
			continue
		}
		v := p.At.X
		if f == mat.Rows {
			v = p.At.Y
		}
		sum[p.Index] += v
		n[p.Index]++
	}
	lo, hi := math.MaxInt, math.MinInt
	for i := range n {
		lo, hi = min(lo, i), max(hi, i)
	}
	return (sum[hi]/n[hi] - sum[lo]/n[lo]) / float64(hi-lo)
}

// sudoku.png of OpenCV's documentation is a photograph of a printed grid of
// nine by nine cells, its every third line thick, in uneven light.
func TestSudokuOfOpenCV(t *testing.T) {
	p := open(t, opencvData, "sudoku.png")
	s := squareUp(t, p, 10)
	checkNine(t, s)
	// Thick lines take room from the cells beside them, and the page curls.
	if s.Fit.RMSPx > 0.8 {
		t.Errorf("residual %.3f px, want at most 0.8", s.Fit.RMSPx)
	}
}

// checkNine checks that a nine by nine grid was read as such, its thick
// lines taken for what they are: stressed, not the pitch.
func checkNine(t *testing.T, s *rectify.Squared) {
	t.Helper()
	w, h := s.Grid.MaxColumn-s.Grid.MinColumn, s.Grid.MaxRow-s.Grid.MinRow
	t.Logf("%d x %d cells, minors %d, rms %.3f px, terms %v, ± %.2f mm", w, h, s.Grid.MinorPerPitch, s.Fit.RMSPx, s.Fit.Terms, s.Fit.MedianInsideMM)
	if w != 9 || h != 9 || s.Grid.MinorPerPitch != 1 {
		t.Errorf("read as %d x %d cells of %d, want 9 x 9 of 1", w, h, s.Grid.MinorPerPitch)
	}
}

// The outer corners of two phone photographs, marked by hand (Wicht and
// Hennebert 2014, sudoku_dataset, outlines.csv, CC-BY-4.0). image1024 carries
// orientation tag 6 although its stored pixels are upright; its marks are in
// the frame of the tag applied.
func TestSudokuOfWicht(t *testing.T) {
	for name, want := range map[string][4]photo.Point{
		"image1005.jpg": {{X: 52, Y: 442}, {X: 791, Y: 441}, {X: 792, Y: 1155}, {X: 58, Y: 1177}},
		"image1024.jpg": {{X: 166, Y: 101}, {X: 918, Y: 86}, {X: 905, Y: 841}, {X: 173, Y: 849}},
	} {
		t.Run(name, func(t *testing.T) {
			p := open(t, referenceData, "sudoku_dataset", name)
			s := squareUp(t, p, 10)
			checkNine(t, s)
			g := s.Grid
			corners := [4]mat.Point{
				{X: float64(g.MinColumn) * 10, Y: float64(g.MinRow) * 10},
				{X: float64(g.MaxColumn) * 10, Y: float64(g.MinRow) * 10},
				{X: float64(g.MaxColumn) * 10, Y: float64(g.MaxRow) * 10},
				{X: float64(g.MinColumn) * 10, Y: float64(g.MaxRow) * 10},
			}
			for k, c := range corners {
				at := s.Fit.ToPhoto(c)
				d := math.Hypot(at.X-want[k].X, at.Y-want[k].Y)
				t.Logf("corner %d at (%.1f, %.1f), by hand (%.0f, %.0f): %.1f px", k, at.X, at.Y, want[k].X, want[k].Y, d)
				// The marks are whole pixels on the outside of frames 6 px wide,
				// on pages that are not flat: a fifth of a cell. A miscounted
				// line would be a whole cell of 80 px off.
				if d > 16 {
					t.Errorf("corner %d is %.1f px from the hand mark, want at most 16", k, d)
				}
			}
		})
	}
}
