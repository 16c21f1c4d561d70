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
}

// Widest finds where the largest box of the given proportions fits and
// returns its centre and the factor by which a box of widthMM × heightMM may
// grow there; a factor under 1 means that it does not fit. It is the pole of
// inaccessibility (Garcia-Castellanos and Lombardo 2007) in the measure of
// the box: squeezed coordinates, the larger of |dx| and |dy|, found by
// dividing squares while their best possible beats the best found. The
// factor is within 2 % or 0.02 of the best.
func (r Room) Widest(widthMM, heightMM float64) (mat.Point, float64) {
	return r.widest(widthMM, heightMM, math.Inf(-1))
}

// Fits finds the best place for a box, as Widest does, and reports whether it
// fits there. It gives up sooner when it does not.
func (r Room) Fits(widthMM, heightMM float64) (mat.Point, bool) {
	at, factor := r.widest(widthMM, heightMM, 1)
	return at, factor >= 1
}

// widest looks for factors of floor and more only.
func (r Room) widest(widthMM, heightMM, floor float64) (mat.Point, float64) {
	if len(r.Loops) == 0 || len(r.Loops[0]) < 3 || widthMM <= 0 || heightMM <= 0 {
		return mat.Point{}, 0
	}
	s := r.squeeze(2/widthMM, 2/heightMM)
	at, room := s.search(floor)
	return mat.Point{X: at.X / s.sx, Y: at.Y / s.sy}, room
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

// square is a cell of the search: centre, half side, room at the centre.
type square struct{ x, y, half, room float64 }

func (q square) best() float64 { return q.room + q.half }

func (s *squeezed) search(floor float64) (mat.Point, float64) {
	queue := s.firstSquares()
	best := square{room: math.Inf(-1)}
	for _, q := range queue {
		if q.room > best.room {
			best = q
		}
	}
	for visits := 0; len(queue) > 0 && visits < 4000; visits++ {
		i := mostPromising(queue)
		q := queue[i]
		queue[i] = queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if q.best() < floor || q.best() <= best.room+max(0.02, 0.02*math.Abs(best.room)) {
			break
		}
		h := q.half / 2
		for _, d := range [4][2]float64{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			c := s.square(q.x+d[0], q.y+d[1], h)
			if c.room > best.room {
				best = c
			}
			if c.best() > best.room {
				queue = append(queue, c)
			}
		}
	}
	return mat.Point{X: best.x, Y: best.y}, best.room
}

func mostPromising(queue []square) int {
	at := 0
	for i := range queue {
		if queue[i].best() > queue[at].best() {
			at = i
		}
	}
	return at
}

// firstSquares covers the outline's bounding box with about 8 × 8 squares.
func (s *squeezed) firstSquares() []square {
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, w := range s.walls {
		minX, maxX = min(minX, w.ax), max(maxX, w.ax)
		minY, maxY = min(minY, w.ay), max(maxY, w.ay)
	}
	half := max(maxX-minX, maxY-minY) / 16
	if !(half > 0) {
		return nil
	}
	var all []square
	for y := minY + half; y < maxY+half; y += 2 * half {
		for x := minX + half; x < maxX+half; x += 2 * half {
			all = append(all, s.square(x, y, half))
		}
	}
	return all
}

func (s *squeezed) square(x, y, half float64) square {
	return square{x, y, half, s.room(x, y)}
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
