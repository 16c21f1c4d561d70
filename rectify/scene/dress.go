package scene

import (
	"math"
	"math/rand/v2"

	"flatwright/rectify/mat"
)

// dresser adds to a piece what makers put on one: marks, lines, a name,
// coloured tape.
type dresser struct {
	rng     *rand.Rand
	p       *Piece
	rings   [][]mat.Point
	corners []mat.Point
}

func newDresser(rng *rand.Rand, p *Piece) *dresser {
	d := &dresser{rng: rng, p: p, corners: p.Corners}
	d.rings = append([][]mat.Point{resample(p.Outline, 1.5)}, p.Openings...)
	return d
}

// resample is a ring with a point about every stepMM.
func resample(ring []mat.Point, stepMM float64) []mat.Point {
	var out []mat.Point
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		n := max(1, int(math.Ceil(dist(p, q)/stepMM)))
		for k := range n {
			out = append(out, lerp(p, q, float64(k)/float64(n)))
		}
	}
	return out
}

// clearance is how far inside the material a point lies, below 0 outside.
func (d *dresser) clearance(p mat.Point) float64 {
	best := math.Inf(1)
	for _, r := range d.rings {
		best = min(best, dist(p, nearestOnRing(r, p)))
	}
	if !contains(d.p.Outline, p) {
		return -best
	}
	for _, o := range d.p.Openings {
		if contains(o, p) {
			return -best
		}
	}
	return best
}

// marks adds up to n registration marks, clear of corners and of each other.
func (d *dresser) marks(n int) {
	total := length(d.p.Outline)
	for range 20 * n {
		if len(d.p.Marks) >= n {
			return
		}
		d.markAt(d.rng.Float64()*total, between(d.rng, 5, 9))
	}
}

// markAt adds a mark s mm along the outline if there is room.
func (d *dresser) markAt(s, longMM float64) bool {
	at, dir := along(d.p.Outline, s)
	lean := turn(d.rng.NormFloat64() * 4).apply(mat.Point{X: -dir.Y, Y: dir.X})
	in := add(at, scale(lean, longMM))
	for _, c := range d.corners {
		if dist(c, at) < 9 {
			return false
		}
	}
	for _, m := range d.p.Marks {
		if dist(m.At, at) < 14 || dist(m.In, in) < 10 {
			return false
		}
	}
	if d.clearance(in) < 0.75*longMM {
		return false
	}
	d.p.Marks = append(d.p.Marks, Mark{at, in})
	return true
}

// line adds a pen line across the piece at an angle through its middle, kept
// clear of the outline and the marks.
func (d *dresser) line(angleDeg, sag float64, dashed bool) {
	mid := centroid(d.p.Outline)
	dir := turn(angleDeg).apply(mat.Point{X: 1})
	lo, hi := d.reach(mid, scale(dir, -1)), d.reach(mid, dir)
	if lo+hi < 22 || d.clearance(mid) < 6 {
		return
	}
	a, b := add(mid, scale(dir, -lo)), add(mid, scale(dir, hi))
	c := begin(a.X, a.Y).bow(b.X, b.Y, sag)
	for _, q := range c.points {
		if d.clearance(q) < 5 || d.nearInk(q, 4) {
			return
		}
	}
	d.p.Lines = append(d.p.Lines, PenLine{Points: c.points, Dashed: dashed})
}

// reach is how far one can go from p and stay 7 mm clear of the outline.
func (d *dresser) reach(p, dir mat.Point) float64 {
	far := 0.0
	for t := 0.0; d.clearance(add(p, scale(dir, t))) > 7; t += 2 {
		far = t
	}
	return far
}

// nearInk reports whether a mark or a line passes within mm of a point.
func (d *dresser) nearInk(p mat.Point, mm float64) bool {
	for _, m := range d.p.Marks {
		if dist(p, nearestOnSegment(m.At, m.In, p)) < mm {
			return true
		}
	}
	for _, l := range d.p.Lines {
		for i := 1; i < len(l.Points); i++ {
			if dist(p, nearestOnSegment(l.Points[i-1], l.Points[i], p)) < mm {
				return true
			}
		}
	}
	return false
}

// text writes a name where there is room for it.
func (d *dresser) text(name string, heightMM float64) {
	w := textWidthMM(name, heightMM)
	box := boundsOf(d.p.Outline)
	for range 120 {
		t := Text{Text: name, HeightMM: heightMM, AngleDeg: d.rng.NormFloat64() * 8}
		t.At = mat.Point{X: between(d.rng, box.minX, box.maxX), Y: between(d.rng, box.minY, box.maxY)}
		if d.roomFor(t, w) {
			d.p.Texts = append(d.p.Texts, t)
			return
		}
	}
}

func (d *dresser) roomFor(t Text, w float64) bool {
	m := turn(t.AngleDeg)
	m.dx, m.dy = t.At.X, t.At.Y
	for i := 0; i <= 6; i++ {
		for j := 0; j <= 2; j++ {
			q := m.apply(mat.Point{X: w * float64(i) / 6, Y: t.HeightMM * float64(j) / 2})
			if d.clearance(q) < 4 || d.nearInk(q, 3) {
				return false
			}
		}
	}
	return true
}

// edgeTape lays coloured tape along the outline from one corner to the next.
func (d *dresser) edgeTape(name string, colour Colour, corner int, widthMM float64) {
	if len(d.corners) < 2 {
		return
	}
	at := cornerLengths(d.p.Outline, d.corners)
	from, to := at[corner%len(at)], at[(corner+1)%len(at)]
	if to <= from {
		to += length(d.p.Outline)
	}
	d.p.Edges = append(d.p.Edges, EdgeTape{Name: name, Colour: colour, FromMM: from, ToMM: to, WidthMM: widthMM})
}

// cornerLengths are the arc lengths of corners along a ring, rising.
func cornerLengths(ring, corners []mat.Point) []float64 {
	var out []float64
	s := 0.0
	for i, p := range ring {
		for _, c := range corners {
			if dist(c, p) < 1e-6 {
				out = append(out, s)
				break
			}
		}
		s += dist(p, ring[(i+1)%len(ring)])
	}
	return out
}

// centroid is the centre of a ring's area.
func centroid(ring []mat.Point) mat.Point {
	var c mat.Point
	var area float64
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		k := cross(p, q)
		area += k
		c = add(c, scale(add(p, q), k))
	}
	return scale(c, 1/(3*area))
}
