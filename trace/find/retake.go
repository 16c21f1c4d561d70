package find

import "math"

// Least steps, levels, of a scalar that printed lines do not show in: to
// measure by, and to look for the rough border by.
const faintPast, plainPast = 28, 40

// aimPast chooses the scalar in which a printed line looks like the bare
// ground beside it and the piece still stands out: the part of their
// difference that is square to the line's colour. A line then crosses the
// edge unseen. It returns false where less than least levels are left to
// see the edge by, as on white tape and white lines.
func (q *probe) aimPast(in, bg, line [3]float32, least float32) bool {
	var d, e [3]float32
	for k := range d {
		d[k], e[k] = in[k]-bg[k], line[k]-bg[k]
	}
	f := dot(d, e) / max(dot(e, e), 1)
	for k := range d {
		d[k] -= f * e[k]
	}
	sum := absf(d[0]) + absf(d[1]) + absf(d[2])
	if dot(d, d) < least*sum {
		return false
	}
	q.luma, q.weak = false, true
	for k := range d {
		q.w[k] = d[k] / sum
	}
	return true
}

// levelOf is the scalar of one coded colour.
func (q *probe) levelOf(c [3]float32) float32 {
	if q.luma {
		return q.t[byte(min(max(0.299*c[0]+0.587*c[1]+0.114*c[2], 0), 255))]
	}
	var v float32
	for k := range c {
		v += q.w[k] * q.t[byte(min(max(c[k], 0), 255))]
	}
	return v
}

// printedOn is the coded colour of a printed line on ground of a colour.
func (f *finder) printedOn(bg [3]float32) (c [3]float32) {
	for k := range c {
		c[k] = (bg[k]+logFloor)*f.lineGain[k] - logFloor
	}
	return c
}

// retake measures the doubtful points again by colours that printed lines do
// not share; it takes back the mark where that succeeds.
func (b *border) retake(f *finder, r []reading, bad []bool, coded *tone) {
	if f.lineGain == [3]float32{} {
		return
	}
	expect := make([]float64, len(r))
	for i := range r {
		expect[i] = r[i].offset
		if bad[i] {
			expect[i] = bridge(r, bad, i)
		}
	}
	again := make([]reading, len(r))
	inParallel(len(r), func(lo, hi int) {
		q := probe{p: f.in.Photo, t: coded}
		var p profile
		for i := lo; i < hi; i++ {
			if !bad[i] || b.narrow(i) || !q.aimPast(b.in[i], b.bg[i], f.printedOn(b.bg[i]), faintPast) {
				continue
			}
			p.read(&q, b.at[i], b.out[i])
			again[i] = p.locate()
			again[i].soft = true
			again[i].ok = again[i].agrees(q.levelOf(b.in[i]), q.levelOf(b.bg[i])) && math.Abs(again[i].offset-expect[i]) < 0.8
		}
	})
	for i := range again {
		if again[i].ok && steady(again, i) {
			r[i], bad[i] = again[i], false
		}
	}
}

// agrees reports whether a reading's levels are those that were expected.
func (r *reading) agrees(in, bg float32) bool {
	span := in - bg
	own := r.in - r.bg
	if span < 0 {
		span, own = -span, -own
	}
	return r.ok && math.Abs(r.offset) < 3 && own > 0.6*span && own < 1.5*span && absf(r.in-in) < 0.35*span
}

// steady reports whether a reading goes on from one of its neighbours on
// each side.
func steady(r []reading, k int) bool {
	const jump, reach = 0.5, 3
	near := func(step int) bool {
		for d := 1; d <= reach; d++ {
			j := k + d*step
			if j < 0 || j >= len(r) {
				return true
			}
			if r[j].ok {
				return math.Abs(r[j].offset-r[k].offset) < jump*float64(d)
			}
		}
		return false
	}
	return near(-1) && near(1)
}
