package scene

import (
	"context"
	"testing"
)

// BenchmarkRender draws the demo at 3 MP.
func BenchmarkRender(b *testing.B) {
	s := Demo().Resized(3)
	for b.Loop() {
		if _, err := Render(context.Background(), s); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkScore scores an answer as dense as a finder gives it, a point each
// 0.2 mm.
func BenchmarkScore(b *testing.B) {
	truth := Demo().Truth()
	found := perfect(truth)
	for i := range found {
		found[i].Polygon = resample(found[i].Polygon, 0.2)
	}
	for b.Loop() {
		if r := Score(truth, found); len(r.Missing) > 0 {
			b.Fatal(r)
		}
	}
}
