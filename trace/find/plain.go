package find

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// A plain sheet of known size has no lines to learn the ground from, and what
// lies on it and beside it lies on two grounds, paper and table. Each is
// learnt from its own area: from the colour most of it has, growing from cell
// to cell as far as that changes slowly. Light and soft shadows do; the edge
// of a piece does not.

// plainCellMM is the size of a cell: far smaller than a piece.
const plainCellMM = 6

// plainShadow is how dark a shadow is forgiven that the ground did not follow,
// log units: no printed line tells a deeper one from grey tape.
const plainShadow = 0.1

// surface is a ground with its spread.
type surface struct {
	ground *field
	spread spread
}

// lookRoundSheet finds what lies on a plain sheet and round it.
func (f *finder) lookRoundSheet() {
	s := f.sheet
	on := func(x, y float64) bool { return s.edgeMM(x, y) > edgeBandMM }
	off := func(x, y float64) bool { return s.edgeMM(x, y) < -edgeBandMM }
	paper, ok := s.learnSurface(on, paperStep)
	if !ok {
		f.err = errNoGround
		return
	}
	table, ok := s.learnSurface(off, tableStep)
	if !ok {
		table = paper // the photograph shows nothing but the sheet
	}
	f.ground, f.spread, f.beside = paper.ground, paper.spread, table.ground
	mask := s.plainMask(paper, table)
	f.faint = s.faintThings(paper, mask)
	f.regions = s.regions(mask)
}

const (
	// edgeBandMM is the band about the sheet's edge in which both grounds and
	// any mixture of them are bare.
	edgeBandMM = 1.3
	// paperStep and tableStep are how much the ground may change from one cell
	// to the next, log units: paper is even, wood is not.
	paperStep, tableStep = 0.1, 0.2
)

// edgeMM is how far inside the sheet's edge a sheet pixel lies, mm; negative
// outside.
func (s *sheet) edgeMM(x, y float64) float64 {
	return s.res * min(x-s.minX, s.maxX-x, y-s.minY, s.maxY-y)
}

// learnSurface learns a ground from an area; false when too little of it is
// seen.
func (s *sheet) learnSurface(where func(x, y float64) bool, step float32) (surface, bool) {
	f := newField(s, plainCellMM)
	if s.cellMedians(f, where) < 12 {
		return surface{}, false
	}
	f.keepGrown(step)
	f.fillHoles()
	d := s.lowSpread(f, where)
	for range 2 {
		d.shadow = 0 // a cell under grey tape must not be learnt as shaded ground
		f, d = s.refineWhere(f, d, plainCellMM, where)
	}
	d.shadow = plainShadow
	return surface{f, d}, true
}

// keepGrown forgets the cells that cannot be reached from the commonest colour
// in small steps.
func (f *field) keepGrown(step float32) {
	type bin [3]int
	binAt := func(j int) bin {
		l, c1, c2 := deviation(f.c[0][j], f.c[1][j], f.c[2][j])
		round := func(v, by float32) int { return int(math.Floor(float64(v / by))) }
		return bin{round(l, 0.15), round(c1, 0.08), round(c2, 0.08)}
	}
	count := map[bin]int{}
	var most bin
	for j, n := range f.n {
		if n > 0 {
			b := binAt(j)
			if count[b]++; count[b] > count[most] {
				most = b
			}
		}
	}
	reached := make([]bool, len(f.n))
	var queue []int
	for j, n := range f.n {
		if n > 0 && binAt(j) == most {
			reached[j] = true
			queue = append(queue, j)
		}
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for _, j := range f.beside(i) {
			if f.n[j] > 0 && !reached[j] && f.close(i, j, step) {
				reached[j] = true
				queue = append(queue, j)
			}
		}
	}
	for j := range f.n {
		if f.n[j] > 0 && !reached[j] {
			f.forget(j)
		}
	}
}

// beside are the up to four neighbours of a cell.
func (f *field) beside(i int) []int {
	out := make([]int, 0, 4)
	if i%f.w > 0 {
		out = append(out, i-1)
	}
	if i%f.w < f.w-1 {
		out = append(out, i+1)
	}
	if i >= f.w {
		out = append(out, i-f.w)
	}
	if i+f.w < len(f.n) {
		out = append(out, i+f.w)
	}
	return out
}

// close reports whether two cells differ by no more than a step in lightness
// and two thirds of it in chroma.
func (f *field) close(i, j int, step float32) bool {
	l, c1, c2 := deviation(f.c[0][i]-f.c[0][j], f.c[1][i]-f.c[1][j], f.c[2][i]-f.c[2][j])
	return absf(l) < step && max(absf(c1), absf(c2)) < step*2/3
}

// lowSpread is the spread of an area of which up to a half is covered: from
// the 30th percentile of the deviations, 0.385 standard deviations.
func (s *sheet) lowSpread(f *field, where func(x, y float64) bool) spread {
	var dev [3][]float32
	row := newRow(s.w)
	for y := 1; y < s.h; y += 3 {
		f.rowAt(y, s.w, &row)
		for x := 1; x < s.w; x += 3 {
			i := s.index(x, y)
			if s.seen[i] == 0 || !where(float64(x), float64(y)) {
				continue
			}
			l, c1, c2 := deviation(s.ch[0][i]-row[0][x], s.ch[1][i]-row[1][x], s.ch[2][i]-row[2][x])
			dev[0], dev[1], dev[2] = append(dev[0], absf(l)), append(dev[1], absf(c1)), append(dev[2], absf(c2))
		}
	}
	return spreadAt(dev, 0.3, 1/0.385)
}

