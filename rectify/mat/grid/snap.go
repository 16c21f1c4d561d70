package grid

import (
	"cmp"
	"math"
	"slices"

	"flatwright/rectify/photo"
)

// snapReachPx is how far from a click a crossing is looked for, in pixels of
// a photograph 4000 px wide; it scales with the width.
const snapReachPx = 24

// Snap returns the crossing of two printed lines nearest to a click; the
// click itself and false when there is none close by. Both lines are fitted
// to their crests on either side of the crossing, so that a pen stroke or a
// number beside it hardly pulls: good to about 0.1 px where the lines are
// clean.
func Snap(p *photo.Photo, near photo.Point) (photo.Point, bool) {
	unit := math.Max(float64(max(p.Width, p.Height))/4000, 0.5)
	reach := snapReachPx * unit
	if !p.Inside(near, 2) {
		return near, false
	}
	half := int(math.Ceil(3 * reach))
	q, x0, y0 := cutOut(p, near, half)
	at := photo.Point{X: near.X - x0, Y: near.Y - y0}
	for _, v := range views(q) {
		best, bestPx := near, reach
		for _, c := range crossingsOf(v.windowAt(at, 3*reach)) {
			if d := math.Hypot(c.X, c.Y); d < bestPx {
				best, bestPx = photo.Point{X: near.X + c.X, Y: near.Y + c.Y}, d
			}
		}
		if bestPx < reach {
			return best, true
		}
	}
	return near, false
}

// lumaFirst is how much clearer than in luminance lines must stand out in a
// tint to be taken from there: colour is blurred by the camera.
const lumaFirst = 1.5

// lineView is what one plane of a cut-out shows of lines.
type lineView struct {
	crests []ridge
	// clear is by how much the stronger crests stand out from the noise.
	clear float64
}

// views lists the planes of a cut-out, the one with the clearest lines first.
func views(q *photo.Photo) []lineView {
	luma := viewOf(levelOf(q, 1))
	luma.clear *= lumaFirst
	out := []lineView{luma}
	if hasColour(q) && !colourless(q) {
		for _, t := range tints() {
			out = append(out, viewOf(tintLevel(inTint(q, t), 1)))
		}
	}
	slices.SortStableFunc(out, func(a, b lineView) int { return cmp.Compare(b.clear, a.clear) })
	return out
}

func viewOf(l *level) lineView {
	brights, darks, floor := findRidges(l)
	v := lineView{crests: brights}
	if strength(darks) > strength(brights) {
		v.crests = darks
	}
	if floor > 0 {
		v.clear = strength(v.crests) / floor
	}
	return v
}

// windowAt is the window about a place of the cut-out.
func (v lineView) windowAt(at photo.Point, half float64) window {
	w := window{cx: at.X, cy: at.Y, half: half}
	for _, r := range v.crests {
		r.x, r.y = r.x-float32(w.cx), r.y-float32(w.cy)
		w.ridges = append(w.ridges, r)
	}
	return w
}

// strength is the height of the stronger ridges: beside every line stand two
// ridges of the other polarity, half as high.
func strength(rs []ridge) float64 {
	hs := make([]float64, len(rs))
	for i, r := range rs {
		hs[i] = float64(r.height)
	}
	if len(hs) == 0 {
		return 0
	}
	slices.Sort(hs)
	return hs[len(hs)*9/10]
}

// cutOut cuts a square out of a photograph, and returns where its origin lies.
func cutOut(p *photo.Photo, at photo.Point, half int) (q *photo.Photo, x0, y0 float64) {
	ax, ay := max(int(at.X)-half, 0), max(int(at.Y)-half, 0)
	bx, by := min(int(at.X)+half, p.Width-1), min(int(at.Y)+half, p.Height-1)
	q = &photo.Photo{Name: p.Name, Width: bx - ax + 1, Height: by - ay + 1}
	for y := ay; y <= by; y++ {
		i, j := y*p.Width+ax, y*p.Width+bx+1
		q.Luma = append(q.Luma, p.Luma[i:j]...)
		if hasColour(p) {
			q.RGB = append(q.RGB, p.RGB[3*i:3*j]...)
		}
	}
	return q, float64(ax), float64(ay)
}

// crossingsOf returns the crossings of the lines in a window, relative to its
// centre.
func crossingsOf(w window) []photo.Point {
	a, b, merit := crossingDirections(w.ridges)
	if merit == 0 {
		return nil
	}
	var out []photo.Point
	as, bs := linesNear(w, a), linesNear(w, b)
	for _, p := range as {
		for _, q := range bs {
			det := p.nx*q.ny - p.ny*q.nx
			if math.Abs(det) < 0.3 {
				continue
			}
			out = append(out, photo.Point{
				X: (p.off*q.ny - q.off*p.ny) / det,
				Y: (p.nx*q.off - q.nx*p.off) / det,
			})
		}
	}
	return out
}

// straight is the line nx x + ny y = off.
type straight struct{ nx, ny, off float64 }

// linesNear fits the lines of a window that run across a direction.
func linesNear(w window, angle float64) []straight {
	u, v, weight := offsetsAlong(w, angle)
	if len(u) < 10 {
		return nil
	}
	zero := int(w.half*1.5) + 2
	pr := &projection{bins: make([]float64, 2*zero+1), zero: zero}
	turn, fan := sharpest(pr, u, v, weight)
	pr.project(u, v, weight, turn, fan)
	var out []straight
	for _, t := range pr.peaks() {
		if s, ok := fitStraight(w, angle+turn+fan*t.offset, t.offset); ok {
			out = append(out, s)
		}
	}
	return out
}

// fitStraight fits a line to the crests within 2 px of a first guess, then
// within 1 px of that.
func fitStraight(w window, angle, off float64) (straight, bool) {
	s := straight{math.Cos(angle), math.Sin(angle), off}
	for _, reach := range []float64{2, 1} {
		var n, sx, sy, sxx, sxy float64
		for _, r := range w.ridges {
			x, y := float64(r.x), float64(r.y)
			d := s.nx*x + s.ny*y - s.off
			if math.Abs(d) > reach || math.Abs(angleBetween(float64(r.normal), angle)) > 0.35 {
				continue
			}
			t := -s.ny*x + s.nx*y
			n, sx, sy, sxx, sxy = n+1, sx+t, sy+d, sxx+t*t, sxy+t*d
		}
		det := n*sxx - sx*sx
		if n < 12 || det < n*n {
			return s, false
		}
		slope := (n*sxy - sx*sy) / det
		base := (sy - slope*sx) / n
		// Points satisfy d = base + slope t: turn the normal by -slope.
		norm := math.Hypot(1, slope)
		nx, ny := (s.nx+slope*s.ny)/norm, (s.ny-slope*s.nx)/norm
		s = straight{nx, ny, (s.off + base) / norm}
	}
	return s, true
}
