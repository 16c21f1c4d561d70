package find

import (
	"math"
	"slices"
)

// field is a smooth colour over the sheet (log RGB), held in cells and
// interpolated between their centres.
type field struct {
	w, h int
	cell int // sheet pixels a side
	c    [3][]float32
	n    []float32 // how much a cell knows, 0 when it is filled from others
}

func newField(s *sheet, cellMM float64) *field {
	cell := int(math.Max(4, s.px(cellMM)))
	f := &field{cell: cell, w: (s.w-1)/cell + 1, h: (s.h-1)/cell + 1}
	for k := range f.c {
		f.c[k] = make([]float32, f.w*f.h)
	}
	f.n = make([]float32, f.w*f.h)
	return f
}

// rowAt writes the field along sheet row y into out, one slice per channel.
func (f *field) rowAt(y, w int, out *[3][]float32) {
	j0, j1, t := f.span(float32(y), f.h)
	inv := 1 / float32(f.cell)
	for k := range f.c {
		a, b := f.c[k][j0*f.w:(j0+1)*f.w], f.c[k][j1*f.w:(j1+1)*f.w]
		o := out[k][:w]
		for x := 0; x < w; {
			u := (float32(x)+0.5)*inv - 0.5
			i := int(math.Floor(float64(u)))
			i0, i1 := max(0, min(i, f.w-1)), max(0, min(i+1, f.w-1))
			p := a[i0] + (b[i0]-a[i0])*t
			q := a[i1] + (b[i1]-a[i1])*t
			g := u - float32(i)
			for ; x < w && g < 1; x, g = x+1, g+inv {
				o[x] = p + (q-p)*g
			}
		}
	}
}

func (f *field) span(y float32, n int) (int, int, float32) {
	v := (y+0.5)/float32(f.cell) - 0.5
	j := int(math.Floor(float64(v)))
	return max(0, min(j, n-1)), max(0, min(j+1, n-1)), v - float32(j)
}

// fillHoles gives every cell that knows nothing the smooth continuation of
// those that do: pull-push (Gortler et al., The Lumigraph, 1996, §3.6; from
// memory).
func (f *field) fillHoles() {
	type level struct {
		w, h int
		c    [3][]float32
		n    []float32
	}
	up := func(a level) level {
		b := level{w: (a.w + 1) / 2, h: (a.h + 1) / 2}
		for k := range b.c {
			b.c[k] = make([]float32, b.w*b.h)
		}
		b.n = make([]float32, b.w*b.h)
		for i, n := range a.n {
			j := i/a.w/2*b.w + i%a.w/2
			b.n[j] += n
			for k := range b.c {
				b.c[k][j] += n * a.c[k][i]
			}
		}
		for j, n := range b.n {
			if n == 0 {
				continue
			}
			for k := range b.c {
				b.c[k][j] /= n
			}
			b.n[j] = min(n, 1)
		}
		return b
	}
	levels := []level{{f.w, f.h, f.c, slices.Clone(f.n)}}
	for i := range levels[0].n {
		levels[0].n[i] = min(levels[0].n[i], 1)
	}
	for l := levels[0]; l.w > 1 || l.h > 1; {
		l = up(l)
		levels = append(levels, l)
	}
	for i := len(levels) - 2; i >= 0; i-- {
		a, b := levels[i], levels[i+1]
		coarse := field{w: b.w, h: b.h, cell: 2, c: b.c}
		var row [3][]float32
		for k := range row {
			row[k] = make([]float32, a.w)
		}
		for y := 0; y < a.h; y++ {
			coarse.rowAt(y, a.w, &row)
			for x := 0; x < a.w; x++ {
				j := y*a.w + x
				for k := range row {
					a.c[k][j] += (row[k][x] - a.c[k][j]) * (1 - a.n[j])
				}
			}
		}
	}
}

