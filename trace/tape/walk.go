package tape

import (
	"math"
	"sort"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// walk is an outline measured out by arc length.
type walk struct {
	path curve.Path
	// at[i] is the arc length at stop i, pos[i] its place: several a segment.
	at      []float64
	pos     []curve.Position
	length  float64
	corners []corner
}

// corner is a sharp node and the change of direction there.
type corner struct{ at, turnRad float64 }

// cornerRad is the change of direction that makes a corner. Fitted outlines
// are smooth or at least 20° sharp at a node.
const cornerRad = 15 * math.Pi / 180

func newWalk(p curve.Path) *walk {
	w := &walk{path: p}
	n := len(p.Segments)
	for i, s := range p.Segments {
		before := p.Segments[(i+n-1)%n].Tangent(1)
		if turn := turnRad(before, s.Tangent(0)); math.Abs(turn) > cornerRad {
			w.corners = append(w.corners, corner{w.length, turn})
		}
		w.addSegment(i, s)
	}
	return w
}

// addSegment puts stops along a segment, chords of about a third of a mm.
func (w *walk) addSegment(i int, s curve.Segment) {
	steps := 1
	if !s.Line {
		steps = int(math.Ceil(s.Length(0.01)/0.35)) + 1
	}
	last := s.P0
	for k := range steps + 1 {
		t := float64(k) / float64(steps)
		q := s.Eval(t)
		w.length += math.Hypot(q.X-last.X, q.Y-last.Y)
		w.at, w.pos = append(w.at, w.length), append(w.pos, curve.Position{Segment: i, T: t})
		last = q
	}
}

func turnRad(a, b mat.Point) float64 { return math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y) }

// round brings an arc length into 0 <= s < length.
func (w *walk) round(s float64) float64 {
	s = math.Mod(s, w.length)
	if s < 0 {
		s += w.length
	}
	return s
}

// position returns the place at an arc length, going round past the ends.
func (w *walk) position(s float64) curve.Position {
	s = w.round(s)
	k := sort.Search(len(w.at), func(k int) bool { return w.at[k] > s })
	if k == len(w.at) {
		return w.pos[k-1]
	}
	if k == 0 {
		return w.pos[0]
	}
	a, b := w.pos[k-1], w.pos[k]
	if a.Segment != b.Segment {
		return b
	}
	f := (s - w.at[k-1]) / (w.at[k] - w.at[k-1])
	return curve.Position{Segment: a.Segment, T: a.T + f*(b.T-a.T)}
}

func (w *walk) point(s float64) mat.Point { return w.path.Eval(w.position(s)) }

// inward returns the unit normal into the material, from a chord of 1.5 mm.
func (w *walk) inward(s float64) mat.Point {
	a, b := w.point(s-0.75), w.point(s+0.75)
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	if l == 0 {
		return mat.Point{}
	}
	return mat.Point{X: -(b.Y - a.Y) / l, Y: (b.X - a.X) / l}
}

// apart is how far b lies behind a in the direction of travel.
func (w *walk) apart(a, b float64) float64 { return w.round(b - a) }

// nearestCorner returns the corner nearest to an arc length within reach mm.
func (w *walk) nearestCorner(s, reach float64) (float64, bool) {
	best, at := reach, 0.0
	for _, c := range w.corners {
		d := w.apart(c.at, s)
		if d = min(d, w.length-d); d <= best {
			best, at = d, c.at
		}
	}
	return at, best < reach
}

// within returns the corners strictly inside a stretch, as arc lengths that
// rise from its start.
func (w *walk) within(from, to float64) []corner {
	var out []corner
	for _, c := range w.corners {
		if d := w.apart(from, c.at); d > 0 && from+d < to {
			out = append(out, corner{from + d, c.turnRad})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].at < out[j].at })
	return out
}
