package writing

import (
	"math"

	"flatwright/rectify/mat"
)

const (
	// wordy is how much longer than high a block must be for its direction to
	// be that of the line of writing.
	wordy = 1.6
	// marginMM is left about the writing in its picture.
	marginMM = 2.0
)

// frame is a rectangle's own axes.
type frame struct {
	centre   mat.Point
	angleRad float64
}

// place returns the point x along and y across, mm.
func (f frame) place(x, y float64) mat.Point {
	c, s := math.Cos(f.angleRad), math.Sin(f.angleRad)
	return mat.Point{X: f.centre.X + x*c - y*s, Y: f.centre.Y + x*s + y*c}
}

// block works out the rectangle of a block and its picture.
func (s *sheet) block(in Input, cells []int) Block {
	mid, dir := principal(s, cells)
	right := s.photoRight(in, mid)
	angle := math.Atan2(dir.Y, dir.X)
	angle = s.narrowest(cells, mid, angle)
	w, h := s.size(cells, mid, angle)
	if w < wordy*h {
		angle = math.Atan2(right.Y, right.X)
	}
	if math.Cos(angle)*right.X+math.Sin(angle)*right.Y < 0 {
		angle += math.Pi
	}
	angle = math.Remainder(angle, 2*math.Pi)
	b := Block{AngleRad: angle}
	u := mat.Point{X: math.Cos(angle), Y: math.Sin(angle)}
	v := mat.Point{X: -u.Y, Y: u.X}
	x0, x1 := extents(s, cells, mid, u, 0)
	y0, y1 := extents(s, cells, mid, v, 0)
	f := frame{mid, angle}
	b.Centre = f.place((x0+x1)/2, (y0+y1)/2)
	b.WidthMM, b.HeightMM = x1-x0+cellMM, y1-y0+cellMM
	b.Picture = crop(in, b)
	return b
}

// photoRight returns the direction on the mat that runs to the right in the
// photograph.
func (s *sheet) photoRight(in Input, at mat.Point) mat.Point {
	q := in.View.ToPhoto(at)
	q.X += 20
	p, ok := in.View.ToMat(q)
	d := math.Hypot(p.X-at.X, p.Y-at.Y)
	if !ok || d == 0 {
		return mat.Point{X: 1}
	}
	return mat.Point{X: (p.X - at.X) / d, Y: (p.Y - at.Y) / d}
}

// narrowest turns the angle by up to 12° so that the block is least high: the
// principal axis of a few slanting letters is off by some degrees.
func (s *sheet) narrowest(cells []int, mid mat.Point, angle float64) float64 {
	best, at := math.Inf(1), angle
	for d := -12.0; d <= 12; d++ {
		a := angle + d*math.Pi/180
		if _, h := s.size(cells, mid, a); h < best {
			best, at = h, a
		}
	}
	return at
}

// size returns the block's extents at an angle, its outermost specks left out.
func (s *sheet) size(cells []int, mid mat.Point, angle float64) (w, h float64) {
	const part = 0.02
	u := mat.Point{X: math.Cos(angle), Y: math.Sin(angle)}
	x0, x1 := extents(s, cells, mid, u, part)
	y0, y1 := extents(s, cells, mid, mat.Point{X: -u.Y, Y: u.X}, part)
	return x1 - x0 + cellMM, y1 - y0 + cellMM
}
