package find

import (
	"math"
	"slices"
)

// seedCell is what the line samples of one cell of the ground say.
type seedCell struct {
	// beside are the sheet pixels beside lines that show, hidden those beside
	// lines that do not.
	beside, hidden []int32
	// faint are all beside lines without their full contrast, parts what is
	// left of it.
	faint []int32
	parts []float32
}

// seedGround estimates the bare mat's colour from the ground beside the
// lines that show: cell by cell the median, so that a tape's edge nearby or
// a number does not pull. reach is how far, mm, a cell looks for witnesses: at
// least a line of the grid.
func seedGround(s *sheet, samples []lineSample, cellMM, reachMM float64) (*field, bool) {
	f := newField(s, cellMM)
	per, total := f.sort(s, samples)
	if total < 40 {
		return nil, false
	}
	var v []float32
	for j := range per {
		list := per[j].beside
		if len(list) < 6 {
			continue
		}
		c := s.medianOf(list, &v)
		f.set(j, c)
	}
	f.dropWritten(s, per, 1+int(s.px(reachMM))/f.cell)
	f.dropOddChroma()
	f.growGlare(s, per, 1+int(s.px(reachMM))/f.cell)
	f.fillHoles()
	return f, true
}

// sort deals the samples out to the cells; it returns how many show.
func (f *field) sort(s *sheet, samples []lineSample) (per []seedCell, shown int) {
	per = make([]seedCell, f.w*f.h)
	for n, q := range samples {
		if !s.even(q) {
			continue // an edge runs along the line
		}
		for _, i := range [2]int32{q.left, q.right} {
			x, y := int(i)%s.w, int(i)/s.w
			c := &per[y/f.cell*f.w+x/f.cell]
			switch {
			case q.shows:
				c.beside = append(c.beside, i)
			case n%hiddenEvery == 0:
				c.hidden = append(c.hidden, i)
			}
			if !q.shows {
				c.faint, c.parts = append(c.faint, i), append(c.parts, q.part)
			}
		}
		if q.shows {
			shown++
		}
	}
	return per, shown
}

// even reports whether both sides of a line have one colour.
func (s *sheet) even(q lineSample) bool {
	const slack = 0.15 // log units
	for k := range s.ch {
		if absf(s.ch[k][q.left]-s.ch[k][q.right]) > slack {
			return false
		}
	}
	return true
}

// hiddenEvery is which part of the samples without a line is kept.
const hiddenEvery = 4

// dropWritten forgets the cells on whose colour no lines are printed: what
// was taken for one is a pen stroke on tape that happens to lie where a line
// runs. Beside other lines within reach cells the same colour then shows none.
func (f *field) dropWritten(s *sheet, per []seedCell, reach int) {
	var drop []int
	for j, n := range f.n {
		if n > 0 && f.isWritten(s, per, j, reach) {
			drop = append(drop, j)
		}
	}
	for _, j := range drop {
		f.forget(j)
	}
}

// isWritten compares how many lines show and do not show about a cell on its
// own colour.
func (f *field) isWritten(s *sheet, per []seedCell, j, reach int) bool {
	x, y := j%f.w, j/f.w
	same := func(list []int32, every int) (n int) {
		for k := 0; k < len(list); k += every {
			if f.isLike(s, j, int(list[k])) {
				n += every
			}
		}
		return n
	}
	var shown, hidden int
	for v := max(0, y-reach); v <= min(f.h-1, y+reach); v++ {
		for u := max(0, x-reach); u <= min(f.w-1, x+reach); u++ {
			c := &per[v*f.w+u]
			shown += same(c.beside, hiddenEvery)
			hidden += hiddenEvery * same(c.hidden, 1)
		}
	}
	return hidden > 2*shown
}

// isLike reports whether a sheet pixel has a cell's colour, as light and
// grain leave it.
func (f *field) isLike(s *sheet, j, i int) bool {
	const slack = 0.12 // log units
	for k := range f.c {
		if absf(s.ch[k][i]-f.c[k][j]) > slack {
			return false
		}
	}
	return true
}

