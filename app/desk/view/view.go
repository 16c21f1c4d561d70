// Package view is the pan and zoom arithmetic of the editor: from the world
// (photograph pixels or mat millimetres) to device pixels and back.
package view

import (
	"math"

	"flatwright/app/desk/units"
)

// Point is a position in the world or on the device; the two have the same
// shape as photo.Point and mat.Point, so that values convert.
type Point struct{ X, Y float64 }

// Rect is an upright rectangle of the world.
type Rect struct{ Min, Max Point }

// Empty reports whether the rectangle has no area.
func (r Rect) Empty() bool { return !(r.Max.X > r.Min.X && r.Max.Y > r.Min.Y) }

// Contains reports whether a point lies in the rectangle, its border included.
func (r Rect) Contains(p Point) bool {
	return p.X >= r.Min.X && p.X <= r.Max.X && p.Y >= r.Min.Y && p.Y <= r.Max.Y
}

// Grown returns the rectangle with a margin in world units on all sides.
func (r Rect) Grown(by float64) Rect {
	return Rect{Point{r.Min.X - by, r.Min.Y - by}, Point{r.Max.X + by, r.Max.Y + by}}
}

// Overlaps reports whether two rectangles share a point.
func (r Rect) Overlaps(o Rect) bool {
	return r.Min.X <= o.Max.X && o.Min.X <= r.Max.X && r.Min.Y <= o.Max.Y && o.Min.Y <= r.Max.Y
}

// Bounds returns the smallest rectangle around points; an empty one for none.
func Bounds(pts []Point) Rect {
	if len(pts) == 0 {
		return Rect{}
	}
	r := Rect{pts[0], pts[0]}
	for _, p := range pts[1:] {
		r = r.With(p)
	}
	return r
}

// With returns the rectangle grown to hold p.
func (r Rect) With(p Point) Rect {
	return Rect{
		Point{math.Min(r.Min.X, p.X), math.Min(r.Min.Y, p.Y)},
		Point{math.Max(r.Max.X, p.X), math.Max(r.Max.Y, p.Y)},
	}
}

// Union returns the rectangle around both; an empty one counts as nothing.
func (r Rect) Union(o Rect) Rect {
	if r.Empty() {
		return o
	}
	if o.Empty() {
		return r
	}
	return r.With(o.Min).With(o.Max)
}

// View maps the world to the device: device = world*Scale + Offset. Scale is
// in device pixels per world unit.
type View struct {
	Scale  float64
	Offset Point
}

// ToDevice returns where a world position is drawn, in device pixels.
func (v View) ToDevice(p Point) Point {
	return Point{p.X*v.Scale + v.Offset.X, p.Y*v.Scale + v.Offset.Y}
}

// ToWorld is the inverse of ToDevice.
func (v View) ToWorld(p Point) Point {
	return Point{(p.X - v.Offset.X) / v.Scale, (p.Y - v.Offset.Y) / v.Scale}
}

// Visible returns the part of the world that a device area w by h shows.
func (v View) Visible(w, h float64) Rect {
	return Rect{v.ToWorld(Point{}), v.ToWorld(Point{w, h})}
}

// Zoomed returns the view scaled by factor about a device position, which
// keeps its place; the scale stays within limits.
func (v View) Zoomed(factor float64, about Point, limits Limits) View {
	s := limits.clamp(v.Scale * factor)
	w := v.ToWorld(about)
	return View{Scale: s, Offset: Point{about.X - w.X*s, about.Y - w.Y*s}}
}

// Panned returns the view moved by device pixels.
func (v View) Panned(dx, dy float64) View {
	v.Offset.X += dx
	v.Offset.Y += dy
	return v
}

// Limits bound the scale.
type Limits struct{ Min, Max float64 }

func (l Limits) clamp(s float64) float64 { return math.Max(l.Min, math.Min(l.Max, s)) }

// Fitted returns the view that shows a world rectangle centred in a device
// area w by h with a margin in device pixels. An empty rectangle or area gives
// scale 1 at the origin.
func Fitted(r Rect, w, h, margin float64) View {
	if r.Empty() || w <= 2*margin || h <= 2*margin {
		return View{Scale: 1}
	}
	s := math.Min((w-2*margin)/(r.Max.X-r.Min.X), (h-2*margin)/(r.Max.Y-r.Min.Y))
	return View{Scale: s, Offset: Point{
		w/2 - s*(r.Min.X+r.Max.X)/2,
		h/2 - s*(r.Min.Y+r.Max.Y)/2,
	}}
}

// Kept returns the view moved as little as needed so that at least margin
// device pixels of the world rectangle stay within a device area w by h: the
// work can never be lost off the side.
func (v View) Kept(r Rect, w, h, margin float64) View {
	if r.Empty() {
		return v
	}
	a, b := v.ToDevice(r.Min), v.ToDevice(r.Max)
	v.Offset.X += shift(a.X, b.X, w, margin)
	v.Offset.Y += shift(a.Y, b.Y, h, margin)
	return v
}

func shift(lo, hi, size, margin float64) float64 {
	switch {
	case hi < margin:
		return margin - hi
	case lo > size-margin:
		return size - margin - lo
	}
	return 0
}

// RulerStep returns the distance between a ruler's numbered ticks, 1, 2 or 5
// times a power of ten in world units, so that they lie at least minPx device
// pixels apart.
func (v View) RulerStep(minPx float64) float64 {
	least := minPx / v.Scale
	p := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5} {
		if p*m >= least {
			return p * m
		}
	}
	return p * 10
}

// InchStep is RulerStep in inches: halves and doubles of one, from an eighth.
func (v View) InchStep(minPx float64) float64 {
	least := minPx / (v.Scale * units.MMPerInch)
	return math.Max(0.125, math.Exp2(math.Ceil(math.Log2(least)-1e-9)))
}

// Inside tells by the even-odd rule whether a place lies in a closed loop, whose
// last point repeats the first.
func Inside(loop []Point, at Point) bool {
	in := false
	for i := 1; i < len(loop); i++ {
		a, b := loop[i-1], loop[i]
		if (a.Y > at.Y) != (b.Y > at.Y) && at.X < a.X+(at.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}
