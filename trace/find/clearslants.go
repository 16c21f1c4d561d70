package find

import (
	"math"

	"flatwright/rectify/mat"
)

// clearSlants marks as bare what slanting lines explain; it reports whether any
// was. Such a line is no thinner than what may be a part of a piece where it
// comes out from under one at a sharp angle, or where it crosses other lines
// close beside one: what hangs together with the piece there would be taken for
// it.
func (f *finder) clearSlants() bool {
	some := false
	for k := range f.print.slants {
		some = f.clearSlant(&f.print.slants[k]) || some
	}
	return some
}

// clearSlant does so for one line. On both sides something may lie, then the
// line is under it: one side at least has to be bare.
func (f *finder) clearSlant(l *slant) bool {
	const nearMM, farMM = 0.7, 1.1 // beside the line's edge
	s := f.sheet
	inkOf, noise := f.inkScale()
	way, some := f.inkWay(), false
	blurMM := 0.7 * s.res
	wide := l.half + 2*blurMM
	for t := l.lo; t <= l.hi; t += s.res / 2 {
		if !f.bareBeside(l, t, l.half+nearMM, l.half+farMM) && !f.bareBeside(l, t, -l.half-nearMM, -l.half-farMM) {
			continue
		}
		for o := -wide; o <= wide; o += s.res / 2 {
			i, at, ok := s.besideSlant(l, t, o)
			if !ok || f.mask[i] == 0 || s.seen[i] == 0 {
				continue
			}
			if f.isInk(i, way, inkOf(i), l.part(at, blurMM), noise) {
				f.mask[i], some = 0, true
			}
		}
	}
	return some
}

// bareBeside reports whether nothing lies at two places beside a slanting line.
func (f *finder) bareBeside(l *slant, t, near, far float64) bool {
	for _, o := range [2]float64{near, far} {
		if i, _, ok := f.sheet.besideSlant(l, t, o); !ok || f.mask[i] != 0 {
			return false
		}
	}
	return true
}

// besideSlant is the pixel of the sheet at t mm along a slanting line and o mm
// beside it, and its middle; false where the sheet ends.
func (s *sheet) besideSlant(l *slant, t, o float64) (i int, middle mat.Point, ok bool) {
	p := l.at(t, o)
	x, y := math.Round((p.X-s.x0)/s.res), math.Round((p.Y-s.y0)/s.res)
	if x < 0 || y < 0 || int(x) >= s.w || int(y) >= s.h {
		return 0, middle, false
	}
	return s.index(int(x), int(y)), s.toMM(x, y), true
}
