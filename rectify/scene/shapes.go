package scene

import (
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// cut is a piece's shape before it is laid on the mat, about its own origin.
type cut struct {
	shapeOutline
	openings []shapeOutline
}

func (c cut) moved(m motion) cut {
	out := cut{shapeOutline: c.shapeOutline.moved(m)}
	for _, o := range c.openings {
		out.openings = append(out.openings, o.moved(m))
	}
	return out
}

// shapeKinds are the shapes a random scene chooses from: what comes off
// helmets, armour and bags. Each takes its overall size in mm.
var shapeKinds = []func(rng *rand.Rand, size float64) cut{
	gore, panel, dartPanel, crescent, blob, strap, faceplate, bracket, shield, wedge,
}

// between is a random number from lo to hi.
func between(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

// gore is a pointed leaf, one eighth of a dome.
func gore(rng *rand.Rand, s float64) cut {
	l, a, b := s/2, s*between(rng, 0.12, 0.22), s*between(rng, 0.1, 0.2)
	return cut{shapeOutline: begin(-l, 0).
		curve(-l*0.4, -a*1.35, l*0.45, -a*1.3, l, 0).
		curve(l*0.4, b*1.4, -l*0.5, b*1.2, -l, 0).close()}
}

// panel is a four-cornered piece with bowed sides.
func panel(rng *rand.Rand, s float64) cut {
	w, h := s*between(rng, 0.35, 0.5), s*between(rng, 0.25, 0.42)
	j := func() float64 { return s * between(rng, -0.05, 0.05) }
	sag := func() float64 { return s * between(rng, -0.06, 0.09) }
	x0, y0 := -w+j(), -h+j()
	return cut{shapeOutline: begin(x0, y0).bow(w+j(), -h+j(), sag()).bow(w+j(), h+j(), sag()).
		bow(-w+j(), h+j(), sag()).bow(x0, y0, sag()).close()}
}

// dartPanel is a panel with a dart cut in from its lower edge.
func dartPanel(rng *rand.Rand, s float64) cut {
	w, h := s*between(rng, 0.36, 0.48), s*between(rng, 0.28, 0.4)
	at, deep, half := w*between(rng, -0.3, 0.3), h*between(rng, 0.7, 1.1), s*between(rng, 0.03, 0.07)
	return cut{shapeOutline: begin(-w, -h*0.8).bow(w, -h, s*0.07).line(w*0.9, h).
		bow(at+half, h*1.05, -s*0.012).line(at, h-deep).line(at-half, h*1.05).
		bow(-w*0.95, h, s*0.02).bow(-w, -h*0.8, s*0.03).close()}
}

// crescent is a curved band with square ends.
func crescent(rng *rand.Rand, s float64) cut {
	l, wide := s*0.5, s*between(rng, 0.16, 0.26)
	rise := s * between(rng, 0.15, 0.3)
	return cut{shapeOutline: begin(-l, 0).bow(l, 0, rise).line(l*1.02, wide).
		bow(-l*0.95, wide, -rise*between(rng, 0.75, 1)).close()}
}

// blob is a smooth shape without corners.
func blob(rng *rand.Rand, s float64) cut {
	o := ellipse(0, 0, s*between(rng, 0.3, 0.45), s*between(rng, 0.2, 0.32))
	return cut{shapeOutline: o}
}

// strap is long and narrow, one end round.
func strap(rng *rand.Rand, s float64) cut {
	l, h := s*0.55, s*between(rng, 0.06, 0.1)
	sag := s * between(rng, -0.04, 0.04)
	k := h * 4 / 3
	return cut{shapeOutline: begin(-l, -h).bow(l-h, -h, sag).
		curve(l-h+k, -h, l-h+k, h, l-h, h).bow(-l, h, -sag).close()}
}

// faceplate is a panel with an eye opening.
func faceplate(rng *rand.Rand, s float64) cut {
	w, h := s*0.45, s*between(rng, 0.3, 0.4)
	c := cut{shapeOutline: begin(-w, -h).bow(w, -h, s*0.08).bow(w*0.7, h, -s*0.03).
		bow(-w*0.7, h, s*0.05).bow(-w, -h, -s*0.03).close()}
	ox, oy := w*between(rng, -0.15, 0.15), -h*0.15
	if rng.IntN(2) == 0 {
		r := s * between(rng, 0.1, 0.14)
		c.openings = append(c.openings, ellipse(ox, oy, r, r*between(rng, 0.75, 1)))
		return c
	}
	e, v := s*between(rng, 0.15, 0.22), s*between(rng, 0.05, 0.08)
	c.openings = append(c.openings, begin(ox-e, oy).curve(ox-e*0.4, oy-v*1.6, ox+e*0.5, oy-v*1.5, ox+e, oy-v*0.4).
		curve(ox+e*0.5, oy+v*1.2, ox-e*0.4, oy+v*1.3, ox-e, oy).close())
	return c
}

// bracket is an L with a filleted inner corner.
func bracket(rng *rand.Rand, s float64) cut {
	l, t := s*0.42, s*between(rng, 0.2, 0.3)
	r := s * between(rng, 0.04, 0.1)
	x, y := -l+t, l-t
	k := r * 0.4477152502
	return cut{shapeOutline: begin(-l, -l).line(x, -l).line(x, y-r).
		curve(x, y-k, x+k, y, x+r, y).line(l, y).bow(l*0.94, l, s*0.01).line(-l, l).close()}
}

// shield has a point at the bottom and a scooped top.
func shield(rng *rand.Rand, s float64) cut {
	w, h := s*between(rng, 0.28, 0.36), s*between(rng, 0.36, 0.45)
	return cut{shapeOutline: begin(-w, -h).bow(w, -h, -s*between(rng, 0.02, 0.06)).
		curve(w*1.1, -h*0.1, w*0.8, h*0.5, 0, h).
		curve(-w*0.8, h*0.5, -w*1.1, -h*0.1, -w, -h).close()}
}

// wedge is a triangle with one bowed side.
func wedge(rng *rand.Rand, s float64) cut {
	l := s * 0.45
	return cut{shapeOutline: begin(-l, l*between(rng, 0.5, 0.8)).line(-l*between(rng, 0, 0.4), -l*0.8).
		bow(l, l*between(rng, 0.3, 0.7), s*between(rng, 0.02, 0.12)).close()}
}

// minGap is the smallest distance between two outlines if it is below limit,
// else limit; 0 when they overlap.
func minGap(a, b []mat.Point, limit float64) float64 {
	if contains(a, b[0]) || contains(b, a[0]) {
		return 0
	}
	return min(gapOneWay(a, b, limit), gapOneWay(b, a, limit))
}

// gapOneWay is the smallest distance of a's points from the outline b. Points
// inside b count as 0.
func gapOneWay(a, b []mat.Point, limit float64) float64 {
	box := boundsOf(b).grow(limit)
	edges := ringEdges(b)
	best := limit
	for _, p := range a {
		if p.X < box.minX || p.X > box.maxX || p.Y < box.minY || p.Y > box.maxY {
			continue
		}
		if contains(b, p) {
			return 0
		}
		best = min(best, nearestDistance(edges, p))
	}
	return best
}
