package find

import (
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// Where an edge runs beside, along or across printed lines its profile has
// more than one step. Where the lines lie is known from the grid, so the
// whole profile is predicted for every place of the edge: the piece, from
// there on the ground with its lines, all blurred. The place that predicts
// best is the edge.

const (
	overInner, overOuter = -9.0, 7.0 // px along the normal, outwards
	overLen              = int((overOuter-overInner)/offsetStep) + 1
	// overBlurPx is the standard deviation of the blur in the prediction: what
	// lens, demosaicking and JPEG leave of an edge in phone pictures.
	overBlurPx = 0.9
)

// Places tried along a normal, px.
const (
	overFrom, overTo, overStep = -7.0, 5.0, 0.5
	overPlaces                 = int((overTo-overFrom)/overStep) + 1
)

// Costs of a place are squared differences in units of overNoise, the part of
// the piece's difference from the ground by which grain and wear spoil a
// prediction, and at most overWorst; a step aside from one border point to the
// next costs overBend.
const (
	overNoise = 0.0025
	overWorst = 25.0
	overBend  = 1.0
)

// overLines measures the points beside printed lines again, all together: the
// cheapest way through all places along the border, on which the points away
// from lines hold with what they read. It takes back the mark where the
// prediction tells the place.
func (b *border) overLines(f *finder, r []reading, bad, slit []bool) {
	if f.print == nil {
		return
	}
	n := len(r)
	cost := make([]float32, n*overPlaces)
	over := make([]bool, n)
	edge := newBlurredEdge()
	deep := b.deepColours(f)
	inParallel(n, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			row := cost[i*overPlaces : (i+1)*overPlaces]
			if !slit[i] && !b.narrow(i) && b.wallPx(i) == 0 {
				if s, ok := f.stripAt(b, i, deep[i]); ok {
					over[i] = s.costs(row, edge)
					continue
				}
			}
			if !bad[i] {
				holdAt(row, r[i].offset)
			}
		}
	})
	way := cheapestWay(cost, n, overPlaces, overBend)
	// The shadows that raised pieces throw are deeper than what is foreseen: what
	// was read beside them stands.
	mayDiffer := f.in.Raised == nil
	for i, k := range way {
		if !over[i] {
			continue
		}
		at, sigma, ok := placeIn(cost[i*overPlaces:(i+1)*overPlaces], k)
		switch {
		case mayDiffer && !ok && !bad[i] && contradicts(cost[i*overPlaces:(i+1)*overPlaces], k, r[i].offset):
			bad[i] = true
		case ok && (bad[i] || mayDiffer && math.Abs(r[i].offset-at) > 0.35):
			r[i].offset, r[i].ok, bad[i] = at, true, false
			r[i].soft = sigma > 0.15
		}
	}
}

// contradicts reports whether a place explains what is seen far better than an
// edge at an offset does.
func contradicts(row []float32, k int, offset float64) bool {
	const clearly = 4
	j := int(math.Round((offset - overFrom) / overStep))
	return j < 0 || j >= len(row) || row[j] > row[k]+clearly
}

// holdAt is the cost of places when the edge was read at an offset.
func holdAt(row []float32, offset float64) {
	const sigma = 0.4
	for k := range row {
		d := (overFrom + overStep*float64(k) - offset) / sigma
		row[k] = float32(math.Min(d*d, overWorst))
	}
}

// placeIn refines place k by the parabola through its neighbours. It is not ok
// where the prediction fits badly or the costs hardly tell the place: then the
// way went by the neighbours alone.
func placeIn(row []float32, k int) (at, sigmaPx float64, ok bool) {
	const most, leastCurve = 10.0, 1.0
	if k == 0 || k == len(row)-1 || float64(row[k]) > most {
		return 0, 0, false
	}
	a, c, e := float64(row[k-1]), float64(row[k]), float64(row[k+1])
	w := a - 2*c + e
	if w < leastCurve {
		return 0, 0, false
	}
	step := 0.5 * (a - e) / w
	if math.Abs(step) > 1 {
		return 0, 0, false
	}
	return overFrom + overStep*(float64(k)+step), overStep * math.Sqrt(2/w), true
}

// cheapestWay returns the place of every point on the closed way of least
// total cost whose neighbours differ by at most a place; each such step costs
// bend (dynamic programming; Geiger et al. 1995).
func cheapestWay(cost []float32, n, m int, bend float32) []int {
	lead := min(n, 60)
	total := n + 2*lead
	from := make([]int8, total*m)
	sum, next := make([]float32, m), make([]float32, m)
	for t := range total {
		row := cost[wrap(t-lead, n)*m:]
		for j := range m {
			best, by := sum[j], int8(0)
			if j > 0 && sum[j-1]+bend < best {
				best, by = sum[j-1]+bend, -1
			}
			if j+1 < m && sum[j+1]+bend < best {
				best, by = sum[j+1]+bend, 1
			}
			next[j] = best + row[j]
			from[t*m+j] = by
		}
		sum, next = next, sum
	}
	return wayBack(from, n, m, slices.Index(sum, slices.Min(sum)))
}

// wayBack follows the steps that led to place j at the end, of n points with a
// lead before and after them, of m places each.
func wayBack(from []int8, n, m, j int) []int {
	total := len(from) / m
	lead := (total - n) / 2
	out := make([]int, n)
	for t := total - 1; t >= lead; t-- {
		if i := t - lead; i < n {
			out[i] = j
		}
		j += int(from[t*m+j])
	}
	return out
}

// deepColours are the coded colours well inside: where the rough border has
// run along the far side of a printed line, the colours just inside it are the
// line's.
func (b *border) deepColours(f *finder) [][3]float32 {
	deep, out := make([][3]float32, len(b.at)), make([][3]float32, len(b.at))
	own := make([]bool, len(b.at))
	for i, q := range b.at {
		own[i] = true
		for _, r := range [3]float64{8, 10, 12} {
			p := photo.Point{X: q.X - r*b.out[i].X, Y: q.Y - r*b.out[i].Y}
			c := colourAt(f.in.Photo, p.X, p.Y)
			for k := range c {
				deep[i][k] += c[k] / 3
			}
			own[i] = own[i] && f.isCovered(p)
		}
		if !own[i] {
			deep[i] = b.in[i]
		}
	}
	usualColour(deep, out, 16)
	return out
}

// usualColour is the median of every channel over every second of the colours
// within half either way; pen strokes that cross the border do not count so.
func usualColour(v, out [][3]float32, half int) {
	half = min(half, (len(v)-1)/2)
	var w []float32
	for i := 0; i < len(v); i += 2 {
		var c [3]float32
		for k := range c {
			w = w[:0]
			for j := -half; j <= half; j += 2 {
				w = append(w, v[wrap(i+j, len(v))][k])
			}
			slices.Sort(w)
			c[k] = w[len(w)/2]
		}
		out[i] = c
		if i+1 < len(out) {
			out[i+1] = c
		}
	}
}

// isCovered reports whether something lies on the mat at a place of the
// photograph.
func (f *finder) isCovered(p photo.Point) bool {
	m, ok := f.in.View.ToMat(p)
	if !ok {
		return false
	}
	s := f.sheet
	x, y := int(math.Round((m.X-s.x0)/s.res)), int(math.Round((m.Y-s.y0)/s.res))
	return x >= 0 && y >= 0 && x < s.w && y < s.h && f.mask[s.index(x, y)] != 0
}

// apart2 is the squared distance of two colours.
func apart2(a, b [3]float32) float32 {
	for k := range a {
		a[k] -= b[k]
	}
	return dot(a, a)
}