// commonGround estimates the bare mat's colour where no lines show: cell by
// cell the median of all that is printed on, less the cells whose chroma is
// unlike most. It serves when at least half of the grid is bare.
func commonGround(s *sheet, cellMM float64) (*field, bool) {
	f := newField(s, cellMM)
	known := s.cellMedians(f, s.onGrid)
	f.dropOddLightness()
	f.dropOddChroma()
	f.fillHoles()
	return f, known > 4
}

// cellMedians gives every cell the median colour of what it holds of an area;
// it returns how many cells hold any.
func (s *sheet) cellMedians(f *field, where func(x, y float64) bool) (known int) {
	var v []float32
	for j := range f.n {
		x0, y0 := j%f.w*f.cell, j/f.w*f.cell
		for k := range f.c {
			v = v[:0]
			for y := y0; y < min(y0+f.cell, s.h); y += 2 {
				for x := x0; x < min(x0+f.cell, s.w); x += 2 {
					if i := s.index(x, y); s.seen[i] == 1 && where(float64(x), float64(y)) {
						v = append(v, s.ch[k][i])
					}
				}
			}
			if len(v) < 8 {
				break
			}
			slices.Sort(v)
			f.c[k][j], f.n[j] = v[len(v)/2], 1
		}
		known += int(f.n[j])
	}
	return known
}

// dropOddLightness forgets cells far brighter or darker than most.
func (f *field) dropOddLightness() {
	var v []float32
	for j, n := range f.n {
		if n > 0 {
			v = append(v, f.c[1][j])
		}
	}
	if len(v) == 0 {
		return
	}
	slices.Sort(v)
	const far = 0.5
	for j := range f.n {
		if absf(f.c[1][j]-v[len(v)/2]) > far {
			f.forget(j)
		}
	}
}

func (f *field) forget(j int) {
	f.n[j], f.c[0][j], f.c[1][j], f.c[2][j] = 0, 0, 0, 0
}

// dropOddChroma forgets cells whose chroma is far from the sheet's: light
// changes slowly and shifts all channels nearly alike, so such a cell lies
// on something else.
func (f *field) dropOddChroma() {
	var mid [2]float32
	chroma := func(j, k int) float32 { return f.c[2*k][j] - f.c[1][j] }
	for k := range mid {
		var v []float32
		for j, n := range f.n {
			if n > 0 {
				v = append(v, chroma(j, k))
			}
		}
		if len(v) == 0 {
			return
		}
		slices.Sort(v)
		mid[k] = v[len(v)/2]
	}
	const far = 0.22
	for j := range f.n {
		if f.n[j] > 0 && (absf(chroma(j, 0)-mid[0]) > far || absf(chroma(j, 1)-mid[1]) > far) {
			f.forget(j)
		}
	}
}

func absf(v float32) float32 {
	if v < 0 {
		return -v
	}
	return v
}

// deviation splits a log colour difference from the ground into lightness
// and two chroma differences.
func deviation(r, g, b float32) (l, c1, c2 float32) {
	l = 0.3*r + 0.5*g + 0.2*b
	return l, r - g, b - g
}

// spread is how much the bare mat itself departs from its smooth colour:
// robust standard deviations of lightness and chroma, log units.
type spread struct {
	l, c1, c2 float32
	// shadow is how dark a shadow is forgiven, log units.
	shadow float32
}

// shadowDepth is how much darker a shadow makes a mat on which printed lines
// are seen.
const shadowDepth = 0.55

// sameGround tells whether a deviation is still bare mat: lit a little
// differently (a shadow may darken it much) but of one chroma.
func (d spread) distance(l, c1, c2 float32) float32 {
	if l < 0 {
		// Shadows darken: a lightness down to exp(-shadow) is free of
		// charge beyond a chroma drift that grows with depth.
		depth := min(-l, d.shadow)
		slack := 0.12 * depth
		l = min(0, l+d.shadow)
		c1, c2 = shrinkTo(c1, slack), shrinkTo(c2, slack)
	}
	a, b, c := l/d.l, c1/d.c1, c2/d.c2
	return a*a + b*b + c*c
}

