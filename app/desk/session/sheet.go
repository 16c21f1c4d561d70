package session

import (
	"errors"
	"math"
	"slices"
	"strconv"

	"flatwright/rectify"
	"flatwright/rectify/photo"
)

// SheetCorners is how many corners a sheet has.
const SheetCorners = 4

// Sheet is a flat sheet of known size in the photograph, from which it can be
// squared up.
type Sheet struct {
	// Name is what it is called; empty for a size that was typed.
	Name string
	// WidthMM is the length of the side from the first corner to the second,
	// HeightMM that from the second to the third.
	WidthMM, HeightMM float64
	// Corners are those placed, at most four; four go round clockwise to the
	// eye.
	Corners []photo.Point
}

// ErrSheet tells that a sheet cannot be squared up from yet.
var ErrSheet = errors.New("the sheet needs its size and its four corners: choose a size, then click the corners going round")

// ErrSheetShape tells that four corners are not those of a sheet.
var ErrSheetShape = errors.New("these four corners are not those of a flat sheet: one lies inside the other three, or on a line with two; move it")

// Rectangle returns the sheet for squaring up. Errors: ErrSheet,
// ErrSheetShape.
func (s *Session) Rectangle() (rectify.Rectangle, error) {
	x := s.doc.Sheet
	if !(x.WidthMM > 0) || !(x.HeightMM > 0) || len(x.Corners) != SheetCorners {
		return rectify.Rectangle{}, ErrSheet
	}
	if !convex(x.Corners) {
		return rectify.Rectangle{}, ErrSheetShape
	}
	return rectify.Rectangle{Name: x.Name, WidthMM: x.WidthMM, HeightMM: x.HeightMM, Corners: [4]photo.Point(x.Corners)}, nil
}

// convex reports whether corners go round clockwise to the eye without a bend
// the other way.
func convex(c []photo.Point) bool {
	n := len(c)
	for i := range c {
		p, q, r := c[i], c[(i+1)%n], c[(i+2)%n]
		turn := (q.X-p.X)*(r.Y-q.Y) - (q.Y-p.Y)*(r.X-q.X)
		if !(turn > 1e-3*math.Hypot(q.X-p.X, q.Y-p.Y)*math.Hypot(r.X-q.X, r.Y-q.Y)) {
			return false
		}
	}
	return true
}

// sheetEdit is edit for the sheet; its corners may be written to.
func (s *Session) sheetEdit(e Edit, change func(*Sheet)) {
	s.edit(e, func(d *Document) { change(&d.Sheet) })
}

// ChooseSheet chooses the sheet's size in mm, either way round: the longer
// side goes along the longer side in the photograph.
func (s *Session) ChooseSheet(name string, aMM, bMM float64) {
	x := s.doc.Sheet
	same := math.Min(aMM, bMM) == math.Min(x.WidthMM, x.HeightMM) && math.Max(aMM, bMM) == math.Max(x.WidthMM, x.HeightMM)
	if !(aMM > 0) || !(bMM > 0) || same && name == x.Name {
		return
	}
	s.sheetEdit(Edit{ActionSheet, name}, func(x *Sheet) {
		x.Name, x.WidthMM, x.HeightMM = name, aMM, bMM
		x.orient()
	})
}

// SwapSheet exchanges the lengths of the two sides.
func (s *Session) SwapSheet() {
	if s.doc.Sheet.WidthMM != s.doc.Sheet.HeightMM {
		s.sheetEdit(Edit{ActionSheet, s.doc.Sheet.Name}, func(x *Sheet) { x.WidthMM, x.HeightMM = x.HeightMM, x.WidthMM })
	}
}

// AddSheetCorner places a corner and returns its place in the list; -1 when
// all four are there. The fourth puts them in clockwise order from the first
// on, and the longer side along the longer side.
func (s *Session) AddSheetCorner(at photo.Point) int {
	n := len(s.doc.Sheet.Corners)
	if n >= SheetCorners {
		return -1
	}
	s.sheetEdit(Edit{ActionSheetCorner, strconv.Itoa(n + 1)}, func(x *Sheet) {
		x.Corners = append(x.Corners, at)
		x.order()
		x.orient()
	})
	return slices.Index(s.doc.Sheet.Corners, at)
}

// ProposeSheet places all four corners at once.
func (s *Session) ProposeSheet(c [SheetCorners]photo.Point) {
	s.sheetEdit(Edit{ActionSheetCorner, ""}, func(x *Sheet) {
		x.Corners = slices.Clone(c[:])
		x.order()
		x.orient()
	})
}

// MoveSheetCorner moves a corner as part of a drag; EndGesture ends it.
func (s *Session) MoveSheetCorner(i int, to photo.Point) {
	if i >= 0 && i < len(s.doc.Sheet.Corners) {
		s.gesture(Edit{ActionMoveSheetCorner, strconv.Itoa(i + 1)}, func(d *Document) { d.Sheet.Corners[i] = to })
	}
}

// RemoveSheetCorner takes a corner away.
func (s *Session) RemoveSheetCorner(i int) {
	if i >= 0 && i < len(s.doc.Sheet.Corners) {
		s.sheetEdit(Edit{ActionRemoveSheetCorner, strconv.Itoa(i + 1)}, func(x *Sheet) { x.Corners = slices.Delete(x.Corners, i, i+1) })
	}
}

// ClearSheet takes all corners of the sheet away.
func (s *Session) ClearSheet() {
	if len(s.doc.Sheet.Corners) > 0 {
		s.sheetEdit(Edit{Action: ActionClearCorners}, func(x *Sheet) { x.Corners = nil })
	}
}

// order puts four corners in clockwise order to the eye, from the first on.
func (x *Sheet) order() {
	if len(x.Corners) != SheetCorners {
		return
	}
	var mid photo.Point
	for _, c := range x.Corners {
		mid.X, mid.Y = mid.X+c.X/SheetCorners, mid.Y+c.Y/SheetCorners
	}
	first := x.Corners[0]
	from := math.Atan2(first.Y-mid.Y, first.X-mid.X)
	// With y down, angles grow clockwise to the eye.
	angle := func(c photo.Point) float64 {
		a := math.Atan2(c.Y-mid.Y, c.X-mid.X) - from
		if a < 0 {
			a += 2 * math.Pi
		}
		return a
	}
	slices.SortStableFunc(x.Corners[1:], func(a, b photo.Point) int {
		if angle(a) < angle(b) {
			return -1
		}
		return 1
	})
}

// orient lays the sheet's longer side along the longer sides in the
// photograph.
func (x *Sheet) orient() {
	if len(x.Corners) != SheetCorners {
		return
	}
	side := func(i int) float64 {
		a, b := x.Corners[i], x.Corners[(i+1)%SheetCorners]
		return math.Hypot(b.X-a.X, b.Y-a.Y)
	}
	if (side(0)+side(2) > side(1)+side(3)) != (x.WidthMM > x.HeightMM) {
		x.WidthMM, x.HeightMM = x.HeightMM, x.WidthMM
	}
}

// SheetCornerAt returns the corner nearest to a position within reach px of
// the photograph, -1 for none.
func (s *Session) SheetCornerAt(at photo.Point, reachPx float64) int {
	best := -1
	for i, c := range s.doc.Sheet.Corners {
		if d := math.Hypot(c.X-at.X, c.Y-at.Y); d <= reachPx {
			best, reachPx = i, d
		}
	}
	return best
}
