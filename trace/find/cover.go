package find

import (
	"math"
	"slices"
)

// coverTable is what the printed lines teach about colours: for a deviation
// from the ground, how often the lines showed beside it (bare mat, shadows
// included) and how often they did not (something lies on it).
type coverTable struct {
	bare, covered []float32
}

const (
	binsL, binsC = 40, 24
	stepL, stepC = 0.08, 0.07
)

func bin(v, step float32, n int) int {
	return max(0, min(n-1, int(math.Floor(float64(v/step)))+n/2))
}

func binOf(l, c1, c2 float32) int {
	return (bin(l, stepL, binsL)*binsC+bin(c1, stepC, binsC))*binsC + bin(c2, stepC, binsC)
}

// learnCover fills the table from the line samples; the sheet must still
// hold log colours, ground the bare mat's. A sample counts only when both
// sides of the line agree, so that edges teach nothing.
func learnCover(s *sheet, ground *field, samples []lineSample) *coverTable {
	t := &coverTable{
		bare:    make([]float32, binsL*binsC*binsC),
		covered: make([]float32, binsL*binsC*binsC),
	}
	for _, q := range samples {
		l0, a0, b0 := s.deviationAt(ground, int(q.left))
		l1, a1, b1 := s.deviationAt(ground, int(q.right))
		if absf(l0-l1) > 0.15 || absf(a0-a1) > 0.15 || absf(b0-b1) > 0.15 {
			continue
		}
		into := t.covered
		if q.shows {
			into = t.bare
		}
		into[binOf((l0+l1)/2, (a0+a1)/2, (b0+b1)/2)]++
	}
	t.bare, t.covered = blurBins(t.bare), blurBins(t.covered)
	return t
}

func (s *sheet) deviationAt(f *field, i int) (l, c1, c2 float32) {
	x, y := i%s.w, i/s.w
	var g [3]float32
	f.at(x, y, &g)
	return deviation(s.ch[0][i]-g[0], s.ch[1][i]-g[1], s.ch[2][i]-g[2])
}

// at interpolates the field at one sheet pixel.
func (f *field) at(x, y int, out *[3]float32) {
	i0, i1, t := f.span(float32(x), f.w)
	j0, j1, u := f.span(float32(y), f.h)
	for k := range f.c {
		c := f.c[k]
		top := c[j0*f.w+i0] + (c[j0*f.w+i1]-c[j0*f.w+i0])*t
		bot := c[j1*f.w+i0] + (c[j1*f.w+i1]-c[j1*f.w+i0])*t
		out[k] = top + (bot-top)*u
	}
}

// blurBins sums each bin with its neighbours one step along every axis.
func blurBins(v []float32) []float32 {
	for _, stride := range []int{1, binsC, binsC * binsC} {
		out := make([]float32, len(v))
		for i := range v {
			out[i] = v[i]
			if i >= stride {
				out[i] += v[i-stride] / 2
			}
			if i+stride < len(v) {
				out[i] += v[i+stride] / 2
			}
		}
		v = out
	}
	return v
}

// verdict returns +1 when the lines say such a colour covers the mat, -1
// when they say it is bare, 0 when they do not say.
func (t *coverTable) verdict(bin int) int {
	bare, covered := t.bare[bin], t.covered[bin]
	if bare+covered < 60 {
		return 0
	}
	if covered > 4*bare {
		return 1
	}
	if bare > 4*covered {
		return -1
	}
	return 0
}

// coverMask marks the sheet pixels that are not bare mat, and replaces the
// sheet's colours by their deviation from the ground (lightness, red-green,
// blue-green).
func coverMask(s *sheet, ground *field, d spread, t *coverTable) []uint8 {
	mask := make([]uint8, s.w*s.h)
	far := farFrom(s, ground, d)
	say := make([]int8, len(t.bare))
	for i := range say {
		say[i] = int8(t.verdict(i))
	}
	inParallel(s.h, func(lo, hi int) {
		row := newRow(s.w)
		for y := lo; y < hi; y++ {
			ground.rowAt(y, s.w, &row)
			for x := 0; x < s.w; x++ {
				i := y*s.w + x
				l, c1, c2 := deviation(s.ch[0][i]-row[0][x], s.ch[1][i]-row[1][x], s.ch[2][i]-row[2][x])
				s.ch[0][i], s.ch[1][i], s.ch[2][i] = l, c1, c2
				if s.seen[i] == 0 || covers(d, far, say, l, c1, c2) {
					mask[i] = 1
				}
			}
		}
	})
	return mask
}

// coverColoured marks what is of another colour than the ground, too, where it
// is as bright at least, even and no fringe: beside a boldly white piece its
// blue edge on a blue mat is near the ground. The narrow ground between two
// pieces, blurred into both, is not even. The sheet holds deviations by now.
func (s *sheet) coverColoured(mask []uint8, d spread) {
	const thinMM, shaded = 0.95, -0.1 // mm; log units
	other, even := make([]uint8, len(mask)), make([]uint8, len(mask))
	for y := 2; y < s.h-2; y++ {
		for x := 2; x < s.w-2; x++ {
			i := s.index(x, y)
			if mask[i] != 0 || s.seen[i] != 1 || s.ch[0][i] < shaded || !s.onGrid(float64(x), float64(y)) {
				continue
			}
			if a, b := s.ch[1][i]/d.c1, s.ch[2][i]/d.c2; a*a+b*b > nearest {
				other[i] = 1
				if s.isEven(i, d) {
					even[i] = 1
				}
			}
		}
	}
	core := openThin(even, s.w, s.h, math.Max(1.3, s.px(thinMM)))
	near := chamfer(core, 0, s.w, s.h)
	const blurPx = 3
	for i, v := range other {
		if v == 1 && near[i] <= 3*blurPx {
			mask[i] = 1
		}
	}
}

