package raster

import (
	"image/color"
	"math"
	"runtime"
	"sync"

	"flatwright/app/desk/view"
)

// Pyramid is a picture and its halvings, from which any zoom is sampled at a
// cost that depends on the window alone. It is read-only once built and safe
// to share.
type Pyramid struct{ levels []level }

// level holds interleaved 8-bit RGB triples.
type level struct {
	w, h int
	rgb  []byte
}

// NewPyramid builds the halvings of a w by h picture of interleaved RGB
// triples down to about 256 px. The first level is rgb itself, not a copy.
func NewPyramid(rgb []byte, w, h int) *Pyramid {
	p := &Pyramid{levels: []level{{w, h, rgb}}}
	for {
		last := p.levels[len(p.levels)-1]
		if max(last.w, last.h) < 512 {
			return p
		}
		p.levels = append(p.levels, last.halved())
	}
}

// halved averages 2 by 2 pixels; an odd last row or column is used twice.
func (l level) halved() level {
	w, h := (l.w+1)/2, (l.h+1)/2
	out := level{w, h, make([]byte, 3*w*h)}
	inRows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			l.halveRow(out, y)
		}
	})
	return out
}

func (l level) halveRow(out level, y int) {
	a := l.rgb[3*l.w*(2*y):][:3*l.w]
	b := l.rgb[3*l.w*min(2*y+1, l.h-1):][:3*l.w]
	dst := out.rgb[3*out.w*y:][:3*out.w]
	for x := range out.w {
		i, j := 6*x, min(6*x+3, 3*l.w-3)
		for k := range 3 {
			dst[3*x+k] = byte((int(a[i+k]) + int(a[j+k]) + int(b[i+k]) + int(b[j+k]) + 2) >> 2)
		}
	}
}

// inRows runs f over bands of n rows on all processors.
func inRows(n int, f func(y0, y1 int)) {
	parts := min(runtime.GOMAXPROCS(0), 8)
	if n < 64 || parts < 2 {
		f(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := range parts {
		wg.Go(func() { f(n*i/parts, n*(i+1)/parts) })
	}
	wg.Wait()
}

// pick returns the level to sample at a scale in device pixels per photograph
// pixel, and how many photograph pixels one of its pixels is wide.
func (p *Pyramid) pick(scale float64) (level, float64) {
	i := 0
	if scale < 1 {
		i = int(math.Floor(math.Log2(1/scale) + 0.35))
	}
	i = min(i, len(p.levels)-1)
	return p.levels[i], math.Exp2(float64(i))
}

// Draw fills the canvas with the picture under a view whose world is the
// picture's pixels (centre of the top-left pixel at 0, 0) and the rest with
// one opaque colour. Pixels larger than eight device pixels are shown as
// squares, smaller ones smoothly.
func (p *Pyramid) Draw(c Canvas, v view.View, around color.NRGBA) {
	l, size := p.pick(v.Scale)
	w, h := c.Size()
	if w == 0 || h == 0 {
		return
	}
	s := newSampler(l, size, v, w)
	inRows(h, func(y0, y1 int) {
		t := s.band()
		for y := y0; y < y1; y++ {
			t.row(c.Pix[y*c.Stride:][:4*w], y, around)
		}
	})
}

// sampler holds what all rows share: for every column the two pixels it lies
// between and the weight of the second, in 1/256.
type sampler struct {
	level
	left, right []int32
	weight      []uint32
	x0, x1      int
	// yStart and step map a device row to a row of the level.
	yStart, step float64
	squares      bool
}

func newSampler(l level, size float64, v view.View, w int) *sampler {
	s := &sampler{
		level: l, step: 1 / (v.Scale * size), squares: v.Scale >= 8,
		left: make([]int32, w), right: make([]int32, w), weight: make([]uint32, w), x0: w, x1: 0,
	}
	// Centre of level pixel i lies at world i*size + (size-1)/2.
	start := func(offset float64) float64 { return ((0.5-offset)/v.Scale - (size-1)/2) / size }
	s.yStart = start(v.Offset.Y)
	x := start(v.Offset.X)
	for i := range w {
		a, b, f, inside := s.between(x+float64(i)*s.step, l.w)
		if !inside {
			continue
		}
		s.x0, s.x1 = min(s.x0, i), i+1
		s.left[i], s.right[i], s.weight[i] = int32(3*a), int32(3*b), f
	}
	return s
}

// between returns the two neighbours of a position and the weight of the
// second, 0 to 256.
func (s *sampler) between(at float64, n int) (a, b int, f uint32, inside bool) {
	if at < -0.5 || at >= float64(n)-0.5 {
		return 0, 0, 0, false
	}
	if s.squares {
		a = min(max(int(math.Floor(at+0.5)), 0), n-1)
		return a, a, 0, true
	}
	fl := math.Floor(at)
	a, b = max(int(fl), 0), min(int(fl)+1, n-1)
	return a, b, uint32((at - fl) * 256), true
}

// band is a sampler's memory for neighbouring rows: the last two source rows
// already resampled across, packed 0x00BB00RR and 0x000000GG.
type band struct {
	*sampler
	lines [2][]packed
	have  [2]int
}

type packed struct{ rb, g uint32 }

func (s *sampler) band() *band {
	n := max(0, s.x1-s.x0)
	return &band{sampler: s, lines: [2][]packed{make([]packed, n), make([]packed, n)}, have: [2]int{-1, -1}}
}

func (b *band) row(dst []byte, y int, around color.NRGBA) {
	top, bottom, f, inside := b.between(b.yStart+float64(y)*b.step, b.h)
	if !inside || b.x0 >= b.x1 {
		fillRow(dst, around)
		return
	}
	fillRow(dst[:4*b.x0], around)
	fillRow(dst[4*b.x1:], around)
	lo, hi := b.source(top, bottom), b.source(bottom, top)
	out := dst[4*b.x0 : 4*b.x1]
	for i, p := range lo {
		q := hi[i]
		rb := (p.rb*(256-f) + q.rb*f) >> 8
		g := (p.g*(256-f) + q.g*f) >> 8
		o := out[4*i : 4*i+4 : 4*i+4]
		o[0], o[1], o[2], o[3] = byte(rb), byte(g), byte(rb>>16), 255
	}
}

// source returns source row y resampled across; it may overwrite the stored
// row that is not keep.
func (b *band) source(y, keep int) []packed {
	slot := 0
	switch {
	case b.have[0] == y:
		return b.lines[0]
	case b.have[1] == y:
		return b.lines[1]
	case b.have[0] == keep:
		slot = 1
	}
	b.have[slot] = y
	src, line := b.rgb[3*b.w*y:][:3*b.w], b.lines[slot]
	for i := range line {
		x := b.x0 + i
		l, r, f := b.left[x], b.right[x], b.weight[x]
		p, q := src[l:l+3:l+3], src[r:r+3:r+3]
		rbP, rbQ := uint32(p[0])|uint32(p[2])<<16, uint32(q[0])|uint32(q[2])<<16
		line[i] = packed{
			rb: (rbP*(256-f) + rbQ*f) >> 8 & 0xff00ff,
			g:  (uint32(p[1])*(256-f) + uint32(q[1])*f) >> 8,
		}
	}
	return line
}

func fillRow(dst []byte, col color.NRGBA) {
	for i := 0; i+3 < len(dst); i += 4 {
		dst[i], dst[i+1], dst[i+2], dst[i+3] = col.R, col.G, col.B, 255
	}
}
