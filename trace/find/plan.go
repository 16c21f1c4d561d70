package find

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// A raised piece is seen as its plan dragged away from the camera's foot by
// the picture of its upright walls. Sides that face the foot show the wall
// down to the mat, so that the outline seen is the wall's foot; the other
// sides show the upper edge, the wall behind it. Walls being upright, both lie
// over one plan, and every point seen comes down to it through the camera
// over the mat or over the upper face. Where a far side gives way to a near
// one the picture of an upright edge lies between, which is no outline; or, in
// a notch, the upper edge hides what lies behind it.

// stood is a point of a border seen in the photograph with both of the places
// it may show.
type stood struct {
	spot
	// low lies on the mat, high on the upper face.
	low, high mat.Point
	// lean is the part of an upright edge's picture that runs across the
	// border: above 0 on near sides, -1 to 1.
	lean, risePx float64
	near         bool
}

// place is the point of the plan for one side or the other.
func (p *stood) place(near bool) mat.Point {
	if near {
		return p.low
	}
	return p.high
}

const (
	// leanHalf is how many points either way the lean is averaged over.
	leanHalf = 3
	// sureLean is how much a side must lean to tell near from far by itself.
	sureLean = 0.1
	// shortRun is the least number of points of a side.
	shortRun = 4
)

// toPlan brings a border of a raised piece down to its plan, mm. It says
// where a stretch was hidden behind the piece's own upper edge, too.
func toPlan(in *Input, s []spot) (plan []curve.Sample, hidden []mat.Point) {
	pts := standing(in, s)
	if len(pts) < leastLoop {
		return nil, nil
	}
	pxMM := photoPixelMM(in, pts[0].low.X, pts[0].low.Y)
	turns := sides(pts)
	gone, open := trimTurns(pts, turns, pxMM)
	return fillTurns(pts, gone, open, pxMM)
}

// standing prepares the points of a border.
func standing(in *Input, s []spot) []stood {
	s = withoutReturns(s)
	out := make([]stood, 0, len(s))
	for _, p := range s {
		low, ok1 := in.View.ToMat(p.Point)
		high, ok2 := in.Raised.View.ToMat(p.Point)
		if !ok1 || !ok2 {
			continue
		}
		q := stood{spot: p, low: low, high: high}
		wall, rise := in.lean(p.Point, p.out)
		q.risePx = rise
		if rise > 0.05 {
			q.lean = wall / rise
		}
		out = append(out, q)
	}
	n := len(out)
	lean := make([]float64, n)
	half := min(leanHalf, (n-1)/2)
	for i := range out {
		for j := -half; j <= half; j++ {
			lean[i] += out[wrap(i+j, n)].lean
		}
		lean[i] /= float64(2*half + 1)
	}
	for i := range out {
		out[i].lean = lean[i]
	}
	return out
}

// turn is a stretch of a border from the last point that surely belongs to
// one kind of side to the first that surely belongs to the other.
type turn struct{ last, first int }

// sides tells near sides from far ones, and returns where they turn over.
func sides(pts []stood) []turn {
	n := len(pts)
	sign := make([]int, n)
	for i := range pts {
		switch {
		case pts[i].lean > sureLean:
			sign[i] = 1
		case pts[i].lean < -sureLean:
			sign[i] = -1
		}
	}
	dropShort(sign)
	start := -1
	for i, v := range sign {
		if v != 0 {
			start = i
			break
		}
	}
	if start < 0 {
		return nil // straight below the camera both places are the same
	}
	var turns []turn
	last := start
	for k := 1; k <= n; k++ {
		i := wrap(start+k, n)
		if sign[i] == 0 {
			continue
		}
		if sign[i] != sign[last] {
			turns = append(turns, turn{last, i})
		}
		middle := (start + k + unwrap(last, start, n)) / 2
		for j := unwrap(last, start, n); j < start+k; j++ {
			v := sign[last]
			if j > middle {
				v = sign[i]
			}
			pts[wrap(j, n)].near = v > 0
		}
		last = i
	}
	return turns
}

// unwrap is the index i as counted on from start.
func unwrap(i, start, n int) int {
	if i < start {
		return i + n
	}
	return i
}

// hiddenMostPx bounds how far a hidden stretch is widened over what was not
// measured beside it.
const hiddenMostPx = 80

// dropShort takes the sign from runs that are too short to be a side.
func dropShort(sign []int) {
	n := len(sign)
	for i := 0; i < n; i++ {
		if sign[i] == 0 || sign[wrap(i-1, n)] == sign[i] {
			continue
		}
		k := 1
		for k < shortRun && sign[wrap(i+k, n)] == sign[i] {
			k++
		}
		if k < shortRun {
			for j := range k {
				sign[wrap(i+j, n)] = 0
			}
		}
	}
}

