package find

import (
	"context"
	"errors"
	"math"
	"testing"

	"flatwright/rectify"
	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
	"flatwright/trace/curve"
)

// lookerOn draws a scene of a few pieces and looks at it.
func lookerOn(t *testing.T, spec scene.Spec) *Looker {
	t.Helper()
	p, err := scene.Shoot(context.Background(), spec)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rectify.SquareUp(context.Background(), p, rectify.Options{PitchMM: spec.Mat.PitchMM})
	if err != nil {
		t.Fatal(err)
	}
	l, err := NewLooker(context.Background(), Input{Photo: s.Photo, View: s.Fit, Pitch: s.Pitch, Grid: s.Grid})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A piece that was not told apart grows from the clicked colour: with every
// region forgotten, each piece comes out as it was found before; and with all
// that was told from the mat forgotten as well, those of one colour do.
func TestAPieceGrowsFromAClick(t *testing.T) {
	l := lookerOn(t, scene.Demo().Resized(3))
	regions, mask := l.f.regions, l.f.mask
	grown, alone := 0, 0
	for i := range regions {
		r := regions[i]
		if r.cut {
			continue
		}
		x, y := deepest(&r)
		at, ok := l.offSheet(x, y)
		if !ok {
			t.Fatal("off the mat")
		}
		l.f.regions, l.f.mask = regions, mask
		was, err := l.PieceAt(at)
		if err != nil {
			continue // a crumb
		}
		l.f.regions = nil
		got, err := l.PieceAt(at)
		if err != nil {
			t.Errorf("at (%.0f, %.0f) mm: %v", at.X, at.Y, err)
			continue
		}
		grown++
		if d := usualApartMM(got.Outline, was.Outline); d > 0.15 {
			t.Errorf("at (%.0f, %.0f) mm: grown it lies %.2f mm off what was found, in the mean", at.X, at.Y, d)
		}
		l.f.mask = make([]uint8, len(mask))
		if got, err = l.PieceAt(at); err == nil && usualApartMM(got.Outline, was.Outline) < 0.15 {
			alone++
		}
	}
	if grown < 8 || alone < 3 {
		t.Errorf("%d pieces grew, %d from their colour alone", grown, alone)
	}
	l.f.mask = mask
	l.f.regions = regions
	for _, q := range []mat.Point{{X: -900}, {X: 9000, Y: 10}} {
		if _, err := l.PieceAt(q); !errors.Is(err, ErrOffMat) {
			t.Errorf("at %v: %v", q, err)
		}
		if _, err := l.Follow(q, mat.Point{X: 100, Y: 100}); !errors.Is(err, ErrOffMat) {
			t.Errorf("following from %v: %v", q, err)
		}
	}
	if _, err := l.Follow(mat.Point{X: 100, Y: 100}, mat.Point{X: 100.1, Y: 100}); !errors.Is(err, ErrSamePlace) {
		t.Errorf("following to the same place: %v", err)
	}
}

// deepest is the pixel of the sheet that lies deepest in a region.
func deepest(r *region) (x, y float64) {
	best := uint16(0)
	for i, v := range chamfer(r.in, 1, r.w, r.h) {
		if v > best {
			best, x, y = v, float64(r.x0+i%r.w), float64(r.y0+i/r.w)
		}
	}
	return x, y
}

// usualApartMM is the mean distance of measured samples from others' loop.
func usualApartMM(a, b []curve.Sample) float64 {
	sum, n := 0.0, 0.0
	for i := 0; i < len(a); i += 7 {
		if a[i].SigmaMM >= bridgedSigmaMM {
			continue
		}
		near := math.Inf(1)
		for _, q := range b {
			near = math.Min(near, math.Hypot(q.At.X-a[i].At.X, q.At.Y-a[i].At.Y))
		}
		sum, n = sum+near, n+1
	}
	return sum / math.Max(n, 1)
}

// On a plain sheet and beside it a click finds the piece too, and its outline is
// measured again.
func TestLookingAgainOnASheet(t *testing.T) {
	s := scene.RandomSheet(2, scene.SheetA4, scene.RandomOptions{Megapixels: 3, MinFocal35MM: 24, MaxPieces: 6})
	in, _ := sheetInput(t, "plain2-3", s)
	found, err := Pieces(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	l, err := NewLooker(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	clicked := 0
	for i := range l.f.regions {
		r := l.f.regions[i]
		x, y := deepest(&r)
		at, _ := l.offSheet(x, y)
		if _, err := l.PieceAt(at); !r.cut && err == nil {
			clicked++
		}
	}
	if clicked < len(found.Pieces) {
		t.Errorf("clicks found %d of %d pieces", clicked, len(found.Pieces))
	}
	for _, p := range found.Pieces {
		var loop []mat.Point
		for _, q := range p.Outline {
			loop = append(loop, q.At)
		}
		again, err := l.Measure(loop)
		if err != nil {
			t.Errorf("measuring again: %v", err)
			continue
		}
		if d := usualApartMM(again, p.Outline); d > 0.15 {
			t.Errorf("measured again it lies %.2f mm off, in the mean", d)
		}
	}
	if _, err := l.PartAt(mat.Point{X: -5000}); !errors.Is(err, ErrOffMat) {
		t.Errorf("a part off the sheet: %v", err)
	}
}
