// Package edge locates the straight edge of a flat sheet in a photograph, as
// the lens bends it, to a fraction of a pixel along its whole length.
//
// It works from the coarse to the fine. Steps of brightness or colour are
// gathered across the chord between two corners, and the smooth curve that
// the most of them agree on is drawn by RANSAC (Fischler & Bolles 1981); then
// a blurred step is fitted to profiles across that curve in the photograph
// itself. What lies across the edge, and corners that are rounded or turned
// down, leave gaps, not errors.
package edge

import (
	"context"
	"math"

	"flatwright/rectify/photo"
)

// Side is where an edge is looked for: between two corners, about which the
// sheet goes round clockwise to the eye, so that it lies on the right of the
// way from one to the other.
type Side struct{ From, To photo.Point }

// Sample is one place on the edge.
type Sample struct {
	At photo.Point
	// Part is how far along the side it lies, 0 to 1.
	Part float64
	// SigmaPx is its standard error across the edge.
	SigmaPx float64
}

// Edge is an edge that was located.
type Edge struct {
	Side    Side
	Samples []Sample
	// SeenPart is the part of the side on which samples were taken.
	SeenPart float64
	bow      bow
}

// Options bound the search.
type Options struct {
	// ReachPx is how far from the chord the edge may lie: how far the corners
	// may be off, and what the lens bends.
	ReachPx float64
	// CornerPx is how far the corners are usually off, 1 sigma.
	CornerPx float64
}

const (
	// leastSidePx is the shortest side that is measured.
	leastSidePx = 40
	// leastSeenPart of a side must be seen, over leastSpanPart of its length,
	// for its bend to be known.
	leastSeenPart = 0.3
	leastSpanPart = 0.6
)

// Locate finds the edge of a side; false when it is not seen. Samples are good
// to about 0.05 px on a clean edge, each with its own standard error.
func Locate(ctx context.Context, p *photo.Photo, s Side, o Options) (Edge, bool) {
	f := s.frame()
	if !(f.length >= leastSidePx) || ctx.Err() != nil {
		return Edge{}, false
	}
	b, ok := draw(candidates(p, f, o), f, o)
	if !ok || ctx.Err() != nil {
		return Edge{}, false
	}
	e := measure(p, f, b)
	e.Side = s
	return e, e.enough()
}

func (e *Edge) enough() bool {
	if len(e.Samples) < 8 || e.SeenPart < leastSeenPart {
		return false
	}
	return e.Samples[len(e.Samples)-1].Part-e.Samples[0].Part >= leastSpanPart
}

// Meet returns where two located edges, or their continuations, meet near a
// place; false when they run too nearly alike.
func Meet(a, b Edge, near photo.Point) (photo.Point, bool) {
	at := near
	fa, fb := a.Side.frame(), b.Side.frame()
	for range 20 {
		oa, na := fa.off(a.bow, at)
		ob, nb := fb.off(b.bow, at)
		det := na.X*nb.Y - na.Y*nb.X
		if math.Abs(det) < 0.1 {
			return photo.Point{}, false
		}
		dx, dy := (oa*nb.Y-ob*na.Y)/det, (na.X*ob-nb.X*oa)/det
		at.X, at.Y = at.X-dx, at.Y-dy
		if math.Hypot(dx, dy) < 1e-6 {
			return at, true
		}
	}
	return photo.Point{}, false
}

// frame measures along and across the chord: across grows into the sheet.
type frame struct {
	from   photo.Point
	t, n   photo.Point
	length float64
}

func (s Side) frame() frame {
	dx, dy := s.To.X-s.From.X, s.To.Y-s.From.Y
	l := math.Hypot(dx, dy)
	t := photo.Point{X: dx / l, Y: dy / l}
	return frame{from: s.From, t: t, n: photo.Point{X: -t.Y, Y: t.X}, length: l}
}

// at is the place part of the way along and across px beside the chord.
func (f frame) at(part, across float64) photo.Point {
	along := part * f.length
	return photo.Point{
		X: f.from.X + along*f.t.X + across*f.n.X,
		Y: f.from.Y + along*f.t.Y + across*f.n.Y,
	}
}

// off returns how far a place lies beside a curve, in px across the chord, and
// by how much that grows with x and y.
func (f frame) off(b bow, at photo.Point) (across float64, slope photo.Point) {
	dx, dy := at.X-f.from.X, at.Y-f.from.Y
	part := (dx*f.t.X + dy*f.t.Y) / f.length
	across = dx*f.n.X + dy*f.n.Y - b.at(part)
	g := b.slope(part) / f.length
	return across, photo.Point{X: f.n.X - g*f.t.X, Y: f.n.Y - g*f.t.Y}
}

// Means returns the samples in n stretches of equal length, each as one: what
// neighbours share is then no longer counted again and again.
func (e *Edge) Means(n int) []Sample {
	f := e.Side.frame()
	out := make([]Sample, 0, n)
	for i := 0; i < len(e.Samples); {
		k := int(e.Samples[i].Part * float64(n))
		var part, off, squares, count float64
		for ; i < len(e.Samples) && int(e.Samples[i].Part*float64(n)) == k; i++ {
			d, _ := f.off(e.bow, e.Samples[i].At)
			part, off, squares, count = part+e.Samples[i].Part, off+d, squares+d*d, count+1
		}
		part, off = part/count, off/count
		scatter := math.Sqrt(max(squares/count-off*off, 0)) + leastScatterPx
		out = append(out, Sample{
			At: f.at(part, e.bow.at(part)+off), Part: part, SigmaPx: math.Hypot(scatter/math.Sqrt(count), leastScatterPx),
		})
	}
	return out
}

// leastScatterPx is believed of samples however well they agree.
const leastScatterPx = 0.02
