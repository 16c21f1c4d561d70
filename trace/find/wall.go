package find

import (
	"math"

	"flatwright/rectify/photo"
)

// On sides that face the camera two edges run along each other: the upper
// edge, where the top gives way to the wall, and the wall's foot on the mat.
// How far apart they are seen is known, so both are looked for together: the
// tones of top, wall and mat may be anything.

const (
	// leastWallPx is the narrowest wall that makes a difference.
	leastWallPx = 0.7
	// wideWallPx is the width from which the foot is read by itself.
	wideWallPx = 12
	// farWallPx bounds the width over which the upper edge helps to tell the
	// wall's foot from other edges.
	farWallPx = 60
)

// findWalls notes how wide the wall is seen at every point of the border.
func (b *border) findWalls(in *Input) {
	if in.Raised == nil {
		return
	}
	b.wall = make([]float64, len(b.at))
	for i := range b.at {
		if w, rise := in.lean(b.at[i], b.out[i]); w > 0.05*rise {
			b.wall[i] = w
		}
	}
}

// wallPx is the width of the wall at a point, 0 for none.
func (b *border) wallPx(i int) float64 {
	if b.wall == nil || b.wall[i] < leastWallPx {
		return 0
	}
	return b.wall[i]
}

// narrow reports whether wall and upper edge are read together at a point.
func (b *border) narrow(i int) bool {
	w := b.wallPx(i)
	return w > 0 && w <= wideWallPx
}

// topColours replaces the inside's colours, sampled from near to far px
// inside, by the top's where a wall narrower than limit lies between.
func (b *border) topColours(p *photo.Photo, in [][3]float32, near, far, limit float64) {
	for i := range in {
		w := b.wallPx(i)
		if w == 0 || w > limit {
			continue
		}
		in[i] = [3]float32{}
		for _, r := range []float64{w + near, w + far} {
			c := colourAt(p, b.at[i].X-r*b.out[i].X, b.at[i].Y-r*b.out[i].Y)
			for k := range c {
				in[i][k] += c[k] / 2
			}
		}
	}
}

// wallGains fills a row of gains for a near side: at every offset the step
// there and the step a wall's width further in, together. Either may go up or
// down, in any colour: the tones of top, wall and mat come in any order.
func (b *border) wallGains(f *finder, i int, row []float32, reach float64) {
	w, m, p := b.wallPx(i), len(row), f.in.Photo
	frame := f.frameAt(b.at[i], b.out[i])
	step := func(o float64) float32 {
		a, z := o-2*offsetStep, o+2*offsetStep
		c := colourAt(p, b.at[i].X+a*b.out[i].X, b.at[i].Y+a*b.out[i].Y)
		e := colourAt(p, b.at[i].X+z*b.out[i].X, b.at[i].Y+z*b.out[i].Y)
		for k := range c {
			c[k] -= e[k]
		}
		const noise, half = 6, 30 // levels
		d := max(0, float32(math.Sqrt(float64(dot(c, c))))-noise)
		if frame.nearPrinted(o) {
			d *= 0.2
		}
		return d / (d + half)
	}
	// The camera's height is known to a few per cent only.
	slack := int((0.3 + 0.03*w) / offsetStep)
	for j := range row {
		o := float64(j-m/2) * offsetStep
		if o < -reach || o > reach+min(w, 2*reach) {
			row[j] = -1
			continue
		}
		row[j] = step(o)
		if w > farWallPx {
			continue
		}
		var inner float32
		for k := -slack; k <= slack; k++ {
			inner = max(inner, step(o-w+float64(k)*offsetStep))
		}
		row[j] += inner - 0.002*float32(math.Abs(o))
	}
	b.pullInward(row, int(w/offsetStep))
}

// pullInward lowers every edge that has another one further in, as
// preferInner does, but for the wall's own upper edge.
func (b *border) pullInward(row []float32, wall int) {
	const behind = 3
	raw := append([]float32(nil), row...)
	for j := range row {
		var inner float32
		for k := 0; k <= j-behind; k++ {
			if abs(j-k-wall) > behind {
				inner = max(inner, raw[k])
			}
		}
		row[j] -= 0.5 * max(0, inner-0.3)
	}
}

// wallFit is the least-squares fit of a profile across a narrow wall.
type wallFit struct {
	offset, misfit   float64
	top, wall, floor float64
}

const (
	// wallBlurPx is the standard deviation of the blur that edges are seen in.
	wallBlurPx = 0.95
	// wallSearchPx is how far either way of the border the foot is looked for.
	wallSearchPx = 3.0
	wallStepPx   = 0.25
	wallRimPx    = 5.0
)

