package grid

import (
	"context"
	"math"

	linear "gonum.org/v1/gonum/mat"

	"flatwright/rectify/photo"
)

const (
	// clearEnough is the height of lines over what noise let be looked at from
	// which luminance is good enough.
	clearEnough = 12
	// clearerTimes is how much clearer another plane must show them.
	clearerTimes = 1.3
	// fisherSpans is how many spans the plane is told from, fisherProfiles
	// from how many places of each.
	fisherSpans, fisherProfiles = 300, 5
	// planeNoiseGrey and planeContrastGrey are what noise and contrast are
	// stretched to in the 8 bits of the plane, whichever is met first.
	planeNoiseGrey, planeContrastGrey = 4, 80
)

// inClearestPlane returns the reading in the plane of the colours in which its
// lines stand out best from the noise, where luminance shows them poorly. A
// lattice once found says where lines and ground are; the direction that parts
// them best is Fisher's (The use of multiple measurements in taxonomic
// problems, Annals of Eugenics 7, 1936, 179-188).
func (r reading) inClearestPlane(ctx context.Context, p *photo.Photo) reading {
	g := r.lattice
	if !hasColour(p) || !g.enough() || g.clear() >= clearEnough {
		return r
	}
	t, ok := g.fisher(p)
	if !ok {
		return r
	}
	plane := inTint(p, t)
	l := levelOf(plane, g.lvl.factor)
	l.faint = g.lvl.faint
	l.findCrests()
	clear := &lattice{lvl: l, pol: bright, model: g.model, seen: map[span]sight{}, floor: l.floor, noise: l.floor}
	clear.probeAll(g.spans(), laterReachPitch)
	if !clear.enough() || clear.clear() < clearerTimes*g.clear() {
		return r
	}
	clear.raiseFloor()
	if clear.refit(ctx) != nil || !clear.enough() || !clear.beatsChance() {
		return r
	}
	r.plane, r.lattice = plane, clear
	return r
}

// clear is the typical height of the lines seen over the least that noise let
// be looked at.
func (g *lattice) clear() float64 { return g.typicalHeight() / g.noise }

// fisher returns the plane of the photograph's colours in which the lines
// stand out best, as brighter ones; false where they do not stand out at all.
func (g *lattice) fisher(p *photo.Photo) (tint, bool) {
	var on, off colours
	for _, s := range thin(g.spans(), fisherSpans) {
		for k := range fisherProfiles {
			along := 0.2 + 0.6*float64(k)/(fisherProfiles-1)
			on.add(g.standOut(p, s, along, 0))
			off.add(g.standOut(p, s, along, betweenPitch))
		}
	}
	if on.n < 50 || off.n < 50 {
		return tint{}, false
	}
	contrast := linear.NewVecDense(3, nil)
	contrast.SubVec(on.mean(), off.mean())
	spread := off.covariance()
	var w linear.VecDense
	if err := w.SolveVec(spread, contrast); err != nil {
		return tint{}, false
	}
	var v linear.VecDense
	v.MulVec(spread, &w)
	noise, height := math.Sqrt(linear.Dot(&w, &v)), linear.Dot(&w, contrast)
	if !(noise > 0) || !(height > 0) {
		return tint{}, false
	}
	gain := math.Min(planeNoiseGrey/noise, planeContrastGrey/height)
	return tint{r: gain * w.AtVec(0), g: gain * w.AtVec(1), b: gain * w.AtVec(2)}, true
}

// standOut is by how much the colour at a place of a span differs from the
// mean of those beside it; false where the photograph ends.
func (g *lattice) standOut(p *photo.Photo, s span, along, across float64) (d [3]float64, ok bool) {
	c, ok := courseOf(g.model, s, across, func(q photo.Point) (x, y float64) { return q.X, q.Y })
	if !ok {
		return d, false
	}
	x, y, nx, ny := c.at(along)
	side := math.Max(0.12*g.stepAcross(s, across)*float64(g.lvl.factor), 3)
	for _, k := range []struct{ off, weight float64 }{{0, 1}, {side, -0.5}, {-side, -0.5}} {
		at := photo.Point{X: x + k.off*nx, Y: y + k.off*ny}
		if !p.Inside(at, 1) {
			return d, false
		}
		i := 3 * (int(math.Round(at.Y))*p.Width + int(math.Round(at.X)))
		for ch := range d {
			d[ch] += k.weight * float64(p.RGB[i+ch])
		}
	}
	return d, true
}

// colours gathers colours.
type colours struct {
	n   float64
	sum [3]float64
	all [3][3]float64
}

func (c *colours) add(d [3]float64, ok bool) {
	if !ok {
		return
	}
	c.n++
	for i := range d {
		c.sum[i] += d[i]
		for j := range d {
			c.all[i][j] += d[i] * d[j]
		}
	}
}

func (c *colours) mean() *linear.VecDense {
	return linear.NewVecDense(3, []float64{c.sum[0] / c.n, c.sum[1] / c.n, c.sum[2] / c.n})
}

// covariance is that of the colours, with the noise of rounding to 8 bits and
// a little more on its diagonal, so that it can be solved for.
func (c *colours) covariance() *linear.SymDense {
	const least = 0.5
	out := linear.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			v := c.all[i][j]/c.n - c.sum[i]/c.n*c.sum[j]/c.n
			if i == j {
				v += least
			}
			out.SetSym(i, j, v)
		}
	}
	return out
}
