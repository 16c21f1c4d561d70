package find

import (
	"cmp"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// What a line drawn inside a piece looks like, mm. Registration marks and
// letters are shorter; dashes and their gaps are a few mm long.
const (
	lineMinMM     = 18.0
	dashMinMM     = 2.5
	dashGapMM     = 6.0
	penClearMM    = 1.3  // from the outline
	lineContrast  = 0.08 // log units darker than both sides
	ridgeSmoothMM = 0.45
)

// ridge holds the dark ridges of one region's lightness (Steger, PAMI 20(2),
// 1998, §2; from memory): where the second derivative across is greatest and
// the first one vanishes within the pixel.
type ridge struct {
	w, h int
	v    []float32 // smoothed lightness
	// at is the sub-pixel place of a line point, tx the direction of its line.
	at, dir []photo.Point
	on      []bool
	used    []bool
}

// readLines finds the pen lines drawn inside a piece.
func (f *finder) readLines(t *traced) [][]mat.Point {
	r := newRidge(f.sheet, t.region)
	var chains []loop
	for i, on := range r.on {
		if on && !r.used[i] {
			if c := r.chain(i); pathLength(c) >= f.sheet.px(dashMinMM) {
				chains = append(chains, c)
			}
		}
	}
	var out [][]mat.Point
	for _, c := range joinChains(chains, f.sheet.px(dashGapMM)) {
		if pathLength(c) < f.sheet.px(lineMinMM) || winding(c) > 2 {
			continue
		}
		out = append(out, f.onFace(t, f.sheet.lineMM(t.region, c))...)
	}
	return out
}

// onFace carries a line of a raised piece to its upper face. What is seen on
// the walls or along their edges is no line: the parts well inside are kept.
func (f *finder) onFace(t *traced, l []mat.Point) [][]mat.Point {
	if f.in.Raised == nil {
		return [][]mat.Point{l}
	}
	var out [][]mat.Point
	var run []mat.Point
	end := func() {
		if len(run) > lineMinMM { // a point a millimetre
			out = append(out, run)
		}
		run = nil
	}
	for _, p := range l {
		q := f.in.onTop(p)
		if !t.clear(q, penClearMM) {
			end()
			continue
		}
		run = append(run, q)
	}
	end()
	return out
}

// clear reports whether a place lies inside the outline and a distance away
// from every border.
func (t *traced) clear(p mat.Point, mm float64) bool {
	inside := false
	for _, l := range append([][]curve.Sample{t.piece.Outline}, t.piece.Openings...) {
		for i, q := range l {
			r := l[wrap(i+1, len(l))]
			a, b := q.At, r.At
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
				inside = !inside
			}
			if math.Abs(a.X-p.X)+math.Abs(a.Y-p.Y) < mm {
				return false
			}
		}
	}
	return inside
}

func newRidge(s *sheet, g *region) *ridge {
	n := g.w * g.h
	r := &ridge{w: g.w, h: g.h, at: make([]photo.Point, n), dir: make([]photo.Point, n), on: make([]bool, n), used: make([]bool, n)}
	r.v = smoothPatch(s, g, math.Max(1, s.px(ridgeSmoothMM)))
	depth := chamfer(g.in, 1, g.w, g.h)
	clear := uint16(3 * s.px(penClearMM))
	side := math.Max(2, s.px(1.1))
	for y := 3; y < g.h-3; y++ {
		for x := 3; x < g.w-3; x++ {
			if i := y*g.w + x; depth[i] > clear {
				r.test(x, y, side)
			}
		}
	}
	return r
}

// smoothPatch returns the region's lightness under a Gaussian.
func smoothPatch(s *sheet, g *region, sigma float64) []float32 {
	half := int(math.Ceil(2.5 * sigma))
	k := make([]float32, 2*half+1)
	var sum float32
	for i := range k {
		d := float64(i - half)
		k[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		sum += k[i]
	}
	tmp, out := make([]float32, g.w*g.h), make([]float32, g.w*g.h)
	inParallel(g.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			sy := max(0, min(g.y0+y, s.h-1))
			for x := 0; x < g.w; x++ {
				var a float32
				for j, w := range k {
					a += w * s.ch[0][sy*s.w+max(0, min(g.x0+x+j-half, s.w-1))]
				}
				tmp[y*g.w+x] = a / sum
			}
		}
	})
	inParallel(g.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			for j, w := range k {
				row := tmp[max(0, min(y+j-half, g.h-1))*g.w:][:g.w]
				for x, v := range row {
					out[y*g.w+x] += w / sum * v
				}
			}
		}
	})
	return out
}

// test marks pixel (x, y) when a dark line's centre passes through it.
func (r *ridge) test(x, y int, side float64) {
	i := y*r.w + x
	v := r.v
	gx, gy := float64(v[i+1]-v[i-1])/2, float64(v[i+r.w]-v[i-r.w])/2
	xx := float64(v[i+1] - 2*v[i] + v[i-1])
	yy := float64(v[i+r.w] - 2*v[i] + v[i-r.w])
	xy := float64(v[i+r.w+1]-v[i+r.w-1]-v[i-r.w+1]+v[i-r.w-1]) / 4
	a := 0.5 * math.Atan2(2*xy, xx-yy)
	nx, ny := math.Cos(a), math.Sin(a)
	curve := xx*nx*nx + 2*xy*nx*ny + yy*ny*ny
	if curve < lineContrast/8 {
		return
	}
	t := -(gx*nx + gy*ny) / curve
	if math.Abs(t*nx) > 0.6 || math.Abs(t*ny) > 0.6 {
		return
	}
	p := photo.Point{X: float64(x) + t*nx, Y: float64(y) + t*ny}
	l, u := r.near(p.X+side*nx, p.Y+side*ny), r.near(p.X-side*nx, p.Y-side*ny)
	if min(l, u)-v[i] < lineContrast {
		return
	}
	r.on[i], r.at[i], r.dir[i] = true, p, photo.Point{X: -ny, Y: nx}
}