// blurred is a unit step under the blur.
var blurred = func() (t [401]float64) {
	for i := range t {
		x := float64(i-200) / 40
		t[i] = 0.5 * (1 + math.Erf(x/wallBlurPx/math.Sqrt2))
	}
	return t
}()

func blurredStep(x float64) float64 {
	i := int(math.Round(x*40)) + 200
	return blurred[max(0, min(i, len(blurred)-1))]
}

// readWalls locates the foot of narrow walls by both edges together.
func (b *border) readWalls(p *photo.Photo, linear, coded *tone, out []reading) {
	if b.wall == nil {
		return
	}
	inParallel(len(out), func(lo, hi int) {
		q := probe{p: p}
		var v []float64
		for i := lo; i < hi; i++ {
			if !b.narrow(i) {
				continue
			}
			q.aim(b.in[i], b.bg[i])
			if q.t = coded; q.luma {
				q.t = linear
			}
			v = b.wallProfile(&q, i, v)
			out[i] = fitWall(v, b.wall[i])
			out[i].luma = q.luma
		}
	})
}

// wallProfile samples the normal from wallRimPx inside the upper edge to
// wallRimPx outside the foot, every offsetStep px.
func (b *border) wallProfile(q *probe, i int, v []float64) []float64 {
	v = v[:0]
	at, out := b.at[i], b.out[i]
	tx, ty := -out.Y, out.X
	for o := -b.wall[i] - wallRimPx; o <= wallRimPx; o += offsetStep {
		x, y := at.X+o*out.X, at.Y+o*out.Y
		v = append(v, float64(0.5*q.at(x, y)+0.25*(q.at(x-tx, y-ty)+q.at(x+tx, y+ty))))
	}
	return v
}

// fitWall tries the foot at every offset and takes the one that the profile
// fits best: three levels blurred into one another, and a shade on the mat.
func fitWall(v []float64, w float64) reading {
	n := int(2*wallSearchPx/wallStepPx) + 1
	fits := make([]wallFit, n)
	best := 0
	for k := range fits {
		fits[k] = fitWallAt(v, w, float64(k)*wallStepPx-wallSearchPx)
		if fits[k].misfit < fits[best].misfit {
			best = k
		}
	}
	f := fits[best]
	if best == 0 || best == n-1 {
		return reading{in: float32(f.top), bg: float32(f.floor)}
	}
	a, c := fits[best-1].misfit, fits[best+1].misfit
	o := f.offset
	if d := a - 2*f.misfit + c; d > 0 {
		o += wallStepPx * (a - c) / (2 * d)
	}
	return reading{offset: o, in: float32(f.top), bg: float32(f.floor), ok: math.Abs(f.top-f.floor) > 4 || math.Abs(f.wall-f.floor) > 8}
}

// fitWallAt fits the levels for one place of the foot.
func fitWallAt(v []float64, w, foot float64) wallFit {
	// What little is seen of a very narrow wall is held near the usual shade,
	// and the mat's shade near none.
	const holdWall, holdShade = 0.5, 1.0
	var n normal4
	for k, y := range v {
		x := float64(k)*offsetStep - w - wallRimPx
		up, low := blurredStep(x-foot+w), blurredStep(x-foot)
		n.add([4]float64{1 - up, up - low, low, max(0, x-foot)}, y)
	}
	n.add([4]float64{-0.7 * holdWall, holdWall, -0.3 * holdWall, 0}, 0)
	n.add([4]float64{0, 0, 0, holdShade}, 0)
	x, left := n.solve()
	return wallFit{offset: foot, misfit: left, top: x[0], wall: x[1], floor: x[2]}
}

// normal4 are the normal equations of four unknowns.
type normal4 struct {
	a   [4][5]float64
	sum float64
}

func (n *normal4) add(c [4]float64, y float64) {
	for i := range c {
		if c[i] == 0 {
			continue
		}
		for j := range c {
			n.a[i][j] += c[i] * c[j]
		}
		n.a[i][4] += c[i] * y
	}
	n.sum += y * y
}

// solve returns the unknowns and the sum of squares left, by elimination;
// the equations are positive definite.
func (n *normal4) solve() (x [4]float64, left float64) {
	a := n.a
	for i := range a {
		a[i][i] += 1e-9
		for r := i + 1; r < 4; r++ {
			f := a[r][i] / a[i][i]
			for c := i; c < 5; c++ {
				a[r][c] -= f * a[i][c]
			}
		}
	}
	for i := 3; i >= 0; i-- {
		x[i] = a[i][4]
		for c := i + 1; c < 4; c++ {
			x[i] -= a[i][c] * x[c]
		}
		x[i] /= a[i][i]
	}
	left = n.sum
	for i := range x {
		left -= x[i] * n.a[i][4]
	}
	return x, left
}
