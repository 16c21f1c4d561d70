package curve

import (
	"flatwright/rectify/mat"
)

// finding is how a draft compares with its smoothed samples.
type finding struct {
	// toPath and toData are the largest distances each way.
	toPath, toData float64
	// knotLength and pathLength compare lengths where there are samples.
	knotLength, pathLength float64
	// strays are knots beyond the tolerance.
	strays []stray
}

// stray is a knot too far from its segment.
type stray struct {
	span, knot, segment int
	off                 float64
}

// foot is where a knot meets the path.
type foot struct {
	segment int
	t       float64
}

// examine measures both ways between the smoothed samples and the path.
func (d *draft) examine() finding {
	var f finding
	for i := range d.spans {
		d.examineSpan(i, &f)
	}
	return f
}

func (d *draft) examineSpan(i int, f *finding) {
	u := d.runs[i]
	if u.last < u.first {
		return
	}
	w := newWalker(d.segs[u.first:u.last+1], d.t.arcAt(u.from))
	var before *knot
	var from foot
	for j := range d.spans[i].knots {
		k := &d.spans[i].knots[j]
		if k.end {
			continue
		}
		s, t := w.advance(k.p, k.s)
		at := foot{u.first + s, min(1, max(0, t))}
		off := dist(d.segs[at.segment].Eval(at.t), k.p)
		seam := d.spans[i].lead > 0 && (at.segment == u.first && at.t == 0 || at.segment == u.last && at.t == 1)
		if seam {
			// The seam of a smooth loop may have slid past the knot.
			off = min(off, d.acrossSeam(u, at, k.p))
		}
		off *= k.trust
		f.toPath = max(f.toPath, off)
		if off > d.o.ToleranceMM {
			f.strays = append(f.strays, stray{i, j, at.segment, off})
		}
		if before != nil && !seam && k.s-before.s < 2.5*knotStepMM {
			d.examineBetween(before, k, from, at, f)
		}
		before, from = k, at
		if seam {
			before = nil
		}
	}
}

// acrossSeam returns the distance of p from the segment on the other side of
// a smooth loop's seam.
func (d *draft) acrossSeam(u run, at foot, p mat.Point) float64 {
	other := u.last
	if at.segment == u.last && at.t == 1 {
		other = u.first
	}
	_, off := d.segs[other].Nearest(p)
	return off
}

// examineBetween looks at the path between the feet of two neighbouring
// knots, against the Hermite cubic through the knots.
func (d *draft) examineBetween(a, b *knot, from, to foot, f *finding) {
	arm := dist(a.p, b.p) / 3
	h := Cubic(a.p, along(a.p, a.d, arm), along(b.p, b.d, -arm), b.p)
	f.knotLength += h.gaussLength(0, 1)
	for s := from.segment; s <= to.segment; s++ {
		t0, t1 := 0.0, 1.0
		if s == from.segment {
			t0 = from.t
		}
		if s == to.segment {
			t1 = to.t
		}
		if t1 <= t0 {
			continue
		}
		f.pathLength += d.segs[s].gaussLength(t0, t1)
		for _, k := range [...]float64{1.0 / 3, 2.0 / 3} {
			p := d.segs[s].Eval(t0 + (t1-t0)*k)
			t := h.footNear(p, k, 0, 1, 3)
			f.toData = max(f.toData, dist(h.Eval(t), p))
		}
	}
}

// tighten splits segments that stray from the smoothed samples until none
// does, with refinement at first, in the end by joining the knots.
func (d *draft) tighten() finding {
	f := d.examine()
	for round := 0; round < 8 && d.split(f.strays, round > 3); round++ {
		d.join()
		if round < 4 {
			d.refine(2, 4)
		}
		f = d.examine()
	}
	return f
}

// split cuts every straying cubic at its worst knot, or, when dense, at
// every other knot; false when there is nothing to cut. Straight edges are
// left straight: what strays from them is told in the report.
func (d *draft) split(strays []stray, dense bool) bool {
	worst := map[int]stray{}
	for _, s := range d.worthSplitting(strays) {
		if w, ok := worst[s.segment]; !d.segs[s.segment].Line && (!ok || s.off > w.off) {
			worst[s.segment] = s
		}
	}
	if len(worst) == 0 {
		return false
	}
	cut := false
	for i := range d.parts {
		cut = d.splitSpan(i, worst, dense) || cut
	}
	return cut
}

// worthSplitting leaves out short runs of strays that are hardly over the
// tolerance: what is left of bumps after smoothing. They are told in the
// report; following them would bend the edge to the bump.
func (d *draft) worthSplitting(strays []stray) []stray {
	var out []stray
	for i := 0; i < len(strays); {
		j, top := i, 0.0
		for ; j < len(strays) && strays[j].span == strays[i].span && strays[j].knot-strays[i].knot <= 2+j-i; j++ {
			top = max(top, strays[j].off)
		}
		k := d.spans[strays[i].span].knots
		long := k[strays[j-1].knot].s - k[strays[i].knot].s
		if long > bumpMM || top > 2.5*d.o.ToleranceMM {
			out = append(out, strays[i:j]...)
		}
		i = j
	}
	return out
}

func (d *draft) splitSpan(i int, worst map[int]stray, dense bool) (cut bool) {
	first := d.runs[i].first
	var out []part
	for k, q := range d.parts[i] {
		q.seg = d.segs[first+k]
		s, bad := worst[first+k]
		if !bad {
			out = append(out, q)
			continue
		}
		knots := d.spans[i].knots
		a, b := &knots[q.a], &knots[q.b]
		// Refinement may have slid the nodes; the knots themselves stay.
		knotA, knotB := *a, *b
		a.p, a.d = q.seg.P0, q.seg.startTangent()
		b.p, b.d = q.seg.P3, q.seg.endTangent()
		pieces := cutPart(knots, q, s.knot, dense)
		*a, *b = knotA, knotB
		cut = cut || len(pieces) > 1
		out = append(out, pieces...)
	}
	d.parts[i] = out
	return cut
}

func cutPart(k []knot, q part, at int, dense bool) []part {
	if q.b-q.a < 4 && !dense || q.b-q.a < 2 {
		return []part{q}
	}
	step := 1
	if !dense {
		step = min(max(at, q.a+2), q.b-2) - q.a
	}
	var out []part
	for a := q.a; a < q.b; {
		b := a + step
		if !dense && a > q.a || b > q.b {
			b = q.b
		}
		out = append(out, part{seg: fitCubic(k, a, b).seg, a: a, b: b})
		a = b
	}
	return out
}