// isEven reports whether the colour two pixels away on all sides is the same but
// for the ground's own spread.
func (s *sheet) isEven(i int, d spread) bool {
	const times = 5
	for k, sigma := range [3]float32{d.l, d.c1, d.c2} {
		for _, j := range [4]int{i - 2, i + 2, i - 2*s.w, i + 2*s.w} {
			if absf(s.ch[k][j]-s.ch[k][i]) > times*sigma {
				return false
			}
		}
	}
	return true
}

// Bounds on how far from the ground, in squared standard deviations, a colour
// must lie to be something else.
const nearest, farthest = 64, 1200

// farFrom returns that bound for this sheet: a sixth of the way (squared) of
// all but the faintest fifth of what clearly lies on the mat. Where pieces
// stand out boldly, the colour fringes of printed lines are then left alone;
// where tape is close to the mat's colour the bound stays low.
func farFrom(s *sheet, ground *field, d spread) float32 {
	var v []float32
	row := newRow(s.w)
	for y := int(max(0, s.minY)); y < min(s.h, int(s.maxY)); y += 5 {
		ground.rowAt(y, s.w, &row)
		for x := int(max(0, s.minX)); x < min(s.w, int(s.maxX)); x += 5 {
			i := s.index(x, y)
			l, c1, c2 := deviation(s.ch[0][i]-row[0][x], s.ch[1][i]-row[1][x], s.ch[2][i]-row[2][x])
			if q := d.distance(l, c1, c2); q > nearest && s.seen[i] == 1 {
				v = append(v, q)
			}
		}
	}
	if len(v) == 0 {
		return nearest
	}
	slices.Sort(v)
	return min(max(v[len(v)/5]/6, nearest), farthest)
}

// covers decides one pixel. What is near the ground is bare unless the
// lines say otherwise, what is far off is covered; a shade as the lines were
// seen in is bare further out.
func covers(d spread, far float32, say []int8, l, c1, c2 float32) bool {
	q := d.distance(l, c1, c2)
	v := say[binOf(l, c1, c2)]
	plain := (l/d.l)*(l/d.l) + (c1/d.c1)*(c1/d.c1) + (c2/d.c2)*(c2/d.c2)
	switch {
	case v > 0:
		return plain > max(25, far/3)
	case v < 0 && l < 0:
		return q > max(120, far)
	}
	return q > far
}

// closeSeams covers the seam where two colours of one piece meet: blurred
// into one another, blue and yellow for instance, they make the mat's own grey
// for a pixel or two. A slit so narrow between two pieces does not occur.
func (s *sheet) closeSeams(mask []uint8) {
	const apart = 0.25 // log units of chroma that the two sides differ by
	var seams []int
	steps := [4]int{1, s.w, s.w + 1, s.w - 1}
	for y := 5; y < s.h-5; y++ {
		for i := y*s.w + 5; i < (y+1)*s.w-5; i++ {
			if mask[i] == 0 && s.onGrid(float64(i%s.w), float64(y)) && mask[i-1]+mask[i+1]+mask[i-s.w]+mask[i+s.w] > 0 && s.isSeam(mask, i, steps, apart) {
				seams = append(seams, i)
			}
		}
	}
	for _, i := range seams {
		mask[i] = 1
	}
}

// isSeam looks for covered ground of two colours on opposite sides of a
// sheet pixel; the colours are read past the blur.
func (s *sheet) isSeam(mask []uint8, i int, steps [4]int, apart float32) bool {
	const widest, past = 3, 2
	for _, d := range steps {
		a, b := 1, 1
		for a <= widest && mask[i-a*d] == 0 {
			a++
		}
		for b <= widest && mask[i+b*d] == 0 {
			b++
		}
		if a+b > widest+1 {
			continue
		}
		j, k := i-(a+past)*d, i+(b+past)*d
		if j < 0 || k >= len(mask) || mask[j] == 0 || mask[k] == 0 {
			continue
		}
		if absf(s.ch[1][j]-s.ch[1][k])+absf(s.ch[2][j]-s.ch[2][k]) > apart && s.blends(i, j, k) && s.goesOver(i-(a-1)*d, i+(b-1)*d, j, k) {
			return true
		}
	}
	return false
}

// goesOver reports whether the colour goes over from that at j to that at k
// between the first and last pixel of a seam. In a slit it does not: the mat,
// even where its colour is a mixture of the two, stays what it is.
func (s *sheet) goesOver(first, last, j, k int) bool {
	if first == last {
		return true
	}
	var way, all float32
	for _, c := range s.ch {
		d := c[k] - c[j]
		way, all = way+(c[last]-c[first])*d, all+d*d
	}
	const part = 0.25
	return way > part*all
}

// blends reports whether the colour at i is a mixture of those at j and k: in
// a slit between two pieces it is the mat's, which is not. Lightness may stray
// farther than hue: the rim of a tape is shaded.
func (s *sheet) blends(i, j, k int) bool {
	slack := [3]float32{0.3, 0.18, 0.18} // log units
	for n, c := range s.ch {
		if c[i] < min(c[j], c[k])-slack[n] || c[i] > max(c[j], c[k])+slack[n] {
			return false
		}
	}
	return true
}
