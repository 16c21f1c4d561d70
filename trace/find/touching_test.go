package find

import (
	"math"
	"testing"
)

// besideGap is a sheet with two pieces, one above a curved gap and one below it,
// that hang together for 20 mm in its middle. There the gap goes deep parts of
// the way to the ground's colour; without slits it does so from end to end.
func besideGap(deep float32, slits bool) (*sheet, []uint8) {
	const w, h = 260, 160
	s := &sheet{res: 0.5, w: w, h: h, maxX: w - 1, maxY: h - 1, seen: make([]uint8, w*h)}
	for k := range s.ch {
		s.ch[k] = make([]float32, w*h)
	}
	mask := make([]uint8, w*h)
	for i := range mask {
		s.seen[i] = 1
		at := s.toMM(float64(i%w), float64(i/w))
		if at.X < 15 || at.X > 115 || at.Y < 10 || at.Y > 70 {
			continue
		}
		off := math.Abs(at.Y - 40 - 6*math.Sin(at.X/50))
		mask[i], s.ch[0][i] = 1, 1
		if off < 0.6 {
			s.ch[0][i] = 1 - deep
			if slits && math.Abs(at.X-65) > 10 {
				mask[i], s.ch[0][i] = 0, 0
			}
		}
	}
	return s, mask
}

func TestTouchingPiecesAreParted(t *testing.T) {
	for _, c := range []struct {
		what  string
		deep  float32
		slits bool
		want  int
	}{
		{"two pieces, their gap blurred away in the middle", 0.4, true, 2},
		{"one piece, two slits", 0, true, 1},
		{"one piece with a line drawn over it", 0.4, false, 1},
	} {
		s, mask := besideGap(c.deep, c.slits)
		list := s.regions(mask)
		if len(list) != c.want {
			t.Errorf("%s: %d regions, want %d", c.what, len(list), c.want)
			continue
		}
		for i := range list {
			r := &list[i]
			if !r.outlineOf(s) {
				t.Fatalf("%s: no outline", c.what)
			}
			// The gap lies above and below y = 40 by 4.86 mm in the mean.
			if want := [2]float64{3486 - 60, 2514 - 60}[i]; c.want == 2 && math.Abs(r.areaMM2-want) > 0.03*want {
				t.Errorf("%s: a piece of %.0f mm², want %.0f", c.what, r.areaMM2, want)
			}
		}
	}
}
