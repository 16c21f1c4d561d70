package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// border is one closed border of a piece as it is being located in the
// photograph. All slices run together, about one point per pixel.
type border struct {
	// at is the best known place, px; out the unit normal leaving the piece.
	at, out loop
	// in and bg are the coded colours just inside and outside.
	in, bg [][3]float32
	// wall is how wide a raised piece's wall is seen, px, 0 on sides that face
	// away from the camera; nil for pieces in the mat's plane.
	wall []float64
}

// intoPhoto carries a loop of the sheet into the photograph, one point a px.
func intoPhoto(s *sheet, in *Input, l loop) loop {
	out := make(loop, len(l))
	for i, p := range l {
		out[i] = in.View.ToPhoto(s.toMM(p.X, p.Y))
	}
	return out.resample(1)
}

// newBorder prepares the search: normals from the rough border, the piece's
// colours from reach px inside, averaged along it.
func newBorder(f *finder, l loop, reach float64) *border {
	n := len(l)
	b := &border{at: l, out: make(loop, n), in: make([][3]float32, n), bg: make([][3]float32, n)}
	for i := range l {
		b.out[i] = l.outward(i, 4)
	}
	b.findWalls(f.in)
	b.colours(f, reach, 8)
	return b
}

// colours samples the inside at 0.7 and 1 reach and averages along the
// border over half points either way. The outside is the bare ground's colour
// there, so that a printed line beside the edge does not turn the sense of
// the step.
func (b *border) colours(f *finder, reach float64, half int) {
	in := make([][3]float32, len(b.at))
	for i, q := range b.at {
		for _, r := range []float64{0.7 * reach, reach} {
			c := colourAt(f.in.Photo, q.X-r*b.out[i].X, q.Y-r*b.out[i].Y)
			for k := range c {
				in[i][k] += c[k] / 2
			}
		}
	}
	limit := farWallPx * 1.0
	if reach < 5 {
		limit = wideWallPx
	}
	b.topColours(f.in.Photo, in, 0.7*reach, reach, limit)
	runningMean(in, b.in, half)
	const every = 8
	for i := 0; i < len(b.at); i += every {
		c := f.groundAt(b.at[i])
		for j := i; j < min(i+every, len(b.at)); j++ {
			b.bg[j] = c
		}
	}
}

// recolour samples the inside again, at 0.7 and 1 reach inside of where the
// edge was read, where that lies well inside the rough border: there the
// colours just inside were the ground's, or a shadow's on it. It reports
// whether there was such a place.
func (b *border) recolour(p *photo.Photo, r []reading, reach float64) bool {
	const farPx = -1.5
	in := slices.Clone(b.in)
	some := false
	for i, q := range b.at {
		if !r[i].ok || r[i].offset > farPx || b.wallPx(i) > 0 {
			continue
		}
		some = true
		in[i] = [3]float32{}
		for _, d := range [2]float64{r[i].offset - 0.7*reach, r[i].offset - reach} {
			c := colourAt(p, q.X+d*b.out[i].X, q.Y+d*b.out[i].Y)
			for k := range c {
				in[i][k] += c[k] / 2
			}
		}
	}
	if some {
		runningMean(in, b.in, 4)
	}
	return some
}

// groundAt returns the bare mat's coded colour at a place in the photograph.
func (f *finder) groundAt(p photo.Point) (c [3]float32) {
	m, ok := f.in.View.ToMat(p)
	if !ok {
		return c
	}
	s := f.sheet
	x, y := int((m.X-s.x0)/s.res), int((m.Y-s.y0)/s.res)
	g := f.ground
	if f.beside != nil && s.edgeMM(float64(x), float64(y)) < 0 {
		g = f.beside
	}
	g.at(max(0, min(x, s.w-1)), max(0, min(y, s.h-1)), &c)
	for k := range c {
		c[k] = float32(math.Exp(float64(c[k]))) - logFloor
	}
	return c
}

