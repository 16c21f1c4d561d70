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
// the piece not counted; it is none where there are none.
func (s *sheet) extreme(v []float32, n int, least bool) []float32 {
	sign := float32(1)
	if !least {
		sign = -1 // the greatest is the least of the negatives
	}
	off := float32(math.Inf(1))
	out := make([]float32, len(v))
	for k, x := range v {
		if out[k] = sign * x; !s.in[k] || x == none {
			out[k] = off
		}
	}
	line := make([]float32, s.w+2*n)
	for j := range s.h {
		leastAlong(out[j*s.w:(j+1)*s.w], line, 1, n)
	}
	column := make([]float32, (s.h+2*n)*s.w)
	leastAlong(out, column, s.w, n)
	for k, x := range out {
		if out[k] = sign * x; x == off {
			out[k] = none
		}
	}
	return out
}

// none marks a value off the piece.
const none = -1

// leastAlong replaces every item of v by the least within n items either way,
// step apart; room holds v and n items more on both sides. The least over
// 2, 4, 8 … items comes from two halves.
func leastAlong(v, room []float32, step, n int) {
	off := float32(math.Inf(1))
	for k := range n * step {
		room[k], room[len(room)-1-k] = off, off
	}
	copy(room[n*step:], v)
	span := 1
	for ; 2*span <= 2*n+1; span *= 2 {
		ahead := room[span*step:]
		for k, x := range ahead {
			room[k] = min(room[k], x)
		}
	}
	ahead := room[(2*n+1-span)*step:]
	for k := range v {
		v[k] = min(room[k], ahead[k])
	}
}