// plainMask marks what is neither paper nor table, each in its place, and
// leaves the sheet's colours as deviations from the ground below.
func (s *sheet) plainMask(paper, table surface) []uint8 {
	mask := make([]uint8, s.w*s.h)
	inParallel(s.h, func(lo, hi int) {
		a, b := newRow(s.w), newRow(s.w)
		for y := lo; y < hi; y++ {
			paper.ground.rowAt(y, s.w, &a)
			table.ground.rowAt(y, s.w, &b)
			for x := 0; x < s.w; x++ {
				i := y*s.w + x
				p := [3]float32{a[0][x], a[1][x], a[2][x]}
				t := [3]float32{b[0][x], b[1][x], b[2][x]}
				if s.seen[i] == 0 || s.plainCovers(paper, table, p, t, i, s.edgeMM(float64(x), float64(y))) {
					mask[i] = 1
				}
				if s.edgeMM(float64(x), float64(y)) < 0 {
					p = t
				}
				c := [3]float32{s.ch[0][i], s.ch[1][i], s.ch[2][i]}
				s.ch[0][i], s.ch[1][i], s.ch[2][i] = deviation(c[0]-p[0], c[1]-p[1], c[2]-p[2])
			}
		}
	})
	return mask
}

// plainCovers decides one pixel, inMM inside the sheet's edge.
func (s *sheet) plainCovers(paper, table surface, p, t [3]float32, i int, inMM float64) bool {
	off := func(d spread, g [3]float32) bool {
		return d.distance(deviation(s.ch[0][i]-g[0], s.ch[1][i]-g[1], s.ch[2][i]-g[2])) > nearest
	}
	switch {
	case inMM > edgeBandMM:
		return off(paper.spread, p)
	case inMM < -edgeBandMM:
		return off(table.spread, t)
	}
	const mixtures = 5
	for k := 0; k <= mixtures; k++ {
		u := float32(k) / mixtures
		g := [3]float32{p[0] + u*(t[0]-p[0]), p[1] + u*(t[1]-p[1]), p[2] + u*(t[2]-p[2])}
		if !off(table.spread, g) {
			return false
		}
	}
	return true
}

// faintThings are places on the paper where something of nearly its colour
// seems to lie: patches that depart from it too little to be outlined, away
// from all that was told from it. The sheet must hold deviations.
func (s *sheet) faintThings(paper surface, told []uint8) []mat.Point {
	// Over 3 mm noise and texture average out.
	soft := &sheet{res: s.res, w: s.w, h: s.h, seen: s.seen}
	for k := range soft.ch {
		soft.ch[k] = append([]float32(nil), s.ch[k]...)
	}
	for range int(math.Max(1, s.px(1.5))) {
		soft.smooth()
	}
	mask := make([]uint8, s.w*s.h)
	away := chamfer(told, 0, s.w, s.h)
	const awayMM = 4
	clear := uint16(3 * s.px(awayMM))
	d := paper.spread
	const faint = 5 // squared standard deviations of a single pixel
	for y := range s.h {
		for x := range s.w {
			i := s.index(x, y)
			c1, c2 := soft.ch[1][i]/d.c1, soft.ch[2][i]/d.c2
			l := max(0, soft.ch[0][i]) / d.l // brighter: darker is shade
			if away[i] > clear && s.edgeMM(float64(x), float64(y)) > 2*edgeBandMM && l*l+c1*c1+c2*c2 > faint {
				mask[i] = 1
			}
		}
	}
	var out []mat.Point
	_, list := blobs(openThin(mask, s.w, s.h, s.px(minDepthMM/2)), 1, s.w, s.h)
	for _, b := range list {
		if float64(b.area)*s.res*s.res >= minPieceMM2 {
			out = append(out, s.toMM(float64(b.minX+b.maxX)/2, float64(b.minY+b.maxY)/2))
		}
	}
	return out
}

// reportFaint tells of things that could not be told from the paper.
func (f *finder) reportFaint() {
	for _, at := range f.faint {
		f.problem(at, "Something of nearly the paper's own colour lies here, and its edge cannot be told from the paper. If it is a piece, lay it beside the sheet or on paper of another colour and photograph again.")
	}
}

// surroundings is the stretch of the plane to look at about a plain sheet, or
// about crossings clicked by hand: as far as the photograph shows, one size of
// the sheet to every side at most. The map is good on the sheet and fades
// beyond it.
func surroundings(in *Input, left, top, right, bottom float64) (l, t, r, b float64) {
	wide, high := right-left, bottom-top
	size := max(wide, high)
	l, t, r, b = left, top, right, bottom
	const steps = 12
	w, h := float64(in.Photo.Width-1), float64(in.Photo.Height-1)
	for k := 0; k <= steps; k++ {
		u := float64(k) / steps
		for _, p := range [4]photo.Point{{X: u * w}, {X: u * w, Y: h}, {Y: u * h}, {X: w, Y: u * h}} {
			m, ok := in.View.ToMat(p)
			if !ok { // beyond the horizon: as far as is looked at
				l, t, r, b = left-size, top-size, right+size, bottom+size
				break
			}
			l, r = min(l, m.X), max(r, m.X)
			t, b = min(t, m.Y), max(b, m.Y)
		}
	}
	return max(l, left-size), max(t, top-size), min(r, right+size), min(b, bottom+size)
}
