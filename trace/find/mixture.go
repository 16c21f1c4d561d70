package find

import (
	"math"

	"flatwright/rectify/mat"
)

// strip is one normal with what is printed along it: the colours seen, on
// the scale light mixes in, and how much of each place the lines cover.
type strip struct {
	seen         [overLen][3]float32
	cover        [overLen]float32
	in, bg, line [3]float32
	// at holds the products of every place that the costs are made of.
	at [overLen]sums
	// weight makes the channels count by how far they tell the piece from the
	// ground, and the whole a part of that difference.
	weight float32
}

// stripAt prepares a border point, on whose inner side lies a coded colour;
// false where no line is near.
func (f *finder) stripAt(b *border, i int, in [3]float32) (s strip, ok bool) {
	at, out := b.at[i], b.out[i]
	m := f.frameAt(at, out)
	if !m.ok {
		return s, false
	}
	sigmaMM := math.Hypot(m.x, m.y) * overBlurPx
	most := float32(0)
	for k := range s.cover {
		o := overInner + offsetStep*float64(k)
		s.cover[k] = f.print.cover(mat.Point{X: m.at.X + o*m.x, Y: m.at.Y + o*m.y}, sigmaMM)
		most = max(most, s.cover[k])
	}
	if most < 0.1 {
		return s, false
	}
	for k := range s.seen {
		o := overInner + offsetStep*float64(k)
		s.seen[k] = f.lightAt(at.X+o*out.X, at.Y+o*out.Y)
	}
	s.in, s.bg, s.line = f.light(in), f.light(b.bg[i]), f.inkLight(b.bg[i])
	var d2 float32
	for k := range s.in {
		d2 += (s.in[k] - s.bg[k]) * (s.in[k] - s.bg[k])
	}
	s.weight = 1 / max(d2, 1)
	const leastStep = 30 // of 255, over three channels
	return s, d2 > leastStep*leastStep && s.startsInside(d2)
}

// startsInside reports whether the strip begins in the piece's colour. Where a
// pen stroke meets the edge it does not, and a dark stroke beside dark lines
// would pass for the ground.
func (s *strip) startsInside(d2 float32) bool {
	const first, part = 5, 0.15
	var mean [3]float32
	for k := range first {
		for c := range mean {
			mean[c] += s.seen[k][c] / first
		}
	}
	return apart2(mean, s.in) < part*part*d2
}

// normalPart is the normal distribution's part below t.
func normalPart(t float64) float64 { return 0.5 * math.Erfc(-t/math.Sqrt2) }

// light is a coded colour on the scale in which the camera mixes light.
func (f *finder) light(c [3]float32) (v [3]float32) {
	for k := range c {
		v[k] = f.linear[byte(min(max(c[k]+0.5, 0), 255))]
	}
	return v
}

// lightAt interpolates the photograph on that scale; black outside.
func (f *finder) lightAt(x, y float64) (v [3]float32) {
	p := f.in.Photo
	if !(x >= 0 && y >= 0 && x < float64(p.Width-1) && y < float64(p.Height-1)) {
		return v
	}
	x0, y0 := int(x), int(y)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	i := 3 * (y0*p.Width + x0)
	j := i + 3*p.Width
	for k := range v {
		a, b := f.linear[p.RGB[i+k]], f.linear[p.RGB[i+3+k]]
		c, d := f.linear[p.RGB[j+k]], f.linear[p.RGB[j+3+k]]
		top := a + (b-a)*fx
		v[k] = top + (c+(d-c)*fx-top)*fy
	}
	return v
}

// blurredEdge is the part of light from outside an edge at 0, by offsetStep.
type blurredEdge [2*overLen + 1]float32

func newBlurredEdge() *blurredEdge {
	var e blurredEdge
	for k := range e {
		e[k] = float32(normalPart(offsetStep * float64(k-overLen) / overBlurPx))
	}
	return &e
}

// costs writes the cost of every place; false where no place explains what is
// seen.
func (s *strip) costs(row []float32, edge *blurredEdge) bool {
	for k := range s.at {
		s.at[k] = s.sum(k)
	}
	least := float32(math.Inf(1))
	for k := range row {
		c := s.misfit(int(math.Round((overFrom+overStep*float64(k)-overInner)/offsetStep)), edge)
		row[k] = min(c/overNoise, overWorst)
		least = min(least, row[k])
	}
	return least < overWorst
}

