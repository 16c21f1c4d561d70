package page

import (
	"math"

	"flatwright/rectify/mat"
)

// Rect is an upright rectangle in mm of the pattern's frame or of the page,
// as its owner says.
type Rect struct{ MinX, MinY, MaxX, MaxY float64 }

// EmptyRect returns the rectangle that holds nothing.
func EmptyRect() Rect {
	inf := math.Inf(1)
	return Rect{inf, inf, -inf, -inf}
}

// Width returns the width in mm.
func (r Rect) Width() float64 { return r.MaxX - r.MinX }

// Height returns the height in mm.
func (r Rect) Height() float64 { return r.MaxY - r.MinY }

// Empty reports whether the rectangle holds nothing.
func (r Rect) Empty() bool { return !(r.MinX <= r.MaxX && r.MinY <= r.MaxY) }

// Grown returns the rectangle with by mm more on every side.
func (r Rect) Grown(by float64) Rect {
	return Rect{r.MinX - by, r.MinY - by, r.MaxX + by, r.MaxY + by}
}

// With returns the smallest rectangle that also holds p.
func (r Rect) With(p mat.Point) Rect {
	return Rect{
		math.Min(r.MinX, p.X), math.Min(r.MinY, p.Y),
		math.Max(r.MaxX, p.X), math.Max(r.MaxY, p.Y),
	}
}

// Union returns the smallest rectangle that holds both.
func (r Rect) Union(o Rect) Rect {
	return Rect{
		math.Min(r.MinX, o.MinX), math.Min(r.MinY, o.MinY),
		math.Max(r.MaxX, o.MaxX), math.Max(r.MaxY, o.MaxY),
	}
}

// Holds reports whether p lies in the rectangle or on its border.
func (r Rect) Holds(p mat.Point) bool {
	return p.X >= r.MinX && p.X <= r.MaxX && p.Y >= r.MinY && p.Y <= r.MaxY
}

// Meets reports whether the two rectangles share a point.
func (r Rect) Meets(o Rect) bool {
	return r.MinX <= o.MaxX && o.MinX <= r.MaxX && r.MinY <= o.MaxY && o.MinY <= r.MaxY
}

// meetsSegment reports whether the rectangle and the segment a-b share a
// point (Liang and Barsky 1984, from memory).
func (r Rect) meetsSegment(a, b mat.Point) bool {
	t0, t1 := 0.0, 1.0
	return clipSlab(a.X, b.X, r.MinX, r.MaxX, &t0, &t1) &&
		clipSlab(a.Y, b.Y, r.MinY, r.MaxY, &t0, &t1)
}

// clipSlab narrows [t0, t1] to the part of the segment from a to b that lies
// between lo and hi; it reports whether any is left.
func clipSlab(a, b, lo, hi float64, t0, t1 *float64) bool {
	d := b - a
	if d == 0 {
		return a >= lo && a <= hi
	}
	near, far := (lo-a)/d, (hi-a)/d
	if near > far {
		near, far = far, near
	}
	*t0, *t1 = math.Max(*t0, near), math.Min(*t1, far)
	return *t0 <= *t1
}

// Inside reports whether p lies inside the closed polygon by the even-odd rule.
func Inside(p mat.Point, loop []mat.Point) bool {
	in := false
	for i, j := 0, len(loop)-1; i < len(loop); j, i = i, i+1 {
		a, b := loop[i], loop[j]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}
