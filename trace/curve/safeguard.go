package curve

import (
	"math"

	"flatwright/rectify/mat"
)

// Beyond these distances from its samples a fit is wrong, whatever it says of
// itself; measurement errors that a fit may pass over stay within them.
const (
	// pathGrossMM bounds the path's distance from the samples, bridged ones
	// included, sampleGrossMM that of a measured sample from the path.
	pathGrossMM, sampleGrossMM = 0.6, 0.8
	// A corner may lie tipGrossMM and tipGross times as far beyond its samples
	// as blur explains.
	tipGrossMM, tipGross = 0.5, 1.3
	// A bridged corner may lie tipBridgeMM farther off: bridges cut corners.
	tipBridgeMM = 0.8
	// narrowestRad is the angle of the narrowest tip that is believed in.
	narrowestRad = 0.06
)

// safeguard measures the finished path against the raw samples without any
// of the fit's own bookkeeping, and where it is wrong puts a dense chain
// in its place, through the samples of the wrong stretch; if that is no better
// the span's samples are joined as they are. It returns the stretches that
// were replaced.
func (d *draft) safeguard() []Stretch {
	d.holdTips()
	var out []Stretch
	for i := range d.spans {
		u := d.runs[i]
		if u.last < u.first {
			continue
		}
		c := d.newCourse(i)
		segs := append([]Segment{}, d.segs[u.first:u.last+1]...)
		bad, at := c.wrong(segs, 1)
		if len(bad) == 0 {
			continue
		}
		list := c.patched(segs, bad)
		if b, _ := c.wrong(segmentsIn(list), 2); len(b) > 0 {
			list = c.polyline(d.o.ToleranceMM)
		}
		d.take(i, list)
		out = append(out, Stretch{At: at, Why: "followed point by point"})
	}
	if len(out) > 0 {
		d.join()
		for k := range out {
			d.place(&out[k])
		}
	}
	return out
}

// place fills in where on the path a stretch is.
func (d *draft) place(s *Stretch) {
	if pl, err := (Path{Segments: d.segs}).Nearest(s.At); err == nil {
		s.From, s.To = pl.Position, pl.Position
	}
}

// take makes list the parts of span i; the other spans keep their segments.
func (d *draft) take(i int, list []part) {
	for j := range d.parts {
		for k := range d.parts[j] {
			d.parts[j][k].seg = d.segs[d.runs[j].first+k]
		}
	}
	d.parts[i] = list
	d.join()
}

func segmentsIn(list []part) []Segment {
	out := make([]Segment, len(list))
	for i, q := range list {
		out[i] = q.seg
	}
	return out
}

// holdTips draws corners that lie too far beyond their samples back towards
// the nearest one: sides measured badly meet anywhere.
func (d *draft) holdTips() {
	for i := range d.spans {
		p, u := &d.spans[i], d.runs[i]
		if p.start == nil || u.last < u.first {
			continue
		}
		node, prev := d.segs[u.first].P0, d.segs[(u.first+len(d.segs)-1)%len(d.segs)]
		interior := math.Pi - math.Abs(turn(prev.endTangent(), d.segs[u.first].startTangent()))
		most := tipGrossMM + tipGross*tipPull(interior, d.o.BlurMM)
		tip, k, off := d.t.nearestSample(node, p.start.before, p.start.after)
		if d.t.nearBridge(k, d.o.CornerGapMM) {
			most += tipBridgeMM
		}
		if interior < narrowestRad || d.t.blunt(k, interior, d.o) {
			most = tipGrossMM
		}
		if off > most {
			d.moveNode(u.first, lerp(tip, node, most/off))
		}
	}
}

// blunt tells whether the samples around sample i are farther apart than
// those of a blurred tip of the angle given: the end of a slit, not a tip.
func (t *trail) blunt(i int, interiorRad float64, o FitOptions) bool {
	reach := 1.5 * o.CornerGapMM
	s, n := t.arcAt(i), len(t.at)
	a, b := i, i
	for a > -n && (t.closed || a > 0) && s-t.arcAt(a) < reach {
		a--
	}
	for b < 2*n-1 && (t.closed || b < n-1) && t.arcAt(b)-s < reach {
		b++
	}
	return dist(t.at[t.wrap(a)], t.at[t.wrap(b)]) > 2*reach*math.Sin(interiorRad/2)+4*o.BlurMM
}

// nearestSample returns the sample among from..to nearest to p.
func (t *trail) nearestSample(p mat.Point, from, to int) (at mat.Point, index int, off float64) {
	off = math.Inf(1)
	for k := from; k <= to; k++ {
		if q := t.at[t.wrap(k)]; dist(p, q) < off {
			at, index, off = q, k, dist(p, q)
		}
	}
	return at, index, off
}

// moveNode moves the start of segment k, and the arms there with it.
func (d *draft) moveNode(k int, to mat.Point) {
	step := sub(to, d.segs[k].P0)
	d.segs[k] = movedEnds(d.segs[k], step, mat.Point{})
	prev := k - 1
	if k == 0 {
		if !d.t.closed {
			return
		}
		prev = len(d.segs) - 1
	}
	d.segs[prev] = movedEnds(d.segs[prev], mat.Point{}, step)
}

func movedEnds(s Segment, start, end mat.Point) Segment {
	if s.Line {
		return Line(add(s.P0, start), add(s.P3, end))
	}
	return Cubic(add(s.P0, start), add(s.P1, start), add(s.P2, end), add(s.P3, end))
}

// course is the way the samples of a span take, its corners included.
type course struct {
	d      *draft
	span   int
	points []mat.Point
	// measured marks the points that are measured samples.
	measured []bool
	closed   bool
	index    *polyIndex
	// start and end are the nodes at the span's ends.
	start, end mat.Point
}