// medianOf is the median, channel by channel, of some sheet pixels; v is
// room to work in.
func (s *sheet) medianOf(list []int32, v *[]float32) (c [3]float32) {
	for k := range c {
		*v = (*v)[:0]
		for _, i := range list {
			*v = append(*v, s.ch[k][i])
		}
		slices.Sort(*v)
		c[k] = (*v)[len(*v)/2]
	}
	return c
}

func (f *field) set(j int, c [3]float32) {
	for k := range f.c {
		f.c[k][j] = c[k]
	}
	f.n[j] = 1
}

// growGlare carries the ground on into glare, which lies over ground and
// lines alike and leaves the lines little contrast: from cell to cell within
// reach, as long as the lines still show in part, the colour changes no faster
// than a sheen does, and no otherwise than by light that is added to it. The
// edge of a tape is a step, what shines through tape is less, and tape takes
// some of the ground's colours away.
func (f *field) growGlare(s *sheet, per []seedCell, reach int) {
	const least = 6
	glare := make([]int, 0, len(per))
	colour := make([][3]float32, len(per))
	var v []float32
	for j := range per {
		if f.n[j] > 0 || len(per[j].faint) < least || !showsInPart(per[j].parts) {
			continue
		}
		colour[j] = s.medianOf(per[j].faint, &v)
		glare = append(glare, j)
	}
	for grown := true; grown; {
		grown = false
		rest := glare[:0]
		for _, j := range glare {
			if !f.goesOn(j, colour[j], reach) {
				rest = append(rest, j)
				continue
			}
			f.set(j, colour[j])
			grown = true
		}
		glare = rest
	}
}

// showsInPart reports whether lines keep a part of their contrast, more than
// what shines through tape.
func showsInPart(parts []float32) bool {
	const least = 0.2
	p := slices.Clone(parts)
	slices.Sort(p)
	return p[len(p)/4] > least/2 && p[len(p)/2] > least
}

// goesOn reports whether a colour goes on smoothly from a known cell within
// reach of cell j.
func (f *field) goesOn(j int, c [3]float32, reach int) bool {
	const step = 0.1 // log units a cell
	x, y := j%f.w, j/f.w
	for v := max(0, y-reach); v <= min(f.h-1, y+reach); v++ {
		for u := max(0, x-reach); u <= min(f.w-1, x+reach); u++ {
			i := v*f.w + u
			slack := step * float32(max(u-x, x-u, v-y, y-v))
			if f.n[i] > 0 && absf(f.c[0][i]-c[0]) < slack && absf(f.c[1][i]-c[1]) < slack && absf(f.c[2][i]-c[2]) < slack &&
				differsByLight([3]float32{f.c[0][i], f.c[1][i], f.c[2][i]}, c) {
				return true
			}
		}
	}
	return false
}

// differsByLight reports whether two log colours differ by light alone, added to
// one of them: by nearly as much in all channels. Lamps are coloured, but less
// so than tape.
func differsByLight(a, b [3]float32) bool {
	const (
		same = 0.08 // of the brightest channel
		part = 0.35
	)
	var lo, hi, bright float64
	for k := range a {
		d := linearOf(b[k]) - linearOf(a[k])
		if k == 0 {
			lo, hi = d, d
		}
		lo, hi, bright = min(lo, d), max(hi, d), max(bright, linearOf(a[k]), linearOf(b[k]))
	}
	if -hi > lo || hi < 0 { // the first is the lighter one
		lo, hi = -hi, -lo
	}
	return hi < same*bright || lo > part*hi
}

// linearOf is the light of a channel of the sheet, 1 for white.
func linearOf(log float32) float64 {
	return math.Pow(max(0, math.Exp(float64(log))-logFloor)/255, blurPower)
}
