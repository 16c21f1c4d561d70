package curve

import (
	"fmt"
	"math"
)

// FitClosed fits a closed path of lines and cubics to a closed loop of
// measured points, in order. Corners become sharp nodes at the meeting of
// their sides; between corners the path is smooth (G1). The path begins at a
// corner when there is one. It fails only when there are too few samples or
// they are not numbers; a poor fit is told in the report.
func FitClosed(samples []Sample, o FitOptions) (Path, FitReport, error) {
	return fit(samples, o, true)
}

// FitOpen fits an open path from the first sample to the last, as FitClosed.
func FitOpen(samples []Sample, o FitOptions) (Path, FitReport, error) {
	return fit(samples, o, false)
}

func fit(samples []Sample, o FitOptions, closed bool) (Path, FitReport, error) {
	o = o.withDefaults()
	t, err := newTrail(samples, closed)
	if err != nil {
		return Path{}, FitReport{}, err
	}
	if len(t.at) < 12 || t.total < 3*o.CornerGapMM {
		return Path{}, FitReport{}, fmt.Errorf("fit an outline: %d distinct samples over %.2f mm are too few", len(t.at), t.total)
	}
	t.estimateNoise()
	t.dropOutliers()
	t, spans := t.spans(o)
	d := t.draft(spans, o)
	if len(d.segs) == 0 {
		return Path{}, FitReport{}, fmt.Errorf("fit an outline near (%.2f, %.2f) mm: the samples describe no line", t.at[0].X, t.at[0].Y)
	}
	d.refine(5, 5)
	found := d.tighten()
	replaced := d.safeguard()
	if len(replaced) > 0 {
		found = d.examine()
	}
	report := d.report(found)
	report.Unreliable = append(report.Unreliable, replaced...)
	return Path{Closed: closed, Segments: d.segs}, report, nil
}

// draft is a path under construction.
type draft struct {
	t      *trail
	o      FitOptions
	spans  []span
	parts  [][]part
	segs   []Segment
	smooth []bool
	runs   []run
	pulls  []cornerPull
	// corners counts the corners.
	corners int
}

// draft cuts every span into segments.
func (t *trail) draft(spans []span, o FitOptions) *draft {
	if len(spans) == 1 && spans[0].lead > 0 {
		t = t.fromNode(&spans[0], o)
	}
	d := &draft{t: t, o: o, spans: spans}
	for _, p := range spans {
		if p.start != nil {
			d.corners++
		}
	}
	for i := range spans {
		t.smoothSpan(&spans[i])
		d.parts = append(d.parts, t.parts(&spans[i], t.limits(spans[i].knots, o)))
	}
	d.meetAgain()
	for i := range spans {
		spans[i].weld(d.parts[i])
	}
	d.join()
	return d
}

// fromNode rotates a smooth loop so that it begins where a first attempt
// puts a node, at the end of a line if there is one: the seam needs a node
// anyway.
func (t *trail) fromNode(p *span, o FitOptions) *trail {
	t.smoothSpan(p)
	list := t.parts(p, t.limits(p.knots, o))
	if len(list) < 2 {
		return t
	}
	best := list[1]
	for i := 1; i < len(list); i++ {
		if list[i-1].seg.Line != list[i].seg.Line {
			best = list[i]
			break
		}
	}
	i := t.advance(0, p.knots[best.a].s)
	if i <= 0 || i >= len(t.at) {
		return t
	}
	return t.rotated(i)
}

// join chains the spans' parts.
func (d *draft) join() {
	d.segs, d.smooth, d.runs, d.pulls = nil, nil, nil, nil
	for i, list := range d.parts {
		p := &d.spans[i]
		first := len(d.segs)
		for k, q := range list {
			d.segs = append(d.segs, q.seg)
			d.smooth = append(d.smooth, k > 0 || p.lead > 0)
		}
		d.runs = append(d.runs, run{p.from, p.to, first, len(d.segs) - 1})
		if p.start != nil {
			d.pulls = append(d.pulls, cornerPull{first, p.start})
		}
	}
}

// refine moves all nodes to where the samples want them.
func (d *draft) refine(gentle, strict int) {
	r := newRefiner(d.t, d.segs, d.smooth, d.runs, d.t.closed)
	r.pull = d.pulls
	r.minimise(gentle, strict)
	d.segs = r.segments()
}

// spans finds the corners and cuts the trail at them; a closed trail comes
// back rotated to its first corner.
func (t *trail) spans(o FitOptions) (*trail, []span) {
	cs := t.corners(o)
	n := len(t.at)
	if !t.closed {
		return t, t.openSpans(cs)
	}
	if len(cs) == 0 {
		r := t.rotated(t.flattest(o))
		return r, []span{{from: 0, to: n, lead: min(n/4, 60)}}
	}
	k := cs[0].index
	r := t.rotated(k)
	var out []span
	for i := range cs {
		cs[i].index -= k
		cs[i].before -= k
		cs[i].after -= k
	}
	for i := range cs {
		j := (i + 1) % len(cs)
		to := cs[j].before
		if j == 0 {
			to += n
		}
		out = append(out, span{from: cs[i].after, to: to, start: &cs[i], end: &cs[j]})
	}
	return r, out
}

func (t *trail) openSpans(cs []corner) []span {
	p := span{from: 0}
	var out []span
	for i := range cs {
		p.to, p.end = cs[i].before, &cs[i]
		out = append(out, p)
		p = span{from: cs[i].after, start: &cs[i]}
	}
	p.to = len(t.at) - 1
	return append(out, p)
}

// flattest returns a sample where the loop bends least.
func (t *trail) flattest(o FitOptions) int {
	best, at := math.Inf(1), 0
	for i, a := range t.turns(o) {
		if i%2 == 0 && math.Abs(a) < best {
			best, at = math.Abs(a), i
		}
	}
	return at
}
