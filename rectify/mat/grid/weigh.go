package grid

import (
	"math"

	"flatwright/rectify/photo"
)

const (
	// weighSpans bounds how many spans are weighed, and weighProfiles how many
	// profiles across each.
	weighSpans    = 5000
	weighProfiles = 5
	// weighReachPart is how far to either side of a line, in spacings, its ink
	// is summed up, and at most so many px; weighSidePart is where the ground
	// beside it is looked at.
	weighReachPart = 0.28
	weighReachPx   = 9
	weighSidePart  = 0.38
)

// weigh measures the ink of the spans seen in the photograph itself, where
// thin lines are not blurred to the width of thick ones: the sum of what a
// line's profile stands out from the ground on both sides, px times grey
// levels. Until the lattice is counted anew the classes go by it.
func (g *lattice) weigh(p *photo.Photo) {
	g.weighed = map[span]float64{}
	for _, s := range thin(g.spans(), weighSpans) {
		if v, ok := g.inkIn(p, s); ok {
			g.weighed[s] = v
		}
	}
}

// inkIn returns the median ink over the profiles across a span.
func (g *lattice) inkIn(p *photo.Photo, s span) (float64, bool) {
	c, ok := courseOf(g.model, s, 0, func(q photo.Point) (x, y float64) { return q.X, q.Y })
	if !ok {
		return 0, false
	}
	x, y, nx, ny := c.at(0.5)
	at := g.seen[s].at
	off := (at.X-x)*nx + (at.Y-y)*ny
	spacing := g.stepAcross(s, 0) * float64(g.lvl.factor)
	reach := math.Min(weighReachPart*spacing, weighReachPx)
	side := math.Max(weighSidePart*spacing, reach)
	side = math.Min(side, reach+4)
	var inks []float64
	for k := range weighProfiles {
		x, y, nx, ny := c.at(0.2 + 0.6*float64(k)/(weighProfiles-1))
		luma := func(o float64) float64 {
			return p.LumaAt(photo.Point{X: x + (off+o)*nx, Y: y + (off+o)*ny})
		}
		ground := (luma(-side) + luma(side)) / 2
		const stepPx = 0.5
		sum := 0.0
		for o := -reach; o <= reach; o += stepPx {
			sum += (luma(o) - ground) * stepPx
		}
		inks = append(inks, sum*float64(g.pol))
	}
	v := median(inks)
	return v, v > 0
}
