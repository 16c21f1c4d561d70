package find

import (
	"context"
	"testing"

	"flatwright/rectify/mat"
	"flatwright/rectify/scene"
)

// BenchmarkPieces times the finder on a 12 MP scene of sixteen pieces.
func BenchmarkPieces(b *testing.B) {
	s := scene.Random(2, scene.RandomOptions{Megapixels: 12})
	in := Input{Photo: shoot(b, "s2-12", s), View: s.Camera.View(), Pitch: mat.Square(s.Mat.PitchMM), Grid: gridOf(s.Mat)}
	b.ReportAllocs()
	for b.Loop() {
		if r, err := Pieces(context.Background(), in); err != nil || len(r.Pieces) == 0 {
			b.Fatal(len(r.Pieces), err)
		}
	}
}
