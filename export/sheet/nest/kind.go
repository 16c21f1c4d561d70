package nest

import (
	"fmt"
	"math"
	"slices"

	"flatwright/export/sheet/polygon"
	"flatwright/rectify/mat"
)

// kind is a piece's shape or a blocked part, as convex parts in its own frame,
// whose origin is near its middle.
type kind struct {
	// baseDeg and origin say how the own frame comes from the piece's: shift by
	// -origin, then turn by baseDeg.
	baseDeg float64
	origin  mat.Point
	parts   [][]mat.Point
	// turns are indices in the solver's turns.
	turns   []int
	areaMM2 float64
	radius  float64
	fixed   bool
}

// anyTurns is how many turns stand for any: whole degrees, counted from where
// the piece's longest straight side lies along x.
const anyTurns = 360

func newKind(shape polygon.Shape, more []polygon.Shape, straighten bool) (*kind, error) {
	parts, err := polygon.Parts(shape)
	if err != nil {
		return nil, err
	}
	for _, m := range more {
		extra, err := polygon.Parts(m)
		if err != nil {
			return nil, err
		}
		parts = append(parts, extra...)
	}
	k := &kind{areaMM2: shape.AreaMM2()}
	if !(k.areaMM2 > 0) {
		return nil, fmt.Errorf("it has no area")
	}
	b := polygon.BoxOf(shape.Outline)
	k.origin = mat.Point{X: (b.MinX + b.MaxX) / 2, Y: (b.MinY + b.MaxY) / 2}
	if straighten {
		k.baseDeg = -longestSideDeg(shape.Outline)
	}
	sin, cos := polygon.SinCosDeg(k.baseDeg)
	for _, part := range parts {
		out := make([]mat.Point, len(part))
		for i, p := range part {
			x, y := p.X-k.origin.X, p.Y-k.origin.Y
			out[i] = mat.Point{X: cos*x - sin*y, Y: sin*x + cos*y}
			k.radius = math.Max(k.radius, math.Hypot(x, y))
		}
		k.parts = append(k.parts, out)
	}
	// Large parts first: they end the search for the greatest depth early.
	slices.SortStableFunc(k.parts, func(a, b []mat.Point) int {
		if polygon.Area(a) > polygon.Area(b) {
			return -1
		}
		return 1
	})
	return k, nil
}

func longestSideDeg(ring []mat.Point) float64 {
	long, deg := 0.0, 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if d := math.Hypot(q.X-p.X, q.Y-p.Y); d > long {
			long, deg = d, math.Atan2(q.Y-p.Y, q.X-p.X)*180/math.Pi
		}
	}
	return deg
}

// box returns the box of the kind turned by deg in its own frame.
func (k *kind) box(deg float64) polygon.Box {
	sin, cos := polygon.SinCosDeg(deg)
	var pts []mat.Point
	for _, part := range k.parts {
		for _, p := range part {
			pts = append(pts, mat.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y})
		}
	}
	return polygon.BoxOf(pts)
}

// turnTable holds all turns in use and, for every two, which of the distinct
// differences lies between them.
type turnTable struct {
	deg      []float64
	sin, cos []float64
	diffDeg  []float64
	diff     []int32 // [a*len(deg)+b]: the turn of b less that of a
}

func newTurnTable(degs []float64) *turnTable {
	t := &turnTable{deg: degs}
	index := map[int64]int32{}
	for _, a := range degs {
		s, c := polygon.SinCosDeg(a)
		t.sin, t.cos = append(t.sin, s), append(t.cos, c)
		for _, b := range degs {
			d := circleDeg(b - a)
			key := int64(math.Round(d * 1e7))
			k, ok := index[key]
			if !ok {
				k = int32(len(t.diffDeg))
				index[key] = k
				t.diffDeg = append(t.diffDeg, d)
			}
			t.diff = append(t.diff, k)
		}
	}
	return t
}

// circleDeg returns the angle in [0, 360).
func circleDeg(d float64) float64 {
	d = math.Mod(d, 360)
	if d < 0 {
		d += 360
	}
	if d > 360-1e-8 {
		return 0
	}
	return d
}

// Fits reports whether piece k of a problem fits into one of the bins, or on
// the strip, alone and blocked parts left aside, at one of its turns.
func Fits(p *Problem, k int) bool {
	q := p.Pieces[k]
	kd, err := newKind(q.Shape, q.More, len(q.TurnsDeg) == 0)
	if err != nil {
		return true // Solve tells why
	}
	turns := q.TurnsDeg
	if len(turns) == 0 {
		for d := range anyTurns {
			turns = append(turns, float64(d)*360/anyTurns)
		}
	}
	m := 2 * p.MarginMM
	for _, t := range turns {
		b := kd.box(t)
		if p.Bins == nil && b.Height() <= p.StripWidthMM-m {
			return true
		}
		for _, bin := range p.Bins {
			if b.Width() <= bin.LengthMM-m && b.Height() <= bin.WidthMM-m {
				return true
			}
		}
	}
	return false
}
