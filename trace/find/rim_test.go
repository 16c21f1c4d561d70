package find

import "testing"

// rimSheet is a sheet of 0.5 mm pixels, 160 by 100 mm, its grid 10 mm inside.
func rimSheet() *sheet {
	return &sheet{res: 0.5, w: 320, h: 200, minX: 20, minY: 20, maxX: 299, maxY: 179}
}

// A piece that reaches the rim keeps its own shape and loses the strip of rim
// and ticks that hangs on it.
func TestDropRims(t *testing.T) {
	s := rimSheet()
	mask, piece := make([]uint8, s.w*s.h), make([]uint8, s.w*s.h)
	for y := range s.h {
		for x := range s.w {
			i := s.index(x, y)
			if x >= 100 && x < 180 && y >= 22 && y < 120 {
				mask[i], piece[i] = 1, 1
			}
			if x >= 40 && x < 280 && y >= 16 && y < 22 { // 3 mm of rim
				mask[i] = 1
			}
		}
	}
	s.dropRims(mask)
	for i := range mask {
		x, y := i%s.w, i/s.w
		if piece[i] == 1 && mask[i] == 0 && y > 24 {
			t.Fatalf("the piece lost (%d, %d)", x, y)
		}
		if piece[i] == 0 && mask[i] == 1 && (x < 92 || x > 188) {
			t.Fatalf("the rim is left at (%d, %d)", x, y)
		}
	}
}

// Thin pieces inside the grid and short tips on the rim stay.
func TestDropRimsLeavesPieces(t *testing.T) {
	s := rimSheet()
	mask := make([]uint8, s.w*s.h)
	for y := range s.h {
		for x := range s.w {
			strip := y >= 90 && y < 96 && x >= 40 && x < 280
			tip := y >= 14 && y < 60 && x >= 150-(y-14)/4 && x <= 150+(y-14)/4
			if strip || tip {
				mask[s.index(x, y)] = 1
			}
		}
	}
	before := append([]uint8(nil), mask...)
	s.dropRims(mask)
	for i := range mask {
		if mask[i] != before[i] {
			t.Fatalf("(%d, %d) was cleared", i%s.w, i/s.w)
		}
	}
}

// Between two tapes lies a mixture of their colours, in a slit the mat's.
func TestBlends(t *testing.T) {
	s := &sheet{w: 3, h: 1}
	for c, v := range [3][3]float32{{4, 4.5, 5}, {3, 4, 5}, {5, 4, 3}} {
		s.ch[c] = v[:]
	}
	if !s.blends(1, 0, 2) {
		t.Error("a mixture is taken for the mat")
	}
	s.ch[1][1] = 5.4
	if s.blends(1, 0, 2) {
		t.Error("the mat is taken for a mixture")
	}
}