func (d *draft) newCourse(i int) *course {
	p, u, t := &d.spans[i], d.runs[i], d.t
	c := &course{d: d, span: i, closed: p.lead > 0, start: d.segs[u.first].P0, end: d.segs[u.last].P3}
	push := func(q mat.Point, measured bool) {
		c.points, c.measured = append(c.points, q), append(c.measured, measured)
	}
	if p.start != nil {
		push(c.start, false)
	}
	for k := p.from; k <= p.to; k++ {
		if c.closed && k == p.to {
			break
		}
		push(t.at[t.wrap(k)], !t.bridged[t.wrap(k)] && t.w[t.wrap(k)] > 0)
	}
	if p.end != nil {
		push(c.end, false)
	}
	c.index = newPolyIndex(c.points, c.closed)
	return c
}

// gap is a range of a segment's parameter.
type gap struct{ lo, hi float64 }

func (g gap) with(t float64) gap { return gap{min(g.lo, t), max(g.hi, t)} }

// wrong returns where segments stray by more than times the gross distances,
// and one such place.
func (c *course) wrong(segs []Segment, times float64) (bad map[int]gap, at mat.Point) {
	bad = map[int]gap{}
	note := func(k int, t float64, q mat.Point) {
		g, known := bad[k]
		if !known {
			g = gap{t, t}
		}
		bad[k], at = g.with(t), q
	}
	for k, s := range segs {
		q := densePoints(Path{Segments: []Segment{s}}, 0.3)
		for i, p := range q {
			if !(c.index.distance(p) <= times*pathGrossMM) {
				note(k, float64(i)/float64(len(q)-1), p)
			}
		}
	}
	path := Path{Segments: segs}
	x := newPolyIndex(path.Flatten(0.05), false)
	for k, q := range c.points {
		if !c.measured[k] || x.distance(q) <= times*sampleGrossMM {
			continue
		}
		if pl, err := path.Nearest(q); err == nil {
			note(pl.Segment, pl.T, q)
		}
	}
	return bad, at
}

// patchMM is how much farther than the wrong stretch itself a patch reaches.
const patchMM = 2

// patched replaces the wrong stretches of segments by chains through the
// samples there.
func (c *course) patched(segs []Segment, bad map[int]gap) []part {
	var out []part
	for k, s := range segs {
		g, wrong := bad[k]
		if !wrong {
			out = append(out, part{seg: s})
			continue
		}
		reach := patchMM / max(s.Length(0.01), 1e-6)
		lo, hi := g.lo-reach, g.hi+reach
		from, to := knot{p: s.P0, d: s.startTangent()}, knot{p: s.P3, d: s.endTangent()}
		if lo > 0 {
			left, _ := s.Split(lo)
			out = append(out, part{seg: left})
			from = knot{p: left.P3, d: left.endTangent()}
		}
		var right Segment
		if hi < 1 {
			_, right = s.Split(hi)
			to = knot{p: right.P0, d: right.startTangent()}
		}
		out = append(out, chainThrough(c.between(from, to))...)
		if hi < 1 {
			out = append(out, part{seg: right})
		}
	}
	return out
}

// between returns knots at the samples from one place to another, about one a
// millimetre, both places included.
func (c *course) between(from, to knot) []knot {
	i, j, n := c.nearestPoint(from.p), c.nearestPoint(to.p), len(c.points)
	if c.closed && j < i {
		j += n
	}
	out := []knot{from}
	for k := i + 1; k < j; k++ {
		p := c.points[k%n]
		if dist(p, out[len(out)-1].p) < 0.7 || dist(p, to.p) < 0.5 {
			continue
		}
		d := sub(c.points[(k+1)%n], c.points[(k-1+n)%n])
		out = append(out, knot{p: p, d: unit(d)})
	}
	return append(out, to)
}

func (c *course) nearestPoint(p mat.Point) int {
	best := 0
	for i, q := range c.points {
		if dist(p, q) < dist(p, c.points[best]) {
			best = i
		}
	}
	return best
}

// chainThrough joins knots by short cubics that share their directions.
func chainThrough(k []knot) []part {
	var out []part
	for i := 1; i < len(k); i++ {
		p, q := k[i-1], k[i]
		arm := dist(p.p, q.p) / 3
		out = append(out, part{seg: Cubic(p.p, along(p.p, p.d, arm), along(q.p, q.d, -arm), q.p)})
	}
	return out
}

// polyline joins the samples by as few lines as stay within toleranceMM of
// them (Douglas and Peucker 1973; from memory).
func (c *course) polyline(toleranceMM float64) []part {
	q := append([]mat.Point{}, c.points...)
	if c.closed {
		q = append(q, q[0])
	} else {
		q[0], q[len(q)-1] = c.start, c.end
	}
	var out []part
	for _, k := range thinned(q, 0, len(q)-1, toleranceMM, []int{0}) {
		if n := len(out); n > 0 {
			out[n-1].seg = Line(out[n-1].seg.P0, q[k])
		}
		out = append(out, part{seg: Segment{P0: q[k]}})
	}
	return out[:max(1, len(out)-1)]
}

// thinned appends the points to keep between a and b, b included.
func thinned(q []mat.Point, a, b int, toleranceMM float64, keep []int) []int {
	worst, at := toleranceMM, -1
	for i := a + 1; i < b; i++ {
		if off := pointToChord(q[i], q[a], q[b]); off > worst {
			worst, at = off, i
		}
	}
	if at < 0 {
		return append(keep, b)
	}
	return thinned(q, at, b, toleranceMM, thinned(q, a, at, toleranceMM, keep))
}
