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