func (r *ridge) near(x, y float64) float32 {
	i, j := int(math.Round(x)), int(math.Round(y))
	return r.v[max(0, min(j, r.h-1))*r.w+max(0, min(i, r.w-1))]
}

// chain links line points both ways from one of them.
func (r *ridge) chain(i int) loop {
	r.used[i] = true
	d := r.dir[i]
	ahead := r.walk(i, d)
	back := r.walk(i, photo.Point{X: -d.X, Y: -d.Y})
	slices.Reverse(back)
	return append(append(back, r.at[i]), ahead...)
}

func (r *ridge) walk(i int, d photo.Point) loop {
	var out loop
	for {
		best, next := 0.5, -1
		for dy := -2; dy <= 2; dy++ {
			for dx := -2; dx <= 2; dx++ {
				j := i + dy*r.w + dx
				if j < 0 || j >= len(r.on) || !r.on[j] || r.used[j] {
					continue
				}
				x, y := r.at[j].X-r.at[i].X, r.at[j].Y-r.at[i].Y
				far := math.Hypot(x, y)
				if far < 0.3 {
					r.used[j] = true
					continue
				}
				turn := math.Abs(r.dir[j].X*d.X + r.dir[j].Y*d.Y)
				if fit := (x*d.X+y*d.Y)/far + turn - 1 - 0.1*far; fit > best {
					best, next = fit, j
				}
			}
		}
		if next < 0 {
			return out
		}
		x, y := r.at[next].X-r.at[i].X, r.at[next].Y-r.at[i].Y
		far := math.Hypot(x, y)
		d = photo.Point{X: 0.6*d.X + 0.4*x/far, Y: 0.6*d.Y + 0.4*y/far}
		far = math.Hypot(d.X, d.Y)
		d.X, d.Y = d.X/far, d.Y/far
		r.used[next] = true
		out = append(out, r.at[next])
		i = next
	}
}

func pathLength(l loop) float64 {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += math.Hypot(l[i].X-l[i-1].X, l[i].Y-l[i-1].Y)
	}
	return sum
}

// winding is a chain's length over the distance of its ends.
func winding(l loop) float64 {
	a, b := l[0], l[len(l)-1]
	return pathLength(l) / math.Max(math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9)
}

// joinChains links chains end to end, longest first, where one goes on in
// the direction of the other across a gap.
func joinChains(chains []loop, gap float64) []loop {
	slices.SortFunc(chains, func(a, b loop) int { return cmp.Compare(pathLength(b), pathLength(a)) })
	var out []loop
	taken := make([]bool, len(chains))
	for i := range chains {
		if taken[i] {
			continue
		}
		taken[i] = true
		c := chains[i]
		for range 2 {
			for {
				j, turned := continuation(c, chains, taken, gap)
				if j < 0 {
					break
				}
				taken[j] = true
				n := slices.Clone(chains[j])
				if turned {
					slices.Reverse(n)
				}
				c = append(slices.Clip(c), n...)
			}
			slices.Reverse(c)
		}
		out = append(out, c)
	}
	return out
}

// continuation returns the chain that best goes on from the end of c, and
// whether it has to be turned round; -1 when none does.
func continuation(c loop, chains []loop, taken []bool, gap float64) (int, bool) {
	end, d := endOf(c)
	best, at, turned := gap, -1, false
	for j, n := range chains {
		if taken[j] {
			continue
		}
		for _, flip := range [2]bool{false, true} {
			m := n
			if flip {
				m = slices.Clone(n)
				slices.Reverse(m)
			}
			x, y := m[0].X-end.X, m[0].Y-end.Y
			far := math.Hypot(x, y)
			k := min(len(m)-1, 6)
			mx, my := m[k].X-m[0].X, m[k].Y-m[0].Y
			ml := math.Hypot(mx, my)
			if far >= best || ml == 0 || (mx*d.X+my*d.Y)/ml < 0.94 || far > 1.5 && (x*d.X+y*d.Y)/far < 0.96 {
				continue
			}
			best, at, turned = far, j, flip
		}
	}
	return at, turned
}

func endOf(c loop) (photo.Point, photo.Point) {
	a, b := c[max(0, len(c)-9)], c[len(c)-1]
	x, y := b.X-a.X, b.Y-a.Y
	d := math.Max(math.Hypot(x, y), 1e-9)
	return b, photo.Point{X: x / d, Y: y / d}
}

// lineMM smooths a chain of a region over about 2 mm and carries it to the
// mat, a point a millimetre.
func (s *sheet) lineMM(g *region, c loop) []mat.Point {
	half := int(s.px(1))
	var out []mat.Point
	last := math.Inf(-1)
	run := 0.0
	for i := range c {
		if i > 0 {
			run += math.Hypot(c[i].X-c[i-1].X, c[i].Y-c[i-1].Y)
		}
		if run-last < s.px(1) && i != len(c)-1 {
			continue
		}
		last = run
		var x, y, n float64
		k := min(half, i, len(c)-1-i)
		for j := i - k; j <= i+k; j++ {
			x, y, n = x+c[j].X, y+c[j].Y, n+1
		}
		out = append(out, s.toMM(float64(g.x0)+x/n, float64(g.y0)+y/n))
	}
	return out
}