func runningMean(v, out [][3]float32, half int) {
	n := len(v)
	half = min(half, (n-1)/2)
	var sum [3]float32
	for j := -half; j <= half; j++ {
		for k := range sum {
			sum[k] += v[wrap(j, n)][k]
		}
	}
	f := 1 / float32(2*half+1)
	for i := range v {
		for k := range sum {
			out[i][k] = sum[k] * f
			sum[k] += v[wrap(i+half+1, n)][k] - v[wrap(i-half, n)][k]
		}
	}
}

const offsetStep = 0.5 // px between the places tried along a normal

// snap moves the border to the strongest nearby edge of the right sense, by
// the cheapest closed path through the strip of all offsets (dynamic
// programming; Geiger et al. 1995). Printed lines that meet the edge, texture
// and noise are stepped over because the path may not jump.
func (b *border) snap(f *finder, reach float64) {
	widest := reach
	for i := range b.wall {
		widest = max(widest, reach+min(b.wallPx(i), 2*reach))
	}
	m := 2*int(widest/offsetStep) + 1
	n := len(b.at)
	gain := b.gains(f, m, reach)
	best := cheapestLoop(gain, n, m)
	moved := make(loop, n)
	for i, j := range best {
		o := (float64(j) - float64(m/2)) * offsetStep
		moved[i] = photo.Point{X: b.at[i].X + o*b.out[i].X, Y: b.at[i].Y + o*b.out[i].Y}
	}
	b.at = moved
}

// gains returns for each point and offset how strongly the scalar changes
// there from inside to outside, as a part of the whole difference; beyond reach
// px, where only walls are looked for, there is none.
func (b *border) gains(f *finder, m int, reach float64) []float32 {
	n := len(b.at)
	gain := make([]float32, n*m)
	flat := powerTone(1)
	inParallel(n, func(lo, hi int) {
		v := make([]float32, m+4)
		q := probe{p: f.in.Photo, t: flat}
		for i := lo; i < hi; i++ {
			if b.wallPx(i) > 0 {
				b.wallGains(f, i, gain[i*m:(i+1)*m], reach)
				continue
			}
			past := f.lineGain != [3]float32{} && q.aimPast(b.in[i], b.bg[i], f.printedOn(b.bg[i]), plainPast)
			if !past {
				q.aim(b.in[i], b.bg[i])
			}
			level := func(c [3]float32) float32 {
				if q.luma {
					return 0.299*c[0] + 0.587*c[1] + 0.114*c[2]
				}
				return q.w[0]*c[0] + q.w[1]*c[1] + q.w[2]*c[2]
			}
			span := level(b.in[i]) - level(b.bg[i])
			if absf(span) < 4 {
				span = float32(math.Copysign(4, float64(span)))
			}
			for j := range v {
				o := (float64(j-2) - float64(m/2)) * offsetStep
				v[j] = q.at(b.at[i].X+o*b.out[i].X, b.at[i].Y+o*b.out[i].Y)
			}
			frame := f.frameAt(b.at[i], b.out[i])
			row := gain[i*m : (i+1)*m]
			for j := range row {
				g := (v[j] - v[j+4]) / span
				o := float32(j-m/2) * offsetStep
				row[j] = min(max(g, -0.3), 1)
				if g > 0.2 && !past && frame.onPrintedEdge(float64(o)) {
					row[j] = 0.2
				}
			}
			preferInner(row)
			if b.wall != nil {
				keepWithin(row, reach)
			}
		}
	})
	return gain
}

// preferInner lowers every edge that has another one of the same sense
// further in: tape is even, so the first step met from inside is the piece's
// own edge and the next the far side of something printed beside it. A mild
// pull keeps the path near where the rough outline was.
func preferInner(row []float32) {
	const behind = 3 // steps, past the width of one blurred edge
	m := len(row)
	raw := make([]float32, m)
	copy(raw, row)
	var inner float32
	for j := range row {
		if j >= behind {
			inner = max(inner, raw[j-behind])
		}
		o := float32(j-m/2) * offsetStep
		row[j] = raw[j] - 0.7*max(0, inner-0.15) - 0.004*o*o
	}
}

