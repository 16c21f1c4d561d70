package raster

import (
	"image/color"
	"math"

	"flatwright/app/desk/view"
)

// Line draws an antialiased line with round ends; width in device pixels.
func (c Canvas) Line(a, b view.Point, width float64, col color.NRGBA) {
	c.segment(a, b, width, col, true)
}

// Polyline draws connected lines. Inner joints belong to one line only, so
// that a translucent colour shows no beads at the joints.
func (c Canvas) Polyline(pts []view.Point, width float64, col color.NRGBA) {
	round := width > 1.2 && col.A == 255
	for i := 1; i < len(pts); i++ {
		c.segment(pts[i-1], pts[i], width, col, round)
	}
}

// segment draws one line by how much of each pixel it covers. Only the pixels
// near the line are visited, row by row.
func (c Canvas) segment(a, b view.Point, width float64, col color.NRGBA, round bool) {
	w, h := c.Size()
	a, b, ok := clipToArea(a, b, float64(w), float64(h), width/2+2)
	if !ok {
		return
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	length := math.Hypot(dx, dy)
	if length < 1e-9 {
		if round {
			c.FillDisc(a, width/2, col)
		}
		return
	}
	s := newStroke(a, dx/length, dy/length, length, width)
	s.round, s.col = round, col
	y0, y1 := clampSpan(math.Min(a.Y, b.Y)-s.reach, math.Max(a.Y, b.Y)+s.reach, h)
	for y := y0; y <= y1; y++ {
		s.row(c, y, w)
	}
}

// stroke is one line being drawn.
type stroke struct {
	a            view.Point
	ux, uy       float64
	length, half float64 // half the width
	// A line that enters a pixel runs first over a triangle of it, then over a
	// strip of constant length, then over a triangle again. touch is how far
	// from the pixel's centre a line still cuts a corner, whole how far it
	// crosses from side to side.
	touch, whole float64
	// chord is the length of the crossing, corner what a triangle's area is of
	// its height squared.
	chord, corner float64
	reach         float64 // half and touch: no pixel further away is covered
	round         bool
	col           color.NRGBA
}

// newStroke returns a stroke from a in the direction (ux, uy), a unit vector.
func newStroke(a view.Point, ux, uy, length, width float64) stroke {
	major, minor := math.Max(math.Abs(ux), math.Abs(uy)), math.Min(math.Abs(ux), math.Abs(uy))
	s := stroke{
		a: a, ux: ux, uy: uy, length: length, half: width / 2,
		touch: (major + minor) / 2, whole: (major - minor) / 2,
		chord: 1 / major,
	}
	if minor > 0 {
		s.corner = 1 / (2 * major * minor)
	}
	s.reach = s.half + s.touch
	return s
}

// row draws the pixels of one row. Along a row the distance from the line and
// the position along it change by a constant step.
func (s *stroke) row(c Canvas, y, w int) {
	py := float64(y) + 0.5 - s.a.Y
	lo, hi := s.span(py)
	x0, x1 := clampSpan(s.a.X+lo, s.a.X+hi, w)
	px := float64(x0) + 0.5 - s.a.X
	across := px*s.uy - py*s.ux
	along := px*s.ux + py*s.uy
	for x := x0; x <= x1; x++ {
		if part := s.part(across, along); part > 0 {
			blend(c.Pix, y*c.Stride+4*x, s.col, coverage(part, s.col.A))
		}
		across += s.uy
		along += s.ux
	}
}

// span returns the range of x (from a) within reach of the line at height py.
func (s *stroke) span(py float64) (lo, hi float64) {
	lo, hi = -s.reach, s.ux*s.length+s.reach
	if s.ux < 0 {
		lo, hi = s.ux*s.length-s.reach, s.reach
	}
	if uy := math.Abs(s.uy); uy > 1e-6 {
		mid, half := py*s.ux/s.uy, s.reach/uy
		lo, hi = math.Max(lo, mid-half), math.Min(hi, mid+half)
	}
	return lo, hi
}

// part returns how much of a pixel is covered, 0 to 1.
func (s *stroke) part(across, along float64) float64 {
	// Half-open: the pixel at the start belongs to this line, the one at the
	// end to the next.
	if along >= 0 && along < s.length {
		return s.band(math.Abs(across))
	}
	if !s.round {
		return 0
	}
	over := math.Max(-along, along-s.length)
	return s.band(math.Sqrt(across*across + over*over))
}

// band returns the area of a pixel, whose centre lies the distance d from the
// middle of the line, under the endless band as wide as the line. It is exact,
// so a line has the same ink whatever its slope and wherever it lies among the
// pixels; by the distance alone a slope of 45° had up to a tenth more or less.
func (s *stroke) band(d float64) float64 {
	near := s.half - d
	if near <= -s.touch {
		return 0
	}
	if far := s.half + d; far < s.touch { // both sides of a thin line cross the pixel
		return s.inside(near) + s.inside(far) - 1
	}
	if near >= s.touch {
		return 1
	}
	return s.inside(near)
}

// inside returns the area of a pixel on the near side of a line in the
// stroke's direction that passes its centre at the distance d, at most touch;
// negative when the centre lies on the far side.
func (s *stroke) inside(d float64) float64 {
	past := 0.0 // how far the line runs over a triangle
	if d > s.whole {
		past = d - s.whole
	} else if d < -s.whole {
		past = d + s.whole
	}
	return 0.5 + d*s.chord - past*math.Abs(past)*s.corner
}

// clipToArea cuts a line to the area from (-m, -m) to (w+m, h+m): Liang and
// Barsky, ACM TOG 3(1), 1984 (from memory). False when nothing is left.
func clipToArea(a, b view.Point, w, h, m float64) (view.Point, view.Point, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, side := range [4][2]float64{{-dx, a.X + m}, {dx, w + m - a.X}, {-dy, a.Y + m}, {dy, h + m - a.Y}} {
		p, q := side[0], side[1]
		switch {
		case math.IsNaN(p) || math.IsNaN(q):
			return a, b, false
		case p == 0 && q < 0:
			return a, b, false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	return view.Point{X: a.X + t0*dx, Y: a.Y + t0*dy}, view.Point{X: a.X + t1*dx, Y: a.Y + t1*dy}, true
}

// Dashed draws connected lines in a dash pattern: lengths drawn and left out
// in turn, in device pixels. An empty pattern draws them whole.
func (c Canvas) Dashed(pts []view.Point, dash []float64, width float64, col color.NRGBA) {
	period := 0.0
	for _, d := range dash {
		period += d
	}
	if !(period > 0) {
		c.Polyline(pts, width, col)
		return
	}
	w, h := c.Size()
	done := 0.0
	for i := 1; i < len(pts); i++ {
		length := math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
		if a, b, ok := clipToArea(pts[i-1], pts[i], float64(w), float64(h), width+1); ok {
			skipped := math.Hypot(a.X-pts[i-1].X, a.Y-pts[i-1].Y)
			c.dashOne(a, b, math.Mod(done+skipped, period), dash, width, col)
		}
		done += length
	}
}

// dashOne draws one line that begins phase pixels into the pattern.
func (c Canvas) dashOne(a, b view.Point, phase float64, dash []float64, width float64, col color.NRGBA) {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length < 1e-9 {
		return
	}
	at := func(t float64) view.Point {
		t /= length
		return view.Point{X: a.X + (b.X-a.X)*t, Y: a.Y + (b.Y-a.Y)*t}
	}
	for pos, i := -phase, 0; pos < length; i = (i + 1) % len(dash) {
		end := pos + dash[i]
		if i%2 == 0 && end > 0 {
			c.segment(at(math.Max(pos, 0)), at(math.Min(end, length)), width, col, false)
		}
		pos = end
	}
}
