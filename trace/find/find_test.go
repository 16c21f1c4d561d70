package find

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/rectify/scene"
)

// Whole scenes at a size that draws quickly; the sweep measures more.
func TestPiecesOfScenes(t *testing.T) {
	for _, seed := range []uint64{5, 12} {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			s := scene.Random(seed, scene.RandomOptions{Megapixels: 5, MaxPieces: 8})
			p := shoot(t, fmt.Sprintf("t%d", seed), s)
			in := Input{Photo: p, View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
			last := 0.0
			in.Progress = func(part float64) {
				if part < last {
					t.Errorf("progress went back from %g to %g", last, part)
				}
				last = part
			}
			r, err := Pieces(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			got := score(in, r, s.Truth())
			t.Log(got)
			for _, n := range got.notes {
				t.Log("  ", n)
			}
			if got.found != got.pieces || got.invented != 0 {
				t.Errorf("%d of %d pieces, %d invented", got.found, got.pieces, got.invented)
			}
			if got.openingsFound != got.openings || got.openingsInvented != 0 {
				t.Errorf("%d of %d openings, %d invented", got.openingsFound, got.openings, got.openingsInvented)
			}
			if rms := got.rms(); rms > 0.1 {
				t.Errorf("outline RMS %.3f mm, want at most 0.1", rms)
			}
			if float64(got.marksFound) < 0.9*float64(got.marks) || float64(got.marksInvented) > 0.1*float64(got.marks) {
				t.Errorf("%d of %d marks, %d invented", got.marksFound, got.marks, got.marksInvented)
			}
			if last != 1 {
				t.Errorf("progress ended at %g", last)
			}
		})
	}
}

func greyPhoto(w, h int, v byte) *photo.Photo {
	p := &photo.Photo{Width: w, Height: h, RGB: make([]byte, 3*w*h), Luma: make([]byte, w*h)}
	for i := range p.RGB {
		p.RGB[i] = v
	}
	for i := range p.Luma {
		p.Luma[i] = v
	}
	return p
}

// flat is a camera straight above: 4 px a millimetre, mat (0, 0) at (40, 40).
type flat struct{}

func (flat) ToPhoto(p mat.Point) photo.Point { return photo.Point{X: 4*p.X + 40, Y: 4*p.Y + 40} }

func (flat) ToMat(p photo.Point) (mat.Point, bool) {
	return mat.Point{X: (p.X - 40) / 4, Y: (p.Y - 40) / 4}, true
}

func TestPiecesRefusesWhatItCannotUse(t *testing.T) {
	grid := mat.Grid{MaxColumn: 4, MaxRow: 3, MinorPerPitch: 1, LineWidthPitch: 0.02}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	short := greyPhoto(200, 200, 90)
	short.RGB = short.RGB[:50]
	for _, c := range []struct {
		name string
		ctx  context.Context
		in   Input
		want error
	}{
		{"no photograph", context.Background(), Input{View: flat{}, Pitch: mat.Square(25), Grid: grid}, errNoPhoto},
		{"short memory", context.Background(), Input{Photo: short, View: flat{}, Pitch: mat.Square(25), Grid: grid}, errNoPhoto},
		{"no camera", context.Background(), Input{Photo: greyPhoto(200, 200, 90), Pitch: mat.Square(25), Grid: grid}, errNoPhoto},
		{"no grid", context.Background(), Input{Photo: greyPhoto(200, 200, 90), View: flat{}, Pitch: mat.Square(25)}, errNoSheet},
		{"no pitch", context.Background(), Input{Photo: greyPhoto(200, 200, 90), View: flat{}, Grid: grid}, errNoSheet},
		{"cancelled", gone, Input{Photo: greyPhoto(200, 200, 90), View: flat{}, Pitch: mat.Square(25), Grid: grid}, context.Canceled},
	} {
		if _, err := Pieces(c.ctx, c.in); !errors.Is(err, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
}

// Photographs without anything to find must neither panic nor find anything.
func TestPiecesOfNothing(t *testing.T) {
	grid := mat.Grid{MaxColumn: 4, MaxRow: 3, MinorPerPitch: 2, LineWidthPitch: 0.02}
	noise := greyPhoto(500, 400, 90)
	seed := uint32(7)
	for i := range noise.Luma {
		seed = seed*1664525 + 1013904223
		v := byte(seed >> 24)
		noise.Luma[i], noise.RGB[3*i], noise.RGB[3*i+1], noise.RGB[3*i+2] = v, v, v, v
	}
	for name, p := range map[string]*photo.Photo{
		"black": greyPhoto(500, 400, 0), "white": greyPhoto(500, 400, 255), "noise": noise, "tiny": greyPhoto(3, 3, 80),
	} {
		r, err := Pieces(context.Background(), Input{Photo: p, View: flat{}, Pitch: mat.Square(25), Grid: grid})
		if err == nil && len(r.Pieces) > 0 {
			t.Errorf("%s: found %d pieces", name, len(r.Pieces))
		}
	}
}

// A plain white square on a plain mat is measured to a hundredth of a mm.
func TestPlainSquare(t *testing.T) {
	p := greyPhoto(560, 440, 60)
	const x0, y0, x1, y1 = 30.1, 20.2, 70.3, 60.4 // mm
	for y := 0; y < p.Height; y++ {
		for x := 0; x < p.Width; x++ {
			in := overlap(float64(x), 4*x0+40, 4*x1+40) * overlap(float64(y), 4*y0+40, 4*y1+40)
			light := in*toLight(230) + (1-in)*toLight(60)
			v := fromLight(light)
			i := y*p.Width + x
			p.Luma[i], p.RGB[3*i], p.RGB[3*i+1], p.RGB[3*i+2] = v, v, v, v
		}
	}
	grid := mat.Grid{MaxColumn: 4, MaxRow: 3, MinorPerPitch: 1, LineWidthPitch: 0.02}
	r, err := Pieces(context.Background(), Input{Photo: p, View: flat{}, Pitch: mat.Square(25), Grid: grid})
	if err != nil || len(r.Pieces) != 1 {
		t.Fatalf("%d pieces, error %v, problems %v", len(r.Pieces), err, r.Problems)
	}
	ring := []mat.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	var got tally
	in := Input{View: flat{}}
	got.outline(in, "square", r.Pieces[0].Outline, ring, ring)
	t.Log(got)
	if got.rms() > 0.03 || got.n < 400 {
		t.Errorf("RMS %.4f mm over %d points, want at most 0.03", got.rms(), got.n)
	}
}

// overlap is the part of pixel x (from x-0.5 to x+0.5) between a and b.
func overlap(x, a, b float64) float64 {
	return max(0, min(x+0.5, b)-max(x-0.5, a))
}

// The power blurPower is what the finder takes light to be; the square is
// drawn in it, so that only the finder's geometry is tested here.
func toLight(v float64) float64 { return math.Pow(v/255, blurPower) }

func fromLight(l float64) byte { return byte(math.Round(255 * math.Pow(l, 1/blurPower))) }
