package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// meetAgain moves every corner to where the segments on both sides of it
// meet: those know more of the sides than the arms that found the corner.
func (d *draft) meetAgain() {
	for i := range d.spans {
		c := d.spans[i].start
		if c == nil {
			continue
		}
		j := i - 1
		if i == 0 {
			j = len(d.spans) - 1
		}
		before, after := d.parts[j], d.parts[i]
		if len(before) == 0 || len(after) == 0 {
			continue
		}
		a, b := before[len(before)-1], after[0]
		if !a.knows() || !b.knows() {
			continue
		}
		p, in, out, ok := meetSegments(a.seg, b.seg, c.at)
		if !ok || dist(p, c.at) > 2+4/max(0.1, math.Abs(math.Sin(c.turnRad))) {
			continue
		}
		c.at, c.in, c.out = p, in, out
	}
}

// knows tells whether a part is long enough to be extended to a corner.
func (q part) knows() bool { return q.seg.Line && q.b-q.a >= 6 || q.free && q.b-q.a >= 10 }

// meetSegments returns where a, extended past its end, meets b, extended
// before its start, and the directions of travel there; near p.
func meetSegments(a, b Segment, p mat.Point) (at, in, out mat.Point, ok bool) {
	ta, tb := 1.0, 0.0
	for range 15 {
		pa, pb := a.Eval(ta), b.Eval(tb)
		da, db := a.Derivative(ta), b.Derivative(tb)
		x, y, fine := meet(pa, da, pb, db)
		if !fine || math.Abs(ta+x-1) > 0.6 && !a.Line || math.Abs(tb+y) > 0.6 && !b.Line {
			return p, in, out, false
		}
		ta, tb = ta+x, tb+y
		if math.Abs(x)*norm(da)+math.Abs(y)*norm(db) < 1e-7 {
			return a.Eval(ta), a.Tangent(ta), b.Tangent(tb), true
		}
	}
	return p, in, out, false
}

// weld makes the parts of a span meet: at the place and in the direction in
// the middle of what both sides say, a line's having precedence.
func (p *span) weld(list []part) {
	k := p.knots
	n := len(k) - 1
	for i := 1; i < len(list); i++ {
		k[list[i].a].p, k[list[i].a].d = jointOf(list[i-1].seg, list[i].seg)
	}
	switch last := len(list) - 1; {
	case last < 0:
		return
	case p.lead > 0:
		at, d := jointOf(list[last].seg, list[0].seg)
		k[0].p, k[0].d, k[n].p, k[n].d = at, d, at, d
	default:
		settle(&k[0], p.start, list[0].seg.P0, list[0].seg.startTangent(), true)
		settle(&k[n], p.end, list[last].seg.P3, list[last].seg.endTangent(), false)
	}
	for i, q := range list {
		if q.seg.Line {
			list[i].seg = Line(k[q.a].p, k[q.b].p)
		} else {
			list[i].seg = fitCubic(k, q.a, q.b).seg
		}
	}
}

// settle takes an end knot's place and direction from its corner, or from
// the segment where the trail simply ends.
func settle(k *knot, c *corner, at, d mat.Point, leaving bool) {
	switch {
	case c == nil:
		k.p, k.d = at, d
	case leaving:
		k.p, k.d = c.at, c.out
	default:
		k.p, k.d = c.at, c.in
	}
}

func jointOf(a, b Segment) (p, d mat.Point) {
	switch {
	case a.Line:
		return a.P3, a.startTangent()
	case b.Line:
		return b.P0, b.startTangent()
	}
	return lerp(a.P3, b.P0, 0.5), unit(add(a.endTangent(), b.startTangent()))
}
