package curve

import "math"

// worthTellingMM is the shortest bridged stretch that is told of.
const worthTellingMM = 1.5

// report sums up a finished draft.
func (d *draft) report(f finding) FitReport {
	r := FitReport{
		DataToPathMM: f.toPath, PathToDataMM: f.toData,
		NoiseMM: d.t.noise, Nodes: len(d.segs), Corners: d.corners,
	}
	if !d.t.closed {
		r.Nodes++
	}
	if f.knotLength > 0 {
		r.LengthChange = f.pathLength/f.knotLength - 1
	}
	var sum, n float64
	for i := range d.runs {
		s, k := d.reportRun(i, &r)
		sum, n = sum+s, n+k
	}
	if n > 0 {
		r.RMSMM = math.Sqrt(sum / n)
	}
	r.Unreliable = append(r.Unreliable, d.strayStretches(f.strays)...)
	return r
}

// reportRun returns the sum of squares and the number of a run's samples and
// notes its bridged stretches.
func (d *draft) reportRun(i int, r *FitReport) (sum, n float64) {
	u, t := d.runs[i], d.t
	if u.last < u.first {
		return 0, 0
	}
	w := newWalker(d.segs[u.first:u.last+1], t.arcAt(u.from))
	open, start := Stretch{Why: "bridged"}, -1
	end := func(k int) {
		if start >= 0 && t.arcAt(k)-t.arcAt(start) >= worthTellingMM {
			r.Unreliable = append(r.Unreliable, open)
		}
		start, open.OffMM = -1, 0
	}
	for k := u.from; k <= u.to; k++ {
		j := t.wrap(k)
		s, at := w.advance(t.at[j], t.arcAt(k))
		at = min(1, max(0, at))
		off := dist(d.segs[u.first+s].Eval(at), t.at[j])
		pos := Position{u.first + s, at}
		if t.bridged[j] {
			if start < 0 {
				start, open.From, open.At = k, pos, t.at[j]
			}
			open.To, open.OffMM = pos, max(open.OffMM, off)
			continue
		}
		end(k)
		if t.w[j] > 0 {
			sum, n = sum+off*off, n+1
		}
	}
	end(u.to)
	return sum, n
}

// strayStretches joins neighbouring stray knots into stretches.
func (d *draft) strayStretches(list []stray) []Stretch {
	var out []Stretch
	for i, s := range list {
		k := d.spans[s.span].knots[s.knot]
		t, _ := d.segs[s.segment].Nearest(k.p)
		at := Position{s.segment, t}
		if i > 0 && list[i-1].span == s.span && s.knot-list[i-1].knot <= 2 {
			last := &out[len(out)-1]
			last.To, last.OffMM = at, max(last.OffMM, s.off)
			continue
		}
		out = append(out, Stretch{From: at, To: at, At: k.p, Why: "the samples leave the edge", OffMM: s.off})
	}
	return out
}
