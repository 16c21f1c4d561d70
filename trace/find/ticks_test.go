package find

import (
	"fmt"
	"math"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// The ticks along the rim are learnt: within the band, what is foreseen is
// near what a drawn mat without pieces shows.
func TestTicksAreLearnt(t *testing.T) {
	seed := uint64(5021)
	s := scene.Random(seed, scene.RandomOptions{Megapixels: 6})
	if s.Mat.TicksPerPitch < 2 {
		t.Fatal("a mat without ticks")
	}
	in := Input{Photo: shoot(t, fmt.Sprintf("s%d-6", seed), s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
	f := finder{in: &in, linear: powerTone(blurPower), coded: powerTone(1)}
	if f.lookForThings(); f.err != nil || f.print == nil {
		t.Fatal("nothing was learnt", f.err)
	}
	if len(f.print.ticks) < 3 {
		t.Fatalf("%d of 4 sides have ticks", len(f.print.ticks))
	}
	step := s.Mat.PitchMM / float64(s.Mat.TicksPerPitch)
	for _, b := range f.print.ticks {
		on, between := 0.0, 0.0
		n := 0
		for u := b.lo + 2.5*step; u < b.hi-step; u += step {
			k := math.Round((u - b.lo) / step)
			place := func(u float64) float64 {
				p := mat.Point{X: b.at + b.outward*0.9, Y: u}
				if b.rows {
					p = mat.Point{X: u, Y: b.at + b.outward*0.9}
				}
				part, _ := b.part(p)
				return part
			}
			on, between = on+place(b.lo+k*step), between+place(b.lo+(k+0.5)*step)
			n++
		}
		if on < 2*between || on/float64(n) < 0.1 {
			t.Errorf("side at %.0f mm: %.2f of a tick is printed, %.2f between", b.at, on/float64(n), between/float64(n))
		}
	}
}
