package writing

import (
	"math/rand"
	"testing"

	"pgregory.net/rapid"
)

// TestExtremeIsThatOfTheSquare against the plain definition.
func TestExtremeIsThatOfTheSquare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &sheet{w: rapid.IntRange(1, 30).Draw(t, "w"), h: rapid.IntRange(1, 30).Draw(t, "h")}
		r := rand.New(rand.NewSource(rapid.Int64().Draw(t, "seed")))
		for range s.w * s.h {
			s.luma, s.in = append(s.luma, float32(r.Intn(256))), append(s.in, r.Intn(3) > 0)
		}
		n, least := rapid.IntRange(1, 7).Draw(t, "n"), rapid.Bool().Draw(t, "least")
		got := s.extreme(s.luma, n, least)
		for k := range got {
			want := float32(none)
			for j := max(0, k/s.w-n); j <= min(s.h-1, k/s.w+n); j++ {
				for i := max(0, k%s.w-n); i <= min(s.w-1, k%s.w+n); i++ {
					q := j*s.w + i
					if v := s.luma[q]; s.in[q] && (want == none || least && v < want || !least && v > want) {
						want = v
					}
				}
			}
			if got[k] != want {
				t.Fatalf("cell %d of %d x %d: %g, want %g", k, s.w, s.h, got[k], want)
			}
		}
	})
}
