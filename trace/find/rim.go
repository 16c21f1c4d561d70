package find

// The rim of a printed grid is a heavy line with ruler ticks and numbers on
// it, which together may cover the mat's colour. A piece that reaches the rim
// hangs together with that strip.
const (
	// rimThinMM is the widest that a strip of rim and ticks is.
	rimThinMM = 4.4
	// rimInsideMM and rimOutsideMM bound the band in which the rim lies.
	rimInsideMM, rimOutsideMM = 1.5, 6
	// rimLongMM is the least length of a strip: tips of pieces are shorter.
	rimLongMM = 12
)

// dropRims clears thin strips along the rim of the printed grid.
func (s *sheet) dropRims(mask []uint8) {
	core := openThin(mask, s.w, s.h, s.px(rimThinMM/2))
	thin := make([]uint8, len(mask))
	some := false
	for y := range s.h {
		for x := range s.w {
			if i := s.index(x, y); mask[i] == 1 && core[i] == 0 && s.onRim(float64(x), float64(y)) {
				thin[i], some = 1, true
			}
		}
	}
	if !some {
		return
	}
	labels, strips := blobs(thin, 1, s.w, s.h)
	for i, l := range labels {
		if l == 0 {
			continue
		}
		if b := strips[l-1]; float64(max(b.maxX-b.minX, b.maxY-b.minY)) >= s.px(rimLongMM) {
			mask[i] = 0
		}
	}
}

// onRim reports whether a sheet pixel lies in the band along the rim.
func (s *sheet) onRim(x, y float64) bool {
	in, out := s.px(rimInsideMM), s.px(rimOutsideMM)
	if x < s.minX-out || x > s.maxX+out || y < s.minY-out || y > s.maxY+out {
		return false
	}
	return x < s.minX+in || x > s.maxX-in || y < s.minY+in || y > s.maxY-in
}