// How far the piece's brightness at its edge, that of all outside it and, past
// that, the lines' strength stray from what is known of them, as parts:
// standard deviations.
var strays = [3]float32{0.08, 0.35, 0.3}

// misfit is the mean squared difference of what is seen and what an edge at
// sample o predicts, as a part of the piece's difference from the ground.
// Shadows and wear make piece, ground and lines a little brighter or darker
// than is known of them: the three that fit best are taken, and what they
// stray costs (least squares with a prior).
func (s *strip) misfit(o int, edge *blurredEdge) float32 {
	// Five px either way are compared, and always those about the rough border,
	// or an edge would pass for one wherever it does not have to explain it.
	const window = int(5 / offsetStep)
	const inner, outer = int((-4 - overInner) / offsetStep), int((3 - overInner) / offsetStep)
	lo, hi := min(inner, max(0, o-window)), max(outer, min(overLen-1, o+window))
	for lo > 0 && s.cover[lo-1] >= 0.1 {
		lo--
	}
	for hi < overLen-1 && s.cover[hi+1] >= 0.1 {
		hi++
	}
	n := float32(hi-lo+1) / s.weight
	var q square3
	for k := range strays {
		q.add(k, overNoise*n/(strays[k]*strays[k]))
	}
	for k := lo; k <= hi; k++ {
		q.see(&s.at[k], edge[k-o+overLen])
	}
	return q.least() / n
}

// sums are the products, over the channels, of what one place of a strip shows
// with the piece's light, the outside's and the ink's there.
type sums struct{ ii, io, ik, oo, ok, kk, si, so, sk, ss float32 }

// sum prepares a place: the outside's light is the ground's with its ink.
func (s *strip) sum(k int) (v sums) {
	for c, in := range s.in {
		ink := s.cover[k] * (s.line[c] - s.bg[c])
		out, seen := s.bg[c]+ink, s.seen[k][c]
		v.ii, v.io, v.ik = v.ii+in*in, v.io+in*out, v.ik+in*ink
		v.oo, v.ok, v.kk = v.oo+out*out, v.ok+out*ink, v.kk+ink*ink
		v.si, v.so, v.sk, v.ss = v.si+seen*in, v.so+seen*out, v.sk+seen*ink, v.ss+seen*seen
	}
	return v
}

// square3 sums the squared differences of what is seen from a mixture of three
// parts, as a quadratic form of the mixture's departure from one of the first
// and second and none of the third.
type square3 struct {
	a    [6]float32 // upper triangle: 00 01 02 11 12 22
	b    [3]float32
	rest float32
}

// add makes a departure of part k cost.
func (q *square3) add(k int, cost float32) { q.a[[3]int{0, 3, 5}[k]] += cost }

// see adds a place of which a part out lies outside the piece.
func (q *square3) see(v *sums, out float32) {
	in := 1 - out
	i2, io, o2 := in*in, in*out, out*out
	q.a[0] += i2 * v.ii
	q.a[1] += io * v.io
	q.a[2] += io * v.ik
	q.a[3] += o2 * v.oo
	q.a[4] += o2 * v.ok
	q.a[5] += o2 * v.kk
	// What is seen less one of the first part and one of the second.
	q.b[0] += in*v.si - i2*v.ii - io*v.io
	q.b[1] += out*v.so - io*v.io - o2*v.oo
	q.b[2] += out*v.sk - io*v.ik - o2*v.ok
	q.rest += v.ss - 2*in*v.si - 2*out*v.so + i2*v.ii + 2*io*v.io + o2*v.oo
}

// least is the smallest sum, by Cholesky's decomposition: the departures have
// costs of their own, so that there is one.
func (q *square3) least() float32 {
	l0 := sqrtf(q.a[0])
	l1, l2 := q.a[1]/l0, q.a[2]/l0
	m1 := sqrtf(q.a[3] - l1*l1)
	m2 := (q.a[4] - l1*l2) / m1
	n2 := sqrtf(q.a[5] - l2*l2 - m2*m2)
	y0 := q.b[0] / l0
	y1 := (q.b[1] - l1*y0) / m1
	y2 := (q.b[2] - l2*y0 - m2*y1) / n2
	return max(0, q.rest-y0*y0-y1*y1-y2*y2)
}

func sqrtf(v float32) float32 { return float32(math.Sqrt(float64(v))) }
