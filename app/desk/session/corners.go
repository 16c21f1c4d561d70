package session

import (
	"math"
	"strconv"

	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// LeastCorners is how many corners with known counts squaring up by hand needs.
const LeastCorners = 4

// AddCorner places a corner; its column and row are proposed where they can
// be. It returns the corner's place in the list.
func (s *Session) AddCorner(at photo.Point, snapped bool) int {
	c := Corner{At: at, Snapped: snapped}
	c.Column, c.Row, c.Known = s.ProposeCount(at)
	n := len(s.doc.Corners)
	c.Proposed = c.Known && n > 0
	s.edit(Edit{ActionCorner, strconv.Itoa(n + 1)}, func(d *Document) { d.Corners = append(d.Corners, c) })
	return n
}

// MoveCorner moves a corner as part of a drag; EndGesture ends it.
func (s *Session) MoveCorner(i int, to photo.Point, snapped bool) {
	if i < 0 || i >= len(s.doc.Corners) {
		return
	}
	s.gesture(Edit{ActionMoveCorner, strconv.Itoa(i + 1)}, func(d *Document) {
		d.Corners[i].At, d.Corners[i].Snapped = to, snapped
	})
}

// RemoveCorner takes a corner away.
func (s *Session) RemoveCorner(i int) {
	if i < 0 || i >= len(s.doc.Corners) {
		return
	}
	s.edit(Edit{ActionRemoveCorner, strconv.Itoa(i + 1)}, func(d *Document) {
		d.Corners = append(d.Corners[:i], d.Corners[i+1:]...)
	})
}

// ClearCorners takes all corners away.
func (s *Session) ClearCorners() {
	if len(s.doc.Corners) > 0 {
		s.edit(Edit{Action: ActionClearCorners}, func(d *Document) { d.Corners = nil })
	}
}

// SetCornerCount says at which column and row of the mat's lines a corner is.
func (s *Session) SetCornerCount(i, column, row int) {
	if i < 0 || i >= len(s.doc.Corners) {
		return
	}
	if c := s.doc.Corners[i]; c.Known && !c.Proposed && c.Column == column && c.Row == row {
		return
	}
	s.edit(Edit{ActionCornerCount, strconv.Itoa(i + 1)}, func(d *Document) {
		c := &d.Corners[i]
		c.Column, c.Row, c.Known, c.Proposed = column, row, true, false
	})
}

// CornerAt returns the corner nearest to a position within reach px of the
// photograph, -1 for none.
func (s *Session) CornerAt(at photo.Point, reachPx float64) int {
	best := -1
	for i, c := range s.doc.Corners {
		if d := math.Hypot(c.At.X-at.X, c.At.Y-at.Y); d <= reachPx {
			best, reachPx = i, d
		}
	}
	return best
}

// UsableCorners returns the corners whose counts are known.
func (s *Session) UsableCorners() []rectify.Corner {
	var out []rectify.Corner
	for _, c := range s.doc.Corners {
		if c.Known {
			out = append(out, rectify.Corner{At: c.At, Column: c.Column, Row: c.Row})
		}
	}
	return out
}

// ProposeCount guesses the column and row of a crossing: from four corners or
// more by their homography, or from the squared-up photograph; after three
// corners of a rectangle the fourth is proposed; the very first is 0, 0. False
// when nothing tells.
func (s *Session) ProposeCount(at photo.Point) (column, row int, ok bool) {
	known := s.UsableCorners()
	if len(known) >= LeastCorners {
		if h, err := SolveHomography(known); err == nil {
			return rounded(h.ToCount(at))
		}
	}
	if v, ok := s.MatView(); ok {
		if m, ok := v.ToMat(at); ok {
			columns, rows := s.doc.Squared.Pitch.Count(m)
			return rounded(columns, rows, true)
		}
	}
	if len(known) == 3 {
		return fourthOfRectangle(known, at)
	}
	return 0, 0, len(s.doc.Corners) == 0
}

func rounded(x, y float64, ok bool) (int, int, bool) {
	if !ok || math.Abs(x) > 1e4 || math.Abs(y) > 1e4 {
		return 0, 0, false
	}
	return int(math.Round(x)), int(math.Round(y)), true
}

// fourthOfRectangle returns the count that completes three corners of an
// upright rectangle, when the click lies roughly where the fourth would. The
// affine map of three corners cannot count squares under perspective, but it
// tells which corner is meant.
func fourthOfRectangle(c []rectify.Corner, at photo.Point) (column, row int, ok bool) {
	for i := range 3 {
		o, p, q := c[i], c[(i+1)%3], c[(i+2)%3]
		upright := o.Column == p.Column && o.Row == q.Row || o.Row == p.Row && o.Column == q.Column
		if !upright || p.Column == q.Column || p.Row == q.Row {
			continue
		}
		u, v, ok := affine(o.At, p.At, q.At, at)
		if ok && math.Abs(u-1) < 0.4 && math.Abs(v-1) < 0.4 {
			return p.Column + q.Column - o.Column, p.Row + q.Row - o.Row, true
		}
	}
	return 0, 0, false
}

// affine returns where a point lies in the frame of o with p at (1, 0) and q
// at (0, 1).
func affine(o, p, q, at photo.Point) (u, v float64, ok bool) {
	ax, ay, bx, by := p.X-o.X, p.Y-o.Y, q.X-o.X, q.Y-o.Y
	det := ax*by - ay*bx
	if det == 0 || math.Abs(det) < 1e-3*math.Hypot(ax, ay)*math.Hypot(bx, by) {
		return 0, 0, false
	}
	x, y := at.X-o.X, at.Y-o.Y
	return (x*by - y*bx) / det, (ax*y - ay*x) / det, true
}
