package lettering

import (
	"math"

	"flatwright/rectify/mat"
)

// Room is the space in which a label may lie: inside the first loop, outside
// the other loops, clear of the lines. All in mm of one frame.
type Room struct {
	Loops [][]mat.Point
	Lines [][]mat.Point
}

// segment is a line of the room in squeezed coordinates.
type segment struct{ ax, ay, bx, by float64 }

// squeezed is a room scaled so that the label's box is 2 × 2.
type squeezed struct {
	walls []segment // of the loops: they also decide inside and outside
	lines []segment
	sx    float64
	sy    float64
	// midX and midY are the middle of the outline's bounding box.
	midX, midY float64
}

// Widest finds where the largest box of the given proportions fits and
// returns its centre and the factor by which a box of widthMM × heightMM may
// grow there; a factor under 1 means that it does not fit. It is the pole of
// inaccessibility (Garcia-Castellanos and Lombardo 2007) in the measure of
// the box: squeezed coordinates, the larger of |dx| and |dy|, found by
// dividing squares while their best possible beats the best found. The
// factor is within 2 % or 0.02 of the best.
func (r Room) Widest(widthMM, heightMM float64) (mat.Point, float64) {
	if !r.usable(widthMM, heightMM) {
		return mat.Point{}, 0
	}
	s := r.squeeze(2/widthMM, 2/heightMM)
	q := s.search(aim{floor: math.Inf(-1), enough: math.Inf(1), step: 0.02})
	return s.unsqueezed(q), q.room
}

// Fits finds a good place for a box of widthMM × heightMM: with up to half
// its size more of room, and as near to the middle of the outline as that
// allows. It reports whether the box fits there at all.
func (r Room) Fits(widthMM, heightMM float64) (mat.Point, bool) {
	if !r.usable(widthMM, heightMM) {
		return mat.Point{}, false
	}
	s := r.squeeze(2/widthMM, 2/heightMM)
	q := s.search(aim{floor: 1, enough: 1.5, pull: 0.04, step: 0.01})
	return s.unsqueezed(q), q.room >= 1
}

func (r Room) usable(widthMM, heightMM float64) bool {
	return len(r.Loops) > 0 && len(r.Loops[0]) >= 3 && widthMM > 0 && heightMM > 0
}

func (s *squeezed) unsqueezed(q square) mat.Point { return mat.Point{X: q.x / s.sx, Y: q.y / s.sy} }

// aim says what place a search is for.
type aim struct {
	// floor: places with less room are of no use.
	floor float64
	// enough: more room than that is worth nothing.
	enough float64
	// pull is what a place loses for each unit away from the middle.
	pull float64
	// step is the gain, absolute or relative, that is too small to go on for.
	step float64
}

func (r Room) squeeze(sx, sy float64) *squeezed {
	s := &squeezed{sx: sx, sy: sy}
	for _, loop := range r.Loops {
		s.walls = s.add(s.walls, loop, true)
	}
	for _, line := range r.Lines {
		s.lines = s.add(s.lines, line, false)
	}
	return s
}

func (s *squeezed) add(to []segment, pts []mat.Point, closed bool) []segment {
	for i := range pts {
		j := i + 1
		if j == len(pts) {
			if !closed {
				break
			}
			j = 0
		}
		to = append(to, segment{pts[i].X * s.sx, pts[i].Y * s.sy, pts[j].X * s.sx, pts[j].Y * s.sy})
	}
	return to
}

// square is a cell of the search: centre, half side, the room at the centre,
// the worth of that place, and the most that any place in it can be worth.
type square struct{ x, y, half, room, worth, hope float64 }

// search divides squares while one has hope of something better.
func (s *squeezed) search(a aim) square {
	queue := s.firstSquares(a)
	if len(queue) == 0 {
		return square{room: math.Inf(-1)}
	}
	best := queue[0]
	for _, q := range queue {
		if q.worth > best.worth {
			best = q
		}
	}
	for visits := 0; len(queue) > 0 && visits < 4000; visits++ {
		i := mostPromising(queue)
		q := queue[i]
		queue[i] = queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if q.hope <= best.worth+max(a.step, a.step*math.Abs(best.worth)) {
			break
		}
		h := q.half / 2
		for _, d := range [4][2]float64{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			c := s.square(q.x+d[0], q.y+d[1], h, a)
			if c.worth > best.worth {
				best = c
			}
			if c.hope > best.worth && c.room+c.half >= a.floor {
				queue = append(queue, c)
			}
		}
	}
	return best
}

func mostPromising(queue []square) int {
	at := 0
	for i := range queue {
		if queue[i].hope > queue[at].hope {
			at = i
		}
	}
	return at
}

// firstSquares covers the outline's bounding box with about 8 × 8 squares.
func (s *squeezed) firstSquares(a aim) []square {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, w := range s.walls {
		minX, maxX = min(minX, w.ax), max(maxX, w.ax)
		minY, maxY = min(minY, w.ay), max(maxY, w.ay)
	}
	half := max(maxX-minX, maxY-minY) / 16
	if !(half > 0) || math.IsInf(half, 0) {
		return nil
	}
	s.midX, s.midY = (minX+maxX)/2, (minY+maxY)/2
	var all []square
	for y := minY + half; y < maxY+half; y += 2 * half {
		for x := minX + half; x < maxX+half; x += 2 * half {
			all = append(all, s.square(x, y, half, a))
		}
	}
	return all
}

func (s *squeezed) square(x, y, half float64, a aim) square {
	q := square{x: x, y: y, half: half, room: s.room(x, y)}
	off := math.Hypot(x-s.midX, y-s.midY)
	q.worth = min(q.room, a.enough) - a.pull*off
	// Within the square room grows by at most half, and the middle comes
	// nearer by at most half a diagonal.
	q.hope = min(q.room+half, a.enough) - a.pull*max(0, off-half*math.Sqrt2)
	return q
}

// room returns how far the nearest line is from (x, y) in the box's measure;
// negative outside the outline or in an opening.
func (s *squeezed) room(x, y float64) float64 {
	in := false
	d := math.Inf(1)
	for _, w := range s.walls {
		if (w.ay > y) != (w.by > y) && x < (w.bx-w.ax)*(y-w.ay)/(w.by-w.ay)+w.ax {
			in = !in
		}
		d = min(d, w.from(x, y, d))
	}
	if !in {
		return -d
	}
	for _, l := range s.lines {
		d = min(d, l.from(x, y, d))
	}
	return d
}

// from returns the least of max(|dx|, |dy|) from (x, y) to the segment, or
// any number over unless when it is not smaller. The distance is convex and
// piecewise linear along the segment: its least value is at an end or where
// dx = 0, dy = 0, dx = dy or dx = −dy.
func (g segment) from(x, y, unless float64) float64 {
	ax, ay, bx, by := g.ax-x, g.ay-y, g.bx-x, g.by-y
	if min(ax, bx) > unless || max(ax, bx) < -unless ||
		min(ay, by) > unless || max(ay, by) < -unless {
		return math.Inf(1)
	}
	dx, dy := bx-ax, by-ay
	best := min(max(math.Abs(ax), math.Abs(ay)), max(math.Abs(bx), math.Abs(by)))
	for _, c := range [4][2]float64{{ax, dx}, {ay, dy}, {ax - ay, dx - dy}, {ax + ay, dx + dy}} {
		if c[1] == 0 {
			continue
		}
		if t := -c[0] / c[1]; t > 0 && t < 1 {
			best = min(best, max(math.Abs(ax+t*dx), math.Abs(ay+t*dy)))
		}
	}
	return best
}
