package writing

import "math"

const (
	// broadMM is the width below which something dark is a pen stroke.
	broadMM = 2.2
	// inkPart is how much darker (or paler) than beside it ink is somewhere in
	// a stroke, as a part of that level, and faintPart all along it. Folds,
	// printed lines that show through and the borders of strips of tape stay
	// below.
	inkPart, faintPart = 0.17, 0.09
	// stray is added to levels so that noise in the dark is no ink.
	stray = 12
)

// ink returns the cells covered by pen strokes: dark on the piece, or pale on
// a dark piece.
func (s *sheet) ink() []bool {
	n := int(math.Round(broadMM / 2 / cellMM))
	closed := s.extreme(s.extreme(s.luma, n, false), n, true) // fills what is dark and narrow
	dark, level := s.over(closed, func(v, c float32) float32 { return c - v })
	if level > 110 || level == 0 {
		return dark
	}
	opened := s.extreme(s.extreme(s.luma, n, true), n, false)
	pale, _ := s.over(opened, func(v, c float32) float32 { return v - c })
	if count(pale) > 2*count(dark) {
		return pale
	}
	return dark
}

func count(b []bool) (n int) {
	for _, v := range b {
		if v {
			n++
		}
	}
	return n
}

// over returns where the luminance differs from its surround by faintPart and
// hangs together with a place where it does by inkPart, and the piece's mean
// level.
func (s *sheet) over(around []float32, diff func(v, c float32) float32) ([]bool, float64) {
	faint, out := make([]bool, len(s.luma)), make([]bool, len(s.luma))
	var todo []int
	sum, n := 0.0, 0
	for k, v := range s.luma {
		if !s.in[k] {
			continue
		}
		c := around[k]
		sum += float64(v)
		n++
		part := diff(v, c) / (max(v, c) + stray)
		faint[k] = !s.spent[k] && part > faintPart
		if faint[k] && part > inkPart {
			out[k] = true
			todo = append(todo, k)
		}
	}
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, d := range [8]int{-s.w - 1, -s.w, -s.w + 1, -1, 1, s.w - 1, s.w, s.w + 1} {
			if q := k + d; q >= 0 && q < len(faint) && faint[q] && !out[q] {
				out[q] = true
				todo = append(todo, q)
			}
		}
	}
	return out, sum / float64(max(1, n))
}

// extreme is the least or greatest value in a square of 2n+1 cells, cells off
// the piece not counted: rows, then columns.
func (s *sheet) extreme(v []float32, n int, least bool) []float32 {
	rows := make([]float32, len(v))
	for j := range s.h {
		s.extremeLine(v, rows, j*s.w, 1, s.w, n, least)
	}
	out := make([]float32, len(v))
	for i := range s.w {
		s.extremeLine(rows, out, i, s.w, s.h, n, least)
	}
	return out
}

// none marks a value off the piece.
const none = -1

func (s *sheet) extremeLine(v, out []float32, first, step, long, n int, least bool) {
	for i := range long {
		best := float32(none)
		for j := max(0, i-n); j <= min(long-1, i+n); j++ {
			k := first + j*step
			x := v[k]
			if x == none || !s.in[k] {
				continue
			}
			if best == none || (least && x < best) || (!least && x > best) {
				best = x
			}
		}
		out[first+i*step] = best
	}
}
