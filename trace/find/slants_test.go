package find

import (
	"fmt"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// Slanting guide lines are found where they are printed, to 0.1 mm and as
// wide to a half, and nothing else is taken for one.
func TestSlantsAreFound(t *testing.T) {
	for _, seed := range []uint64{5021, 5007, 9112} {
		s := scene.Random(seed, scene.RandomOptions{Megapixels: 6})
		in := Input{Photo: shoot(t, fmt.Sprintf("s%d-6", seed), s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
		f := finder{in: &in, linear: powerTone(blurPower), coded: powerTone(1)}
		if f.lookForThings(); f.err != nil || f.print == nil {
			t.Fatal("nothing was learnt", f.err)
		}
		if got, want := len(f.print.slants), len(s.Mat.Diagonals); got != want {
			t.Errorf("scene %d: %d slanting lines of %d", seed, got, want)
		}
		for _, l := range f.print.slants {
			off := math.Inf(1)
			width := 0.0
			for _, d := range s.Mat.Diagonals {
				o := max(math.Abs(l.nx*d.From.X+l.ny*d.From.Y-l.rho), math.Abs(l.nx*d.To.X+l.ny*d.To.Y-l.rho))
				if o < off {
					off, width = o, d.WidthMM
				}
			}
			if off > 0.1 || math.Abs(2*l.half-width) > 0.5*width {
				t.Errorf("scene %d: a line %.2f mm wide lies %.2f mm off one printed %.2f mm wide", seed, 2*l.half, off, width)
			}
		}
	}
}