func shrinkTo(v, slack float32) float32 {
	if v > slack {
		return v - slack
	}
	if v < -slack {
		return v + slack
	}
	return 0
}

// refineGround re-estimates the ground from every pixel that looks like it,
// so that it follows shadows between the lines, and measures its spread.
func refineGround(s *sheet, f *field, d spread, cellMM float64) (*field, spread) {
	return s.refineWhere(f, d, cellMM, s.onGrid)
}

// refineWhere is refineGround for an area.
func (s *sheet) refineWhere(f *field, d spread, cellMM float64, where func(x, y float64) bool) (*field, spread) {
	next := newField(s, cellMM)
	var dev [3][]float32
	row := newRow(s.w)
	for y := 1; y < s.h; y += 2 {
		f.rowAt(y, s.w, &row)
		for x := 1 + y/2%2; x < s.w; x += 3 {
			i := y*s.w + x
			if s.seen[i] == 0 || !where(float64(x), float64(y)) {
				continue
			}
			r, g, b := s.ch[0][i], s.ch[1][i], s.ch[2][i]
			l, c1, c2 := deviation(r-row[0][x], g-row[1][x], b-row[2][x])
			if d.distance(l, c1, c2) > 14 || absf(l) > 0.3 {
				continue
			}
			j := y/next.cell*next.w + x/next.cell
			next.n[j]++
			next.c[0][j] += r
			next.c[1][j] += g
			next.c[2][j] += b
			if i%7 == 0 {
				dev[0], dev[1], dev[2] = append(dev[0], absf(l)), append(dev[1], absf(c1)), append(dev[2], absf(c2))
			}
		}
	}
	enough := float32(next.cell*next.cell) / 6 * 0.3
	for j, n := range next.n {
		if n < enough {
			next.forget(j)
			continue
		}
		for k := range next.c {
			next.c[k][j] /= n
		}
		next.n[j] = 1
	}
	next.fillHoles()
	if next.keepKnown(f) {
		next.fillHoles()
	}
	return next, spreadOf(dev)
}

// keepKnown takes over what another field of the same cells knew where this one
// was filled with something much brighter or darker. In the rim of a shadow
// hardly a pixel is as a field has it half way between two cells; what the cells
// beyond it would fill in may be the shadow's. It reports whether there was such
// a cell.
func (f *field) keepKnown(was *field) bool {
	const far = 0.12 // log units
	some := false
	for j := range f.n {
		if len(was.n) != len(f.n) || f.n[j] > 0 || was.n[j] == 0 || absf(was.c[1][j]-f.c[1][j]) < far {
			continue
		}
		f.set(j, [3]float32{was.c[0][j], was.c[1][j], was.c[2][j]})
		some = true
	}
	return some
}

// seedSpread is the spread of the ground beside the lines that show.
func seedSpread(s *sheet, f *field, samples []lineSample) spread {
	var dev [3][]float32
	for i := 0; i < len(samples); i += 3 {
		if q := samples[i]; q.shows {
			l, c1, c2 := s.deviationAt(f, int(q.left))
			dev[0], dev[1], dev[2] = append(dev[0], absf(l)), append(dev[1], absf(c1)), append(dev[2], absf(c2))
		}
	}
	return spreadOf(dev)
}

// spreadOf turns absolute deviations into robust standard deviations (1.48
// times the median), with a floor: no mat is evener than 1.2 %.
func spreadOf(dev [3][]float32) spread { return spreadAt(dev, 0.5, 1.48) }

// spreadAt is a multiple of a percentile of the deviations, with that floor.
func spreadAt(dev [3][]float32, part float64, times float32) spread {
	var v [3]float32
	for k := range v {
		v[k] = 0.03
		if n := len(dev[k]); n > 0 {
			slices.Sort(dev[k])
			v[k] = max(0.012, times*dev[k][min(int(part*float64(n)), n-1)])
		}
	}
	return spread{v[0], v[1], v[2], shadowDepth}
}

func newRow(w int) (row [3][]float32) {
	for k := range row {
		row[k] = make([]float32, w)
	}
	return row
}
