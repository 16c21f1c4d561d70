package find

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// slabScene is a random scene of foam pieces at a tilt.
func slabScene(seed uint64, mp, tilt, thick float64) scene.Spec {
	s := scene.Random(seed, scene.RandomOptions{
		Megapixels: mp, MaxTiltDeg: max(tilt, 0.01), MinFocal35MM: 24, MaxFocal35MM: 28, MaxPieces: 8, ThicknessMM: thick,
	})
	return s
}

func slabInput(t testing.TB, name string, s scene.Spec, thick float64) Input {
	in := raisedIn(s.Camera, thick)
	in.Photo, in.Grid = shoot(t, name, s), gridOf(s.Mat)
	in.Pitch.XMM, in.Pitch.YMM = s.Mat.PitchXY()
	return in
}

// TestSlabSweep scores foam pieces under the true camera. It runs only when
// asked:
//
//	FIND_SLABS=1-4 FIND_MP=8 [FIND_CACHE=dir] [FIND_OUT=dir] go test -run SlabSweep -v ./trace/find
func TestSlabSweep(t *testing.T) {
	lo, hi, ok := seedSpan(os.Getenv("FIND_SLABS"))
	if !ok {
		t.Skip("set FIND_SLABS to a range of seeds")
	}
	mp, err := strconv.ParseFloat(os.Getenv("FIND_MP"), 64)
	if err != nil {
		mp = 8
	}
	for _, thick := range []float64{3, 10, 25} {
		for _, tilt := range []float64{0, 10, 20} {
			var all, flat tally
			for seed := lo; seed <= hi; seed++ {
				s := slabScene(seed, mp, tilt, thick)
				name := fmt.Sprintf("slab%d-%g-%g-%g", seed, mp, tilt, thick)
				in := slabInput(t, name, s, thick)
				start := time.Now()
				r, err := Pieces(context.Background(), in)
				if err != nil {
					t.Errorf("seed %d: %v", seed, err)
					continue
				}
				got := score(in, r, s.Truth())
				t.Logf("seed %d tilt %.1f %g mm mat %s foam %s (%.2f mm/px) %v\n   %v", seed, s.Camera.TiltDeg, thick, hexOf(s.Mat.Colour), hexOf(s.Pieces[0].Tape.Colour),
					photoPixelMM(&in, s.Camera.TargetX, s.Camera.TargetY), time.Since(start).Round(time.Millisecond), got)
				for _, n := range got.notes {
					t.Log("      ", n)
				}
				all.add(got)
				if dir := os.Getenv("FIND_OUT"); dir != "" {
					overlay(t, filepath.Join(dir, name+".png"), Input{Photo: in.Photo, View: in.upper()}, r)
				}
				in.Raised = nil
				if r, err := Pieces(context.Background(), in); err == nil {
					flat.add(flatError(r, s.Truth()))
				}
			}
			t.Logf("ALL %g mm, up to %g degrees: %v\n   uncorrected RMS %.2f worst %.2f", thick, tilt, all, flat.rms(), flat.worst)
		}
	}
}

// flatError is how far outlines lie off that were not corrected for height,
// each piece matched by the nearest middle.
func flatError(r Result, truth scene.Truth) (t tally) {
	for _, p := range r.Pieces {
		var c mat.Point
		for _, q := range p.Outline {
			c.X, c.Y = c.X+q.At.X/float64(len(p.Outline)), c.Y+q.At.Y/float64(len(p.Outline))
		}
		for _, w := range truth.Pieces {
			if !within(w.Outline, c.X, c.Y) {
				continue
			}
			for _, q := range p.Outline {
				d, _ := distTo(w.Outline, q.At)
				t.sum2, t.n, t.worst = t.sum2+d*d, t.n+1, math.Max(t.worst, d)
			}
			break
		}
	}
	return t
}
