package rectify_test

import (
	"context"
	"errors"
	"math"
	"os"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// shoot draws a scene of about megapixels.
func shoot(t *testing.T, s scene.Spec) *photo.Photo {
	t.Helper()
	p, err := scene.Shoot(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Drawn photographs of every colour of mat: the whole sheet's geometry is
// held to RMS 0.05 mm and 0.2 mm at worst, and the grid's size to the
// truth's wherever the photograph shows all of it.
func TestSheetOfDrawnScenes(t *testing.T) {
	for k, c := range scene.MatColours {
		t.Run(c.Name, func(t *testing.T) {
			spec := scene.Random(uint64(9000+k), scene.RandomOptions{Megapixels: 2, MatColour: c.Name})
			p := shoot(t, spec)
			truth := spec.Truth()
			s := squareUp(t, p, truth.PitchMM)
			rms, worst := scene.CameraError(truth, s.Fit)
			w, h := s.Grid.MaxColumn-s.Grid.MinColumn, s.Grid.MaxRow-s.Grid.MinRow
			t.Logf("sheet rms %.3f mm, worst %.3f mm; grid %d x %d of %d x %d; %.3f px rms, ± %.3f mm (worst %.3f)",
				rms, worst, w, h, truth.Columns, truth.Rows, s.Fit.RMSPx, s.Fit.MedianInsideMM, s.Fit.WorstInsideMM)
			if rms > 0.05 || worst > 0.2 {
				t.Errorf("sheet rms %.3f mm, worst %.3f mm; want at most 0.05 and 0.2", rms, worst)
			}
			if max(w, h) > max(truth.Columns, truth.Rows) || min(w, h) > min(truth.Columns, truth.Rows) {
				t.Errorf("%d x %d squares read where the mat has %d x %d", w, h, truth.Columns, truth.Rows)
			}
		})
	}
}

// Corners clicked by hand, each off by two or three pixels, lead to the same
// accuracy as the automatic way, and keep the maker's numbering.
func TestCornersByHand(t *testing.T) {
	spec := scene.Random(9100, scene.RandomOptions{Megapixels: 4})
	p := shoot(t, spec)
	truth := spec.Truth()
	var corners []rectify.Corner
	for k, at := range insideCrossings(truth, p) {
		corners = append(corners, rectify.Corner{
			At:     photo.Point{X: at.seen.X + []float64{2, -2, 3, -1}[k], Y: at.seen.Y + []float64{-1, 2, 1, -3}[k]},
			Column: at.column, Row: at.row,
		})
	}
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: truth.PitchMM, Corners: corners})
	if err != nil {
		t.Fatal(err)
	}
	rms, worst := scene.CameraError(truth, s.Fit)
	t.Logf("from four corners: sheet rms %.3f mm, worst %.3f mm", rms, worst)
	if rms > 0.05 || worst > 0.2 {
		t.Errorf("sheet rms %.3f mm, worst %.3f mm; want at most 0.05 and 0.2", rms, worst)
	}
	c := corners[2]
	at, _ := s.Fit.ToMat(c.At)
	if d := math.Hypot(at.X-float64(c.Column)*truth.PitchMM, at.Y-float64(c.Row)*truth.PitchMM); d > 0.3*truth.PitchMM {
		t.Errorf("corner (%d, %d) lies at (%.1f, %.1f) mm: the numbering was not kept", c.Column, c.Row, at.X, at.Y)
	}
}

// Wrong counts are refused, with the corner named where one stands out. The
// mat of the demo photograph has 24 by 18 squares.
func TestWrongCounts(t *testing.T) {
	p := open(t, "..", "assets", "demo.jpg")
	f, err := os.Open("../assets/demo.truth.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	truth, err := scene.ReadTruth(f)
	if err != nil {
		t.Fatal(err)
	}
	for name, tc := range map[string]struct {
		counts [4][2]int
		corner int // -2: no error wanted
	}{
		"right":          {[4][2]int{{0, 0}, {24, 0}, {24, 18}, {0, 18}}, -2},
		"one far off":    {[4][2]int{{0, 0}, {24, 0}, {24, 18}, {-4, 16}}, -1},
		"a column short": {[4][2]int{{0, 0}, {23, 0}, {23, 18}, {0, 18}}, -1},
		"one row short":  {[4][2]int{{0, 0}, {24, 0}, {24, 17}, {0, 18}}, 2},
		"half the count": {[4][2]int{{0, 0}, {12, 0}, {12, 18}, {0, 18}}, -1},
	} {
		var corners []rectify.Corner
		for k, at := range [4]mat.Point{{X: 0, Y: 0}, {X: 24 * 25.4, Y: 0}, {X: 24 * 25.4, Y: 18 * 25.4}, {X: 0, Y: 18 * 25.4}} {
			seen := truth.Camera.ToPhoto(at)
			corners = append(corners, rectify.Corner{
				At:     photo.Point{X: seen.X + 1.5, Y: seen.Y - 1},
				Column: tc.counts[k][0], Row: tc.counts[k][1],
			})
		}
		s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: 25.4, Corners: corners})
		if tc.corner == -2 {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			} else if rms, _ := scene.CameraError(truth, s.Fit); rms > 0.01 || len(s.Fit.Points) < 1500 {
				t.Errorf("%s: sheet rms %.3f mm on %d points", name, rms, len(s.Fit.Points))
			}
			continue
		}
		var wrong *rectify.CountError
		if !errors.As(err, &wrong) || wrong.Corner != tc.corner {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// crossing is a crossing of the truth and where it is seen.
type crossing struct {
	seen        photo.Point
	column, row int
}

// insideCrossings picks four crossings well inside the picture, far apart.
func insideCrossings(truth scene.Truth, p *photo.Photo) [4]crossing {
	var best [4]crossing
	score := [4]float64{-math.MaxFloat64, -math.MaxFloat64, -math.MaxFloat64, -math.MaxFloat64}
	for i := 0; i <= truth.Columns; i++ {
		for j := 0; j <= truth.Rows; j++ {
			at := truth.Camera.ToPhoto(mat.Point{X: float64(i) * truth.PitchMM, Y: float64(j) * truth.PitchMM})
			if !p.Inside(at, 60) {
				continue
			}
			for k, s := range []float64{-at.X - at.Y, at.X - at.Y, at.X + at.Y, at.Y - at.X} {
				if s > score[k] {
					score[k], best[k] = s, crossing{at, i, j}
				}
			}
		}
	}
	return best
}

// A click near a crossing snaps to it, a click in the middle of a square to
// nothing.
func TestSnap(t *testing.T) {
	spec := scene.Random(9100, scene.RandomOptions{Megapixels: 4})
	spec.Pieces, spec.Objects, spec.Mat.Diagonals = nil, nil, nil
	p := shoot(t, spec)
	truth := spec.Truth()
	var sum, worst float64
	n, missed := 0, 0
	for i := 2; i < truth.Columns-1; i += 3 {
		for j := 2; j < truth.Rows-1; j += 3 {
			want := truth.Camera.ToPhoto(mat.Point{X: float64(i) * truth.PitchMM, Y: float64(j) * truth.PitchMM})
			if !p.Inside(want, 60) {
				continue
			}
			n++
			got, ok := rectify.Snap(p, photo.Point{X: want.X + 4, Y: want.Y - 3})
			if !ok {
				missed++
				continue
			}
			d := math.Hypot(got.X-want.X, got.Y-want.Y)
			sum += d * d
			worst = max(worst, d)
		}
	}
	rms := math.Sqrt(sum / float64(n-missed))
	t.Logf("%d clicks: %d missed, rms %.3f px, worst %.3f px", n, missed, rms, worst)
	if n < 10 || missed*20 > n || rms > 0.2 || worst > 1 {
		t.Errorf("%d clicks: %d missed, rms %.3f px, worst %.3f px; want 5 %%, 0.2 px, 1 px", n, missed, rms, worst)
	}
}

func TestSquareUpRefuses(t *testing.T) {
	flat := &photo.Photo{Name: "flat.jpg", Width: 800, Height: 600, RGB: make([]byte, 3*800*600), Luma: make([]byte, 800*600)}
	var missing *grid.NotFoundError
	if _, err := rectify.SquareUp(context.Background(), flat, rectify.Options{PitchMM: 25.4}); !errors.As(err, &missing) {
		t.Errorf("a black picture: %v", err)
	}
	for _, pitch := range []float64{0, -1, math.NaN(), math.Inf(1), 1e6} {
		if _, err := rectify.SquareUp(context.Background(), flat, rectify.Options{PitchMM: pitch}); !errors.Is(err, rectify.ErrNoPitch) {
			t.Errorf("pitch %v: %v", pitch, err)
		}
	}
	tiny := &photo.Photo{Name: "dot.png", Width: 1, Height: 1, RGB: make([]byte, 3), Luma: make([]byte, 1)}
	if _, err := rectify.SquareUp(context.Background(), tiny, rectify.Options{PitchMM: 25.4}); !errors.As(err, &missing) {
		t.Errorf("one pixel: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	noisy := &photo.Photo{Name: "noise.png", Width: 1200, Height: 900, RGB: make([]byte, 3*1200*900), Luma: make([]byte, 1200*900)}
	x := uint32(1)
	for i := range noisy.Luma {
		x ^= x << 13
		x ^= x >> 17
		x ^= x << 5
		noisy.Luma[i] = byte(x >> 24)
	}
	if _, err := rectify.SquareUp(ctx, noisy, rectify.Options{PitchMM: 25.4}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	if _, err := rectify.SquareUp(context.Background(), noisy, rectify.Options{PitchMM: 25.4}); !errors.As(err, &missing) {
		t.Errorf("noise: %v", err)
	}
}