// trimTurns looks, at every turn, for the two points, one on each side, that
// come down to one place of the plan: between them lies the picture of an
// upright edge, which is marked as gone. Where there are no such points the
// outline is open between the two sides: it was hidden.
func trimTurns(pts []stood, turns []turn, pxMM float64) (gone []bool, open map[int]int) {
	n := len(pts)
	gone = make([]bool, n)
	open = map[int]int{} // from the last point before a gap to the first after it
	for i, t := range turns {
		reach := int(pts[t.last].risePx) + 12
		span := wrap(t.first-t.last, n)
		before, after := turns[wrap(i-1, len(turns))], turns[wrap(i+1, len(turns))]
		back := min(reach, wrap(t.last-before.first, n))
		from, length := t.last-back, back+span+min(reach, wrap(after.last-t.first, n))
		was, will := pts[t.last].near, pts[t.first].near
		riseMM := pts[t.last].risePx * pxMM
		a, b, apart := meetingPair(pts, from, length, was, will)
		if apart < min(0.5*riseMM, max(0.3, 1.5*pxMM)) || riseMM < pxMM {
			// The last point before a corner may belong to the upright edge.
			settleTurn(pts, gone, from, max(a-1, 0), min(b+1, length), length, was, will)
			continue
		}
		// About a notch the lean is mixed of both sides.
		a, b = flip(pts, t, span)
		from, length = t.last-leanHalf-1, span+2*leanHalf+2
		b += 2*leanHalf + 2
		// What was not measured there went by the picture, not by the plan.
		for k := 0; k < hiddenMostPx && pts[wrap(from+a, n)].bridged; k++ {
			a--
		}
		for k := 0; k < hiddenMostPx && pts[wrap(from+b, n)].bridged; k++ {
			b++
		}
		if a < 0 {
			from, length, b, a = from+a, length-a, b-a, 0
		}
		settleTurn(pts, gone, from, a, b, max(length, b), was, will)
		open[wrap(from+a, n)] = wrap(from+b, n)
	}
	return gone, open
}

// settleTurn gives the points from..from+a to the side before, those from b
// to the side after, and drops what lies between.
func settleTurn(pts []stood, gone []bool, from, a, b, length int, was, will bool) {
	n := len(pts)
	for k := 0; k <= length; k++ {
		q := wrap(from+k, n)
		switch {
		case k <= a:
			pts[q].near = was
		case k < b:
			gone[q] = true
		default:
			pts[q].near = will
		}
	}
}

// flip returns the neighbours between which the lean changes sign.
func flip(pts []stood, t turn, span int) (a, b int) {
	n := len(pts)
	for k := 1; k <= span; k++ {
		if (pts[wrap(t.last+k, n)].lean > 0) != (pts[t.last].lean > 0) {
			return k - 1, k
		}
	}
	return 0, span
}

// meetingPair returns the points from+a and from+b, b after a, whose places
// on the plan, a for the side before and b for the side after, lie closest
// together, and how far apart those are, mm.
func meetingPair(pts []stood, from, length int, was, will bool) (a, b int, apart float64) {
	n := len(pts)
	first, second := make([]mat.Point, length+1), make([]mat.Point, length+1)
	for k := range first {
		p := &pts[wrap(from+k, n)]
		first[k], second[k] = p.place(was), p.place(will)
	}
	apart = math.Inf(1)
	for i := range first {
		for j := i + 1; j < length; j++ {
			if d := toSegment(first[i], second[j], second[j+1]); d < apart {
				a, b, apart = i, j+1, d
			}
		}
	}
	return a, b, apart
}

// toSegment is the distance of a point from the stretch a..b.
func toSegment(p, a, b mat.Point) float64 {
	x, y := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := x*x + y*y; l > 0 {
		t = min(max(((p.X-a.X)*x+(p.Y-a.Y)*y)/l, 0), 1)
	}
	return math.Hypot(p.X-a.X-t*x, p.Y-a.Y-t*y)
}

// hole is a stretch of a border that was hidden: run points from index from.
type hole struct{ from, run int }

// fillTurns strings the plan together; hidden stretches are bridged by
// carrying on the two sides, in units of a pixel so that the rules of mend
// hold.
func fillTurns(pts []stood, gone []bool, open map[int]int, pxMM float64) (plan []curve.Sample, hidden []mat.Point) {
	flat := make([]spot, 0, len(pts))
	var holes []hole
	for i := range pts {
		if gone[i] {
			continue
		}
		p := &pts[i]
		q := p.spot
		q.Point = inPixels(p.place(p.near), pxMM)
		flat = append(flat, q)
		if k, ok := open[i]; ok {
			between := line(q.Point, inPixels(pts[k].place(pts[k].near), pxMM))
			holes = append(holes, hole{len(flat), len(between)})
			flat = append(flat, between...)
			if pts[k].risePx*pxMM > hiddenWorthMM {
				hidden = append(hidden, pts[k].low)
			}
		}
	}
	for _, q := range bridgeHoles(flat, holes, hiddenAheadMM/pxMM) {
		sigma := q.sigma * pxMM
		if q.bridged {
			sigma = bridgedSigmaMM
		}
		plan = append(plan, curve.Sample{At: mat.Point{X: q.X * pxMM, Y: q.Y * pxMM}, SigmaMM: sigma})
	}
	return plan, hidden
}

// hiddenWorthMM is the least that must be hidden to be worth a word.
const hiddenWorthMM = 1.5

// hiddenAheadMM is how far ahead two sides may meet in a notch whose end is
// hidden.
const hiddenAheadMM = 40

func inPixels(p mat.Point, pxMM float64) photo.Point {
	return photo.Point{X: p.X / pxMM, Y: p.Y / pxMM}
}

// bridgeHoles replaces every hole by the continuation of its two sides.
func bridgeHoles(s []spot, holes []hole, maxAhead float64) []spot {
	out := make([]spot, 0, len(s))
	next := 0
	for _, h := range holes {
		if h.run == 0 {
			continue
		}
		out = append(out, s[next:h.from]...)
		out = append(out, bridgeGap(s, h.from, h.run, maxAhead, nil)...)
		next = h.from + h.run
	}
	return append(out, s[next:]...)
}
