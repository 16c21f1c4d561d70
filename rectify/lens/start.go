package lens

import (
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// lineGroup is the samples of one printed line.
type lineGroup struct {
	family mat.Family
	index  int
	at     []photo.Point
}

// leastOnLine is how many samples make a line worth using in the start.
const leastOnLine = 2

// groupLines gathers finite samples on the lines of the pitch by line, sorted by family and index.
func groupLines(points []mat.LinePoint) []lineGroup {
	type key struct {
		family mat.Family
		index  int
	}
	found := map[key]*lineGroup{}
	for _, p := range points {
		if !p.OfPitch() || math.IsNaN(p.At.X+p.At.Y) || math.IsInf(p.At.X+p.At.Y, 0) {
			continue
		}
		k := key{p.Family, p.Index}
		g := found[k]
		if g == nil {
			g = &lineGroup{family: p.Family, index: p.Index}
			found[k] = g
		}
		g.at = append(g.at, p.At)
	}
	groups := []lineGroup{}
	for _, g := range found {
		if len(g.at) >= leastOnLine {
			groups = append(groups, *g)
		}
	}
	slices.SortFunc(groups, func(a, b lineGroup) int {
		if a.family != b.family {
			return int(a.family) - int(b.family)
		}
		return a.index - b.index
	})
	return groups
}

func checkGroups(groups []lineGroup) error {
	var count [2]int
	for _, g := range groups {
		count[familyIndex(g.family)]++
	}
	if least := min(count[0], count[1]); least < 2 {
		return &FitError{
			Stage: StageInput, Count: least, Limit: 2,
			Reason: fmt.Sprintf("The lines found are %d across and %d down, and at least two of each are needed; show more of the mat, or click four crossings by hand.", count[1], count[0]),
		}
	}
	return nil
}

// startSamples is how many samples a line lends to the start.
const startSamples = 16

// thin returns at most startSamples positions, spread evenly.
func (g lineGroup) thin() []photo.Point {
	n := len(g.at)
	if n <= startSamples {
		return g.at
	}
	out := make([]photo.Point, startSamples)
	for i := range out {
		out[i] = g.at[i*(n-1)/(startSamples-1)]
	}
	return out
}

// straighten applies the division model x_u = x_d / (1 + lambda r_d²)
// (Fitzgibbon, CVPR 2001); false when a position has no picture.
func straighten(at photo.Point, c camera, lambda float64) (photo.Point, bool) {
	x, y := (at.X-c.middle.X)/c.scalePx, (at.Y-c.middle.Y)/c.scalePx
	d := 1 + lambda*(x*x+y*y)
	return photo.Point{X: x / d, Y: y / d}, d > 0.05
}

// bends are the trial values of lambda, from strong barrel to pincushion.
var bends = [...]float64{-0.8, -0.6, -0.45, -0.33, -0.24, -0.16, -0.1, -0.05, 0, 0.05, 0.1, 0.18, 0.3}

// startModel finds a first camera.
func startModel(ctx context.Context, groups []lineGroup, o SolveOptions) (Model, error) {
	c := o.camera(scaledFrame{unitMM: 1})
	lambda := 0.0
	if o.allowed()&TermK1 != 0 {
		lambda = bestBend(groups, c)
	}
	if err := ctx.Err(); err != nil {
		return Model{}, err
	}
	lines, ok := straightLines(groups, c, lambda)
	if !ok {
		lambda = 0
		lines, _ = straightLines(groups, c, 0)
	}
	h, score, ok := drawLines(lines)
	if !ok || score > startScoreLimit {
		return Model{}, &FitError{
			Stage: StageStart, Count: len(groups), Limit: startScoreLimit,
			Reason: fmt.Sprintf("The %d lines found do not lie like the lines of one flat grid; check the pitch, or click four crossings by hand.", len(groups)),
		}
	}
	m := Model{ScalePx: c.scalePx, CentreX: c.middle.X, CentreY: c.middle.Y}
	p := o.pitch()
	m.H = multiply(h, [9]float64{1 / p.XMM, 0, 0, 0, 1 / p.YMM, 0, 0, 0, 1})
	m.K1, m.K2 = brownOfDivision(lambda, lines)
	return m, nil
}

// bestBend returns the lambda that leaves the lines straightest, with a weak
// pull to zero so that short lines do not invent a bend.
func bestBend(groups []lineGroup, c camera) float64 {
	cost := func(lambda float64) float64 {
		lines, ok := straightLines(groups, c, lambda)
		if !ok {
			return math.Inf(1)
		}
		sum := 0.0
		for i := range lines {
			sum += lines[i].crookedness()
		}
		return sum/float64(len(lines))*c.scalePx + 0.01*math.Abs(lambda)
	}
	best, least := 0, math.Inf(1)
	for i, l := range bends {
		if v := cost(l); v < least {
			best, least = i, v
		}
	}
	low, high := bends[max(best-1, 0)], bends[min(best+1, len(bends)-1)]
	return goldenSection(cost, low, high, 8)
}

// goldenSection returns where f is least between low and high (Kiefer 1953).
func goldenSection(f func(float64) float64, low, high float64, steps int) float64 {
	const g = 0.6180339887498949
	a, b := high-g*(high-low), low+g*(high-low)
	fa, fb := f(a), f(b)
	for range steps {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - g*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + g*(high-low)
			fb = f(b)
		}
	}
	return (low + high) / 2
}

// straightLines straightens all samples and lays a robust line through each
// group; false when some sample has no picture under this bend.
func straightLines(groups []lineGroup, c camera, lambda float64) ([]startLine, bool) {
	lines := make([]startLine, 0, len(groups))
	for _, g := range groups {
		l := startLine{family: g.family, index: float64(g.index)}
		for _, at := range g.thin() {
			p, ok := straighten(at, c, lambda)
			if !ok {
				return nil, false
			}
			l.at = append(l.at, p)
		}
		if l.fit() {
			lines = append(lines, l)
		}
	}
	return lines, true
}

// brownOfDivision fits K1 and K2 to the division model over the radii in use,
// by least squares: x_d = x_u (1 + K1 r² + K2 r⁴).
func brownOfDivision(lambda float64, lines []startLine) (k1, k2 float64) {
	if lambda == 0 {
		return 0, 0
	}
	var a, b, d, e, f float64
	for i := range lines {
		for _, p := range lines[i].at {
			s := p.X*p.X + p.Y*p.Y
			// The inverse of r_u = r_d / (1 + lambda r_d²).
			disc := 1 - 4*lambda*s
			if disc < 0 || s == 0 {
				continue
			}
			y := 2/(1+math.Sqrt(disc)) - 1
			// Weighted by the radius: displacement counts, not its ratio.
			a += s * s * s
			b += s * s * s * s
			d += s * s * s * s * s
			e += s * s * y
			f += s * s * s * y
		}
	}
	det := a*d - b*b
	if det <= 1e-12*a*d {
		return lambda, 0
	}
	return (e*d - f*b) / det, (a*f - b*e) / det
}