// keepWithin takes the gain from offsets beyond reach px.
func keepWithin(row []float32, reach float64) {
	for j := range row {
		if o := float64(j-len(row)/2) * offsetStep; math.Abs(o) > reach {
			row[j] = -1
		}
	}
}

// cheapestLoop returns the offset index of every point on the closed path of
// greatest total gain whose neighbours differ by at most two steps; each
// step costs bend.
func cheapestLoop(gain []float32, n, m int) []int {
	const bend = 0.12
	lead := min(n, 40)
	total := n + 2*lead
	from := make([]int8, total*m)
	cost, next := make([]float32, m), make([]float32, m)
	for t := 0; t < total; t++ {
		row := gain[wrap(t-lead, n)*m:]
		for j := 0; j < m; j++ {
			best, by := float32(math.Inf(-1)), 0
			for d := -2; d <= 2; d++ {
				if k := j + d; k >= 0 && k < m {
					if c := cost[k] - bend*float32(abs(d)); c > best {
						best, by = c, d
					}
				}
			}
			next[j] = best + row[j]
			from[t*m+j] = int8(by)
		}
		cost, next = next, cost
	}
	return wayBack(from, n, m, slices.Index(cost, slices.Max(cost)))
}

// straighten gives every point the normal of the side it lies on, and drops
// it onto that side: of the stretches before, about and after it the one that
// is straightest counts, so that normals stay true right up to a corner
// (the choice of window is Kuwahara's, 1976).
func (b *border) straighten(arm int) {
	n := len(b.at)
	if n < 3*arm {
		return
	}
	at, out := make(loop, n), make(loop, n)
	for i := range b.at {
		var best lineFit
		for k, span := range [3][2]int{{-arm / 2, arm / 2}, {-arm, 0}, {0, arm}} {
			f := fitLine(b.at, i+span[0], i+span[1])
			if k == 0 || f.rms < 0.8*best.rms-0.02 {
				best = f
			}
		}
		d := b.at[i]
		t := (d.X-best.x)*best.tx + (d.Y-best.y)*best.ty
		at[i] = photo.Point{X: best.x + t*best.tx, Y: best.y + t*best.ty}
		out[i] = photo.Point{X: best.ty, Y: -best.tx}
	}
	b.at, b.out = at, out
}

// lineFit is a total-least-squares line through points of a loop: a point of
// it, its direction of travel, and the rms distance.
type lineFit struct{ x, y, tx, ty, rms float64 }

func fitLine(l loop, from, to int) lineFit {
	var sx, sy, sxx, sxy, syy float64
	o := l[wrap(from, len(l))]
	n := float64(to - from + 1)
	for i := from; i <= to; i++ {
		p := l[wrap(i, len(l))]
		x, y := p.X-o.X, p.Y-o.Y
		sx, sy = sx+x, sy+y
		sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
	}
	mx, my := sx/n, sy/n
	xx, xy, yy := sxx/n-mx*mx, sxy/n-mx*my, syy/n-my*my
	a := 0.5 * math.Atan2(2*xy, xx-yy)
	f := lineFit{x: o.X + mx, y: o.Y + my, tx: math.Cos(a), ty: math.Sin(a)}
	e := l[wrap(to, len(l))]
	if (e.X-o.X)*f.tx+(e.Y-o.Y)*f.ty < 0 {
		f.tx, f.ty = -f.tx, -f.ty
	}
	across := xx*f.ty*f.ty - 2*xy*f.tx*f.ty + yy*f.tx*f.tx
	f.rms = math.Sqrt(math.Max(0, across))
	return f
}
