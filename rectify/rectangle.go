package rectify

import (
	"context"
	"fmt"
	"math"

	"flatwright/rectify/edge"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

const (
	// leastSheetMM and mostSheetMM bound the sides that are believed.
	leastSheetMM = 20
	mostSheetMM  = 10000
	// cornerSigmaPart is the standard error of a clicked corner in parts of the
	// photograph's diagonal: 5 px of 5000 (common practice, no source).
	cornerSigmaPart = 0.001
	// edgeReachPart is how far a side's edge may lie from the chord between its
	// corners, in parts of the longer side of the photograph: 15 px for the
	// corners at 12 megapixels and as much again, or twice that, for a lens
	// that bends the picture's corner by 13 %.
	edgeReachPart = 0.015
	// stretches of a side are measured each as one: what curls the paper or
	// shifts its edge a little is shared by neighbours.
	stretches = 24
	// aspectTagged and aspectBlind are by how much the sides may seem to
	// differ from what was given, as a ratio: the focal length that they are
	// judged by is good to a few per cent with a tag, and a guess without.
	aspectTagged = 1.15
	aspectBlind  = 1.25
)

// fromRectangle squares up from a sheet of known size, by its four edges. A
// side that is not seen is held by its two clicked corners alone, which the ±
// then shows. Errors: *RectangleError, *lens.FitError, or the context's.
func fromRectangle(ctx context.Context, p *photo.Photo, o Options) (*Squared, error) {
	r := *o.Rectangle
	if err := r.check(p); err != nil {
		return nil, err
	}
	o.tell("finding the sheet's edges", 0)
	sides, err := r.sides(ctx, p)
	if err != nil {
		return nil, err
	}
	o.tell("solving the camera", 0.7)
	points := sides.samples(p)
	fit, err := r.solve(ctx, p, sides, points)
	if err != nil {
		return nil, fmt.Errorf("squaring up %s from a rectangle: %w", p.Name, err)
	}
	s := &Squared{
		Photo: p, PitchMM: r.WidthMM, Pitch: r.pitch(), Scale: r.scale(), Fit: fit,
		Grid: mat.Grid{Points: points, MaxColumn: 1, MaxRow: 1, MinorPerPitch: 1},
	}
	s.twin = bentTwin(ctx, p, fit.Crossings, r.solver(p))
	if err := s.suits(r); err != nil {
		return nil, err
	}
	o.tell("squared up", 1)
	return s, nil
}

func (r Rectangle) pitch() mat.Pitch { return mat.Pitch{XMM: r.WidthMM, YMM: r.HeightMM} }

// scale is known as well as the sides are measured.
func (r Rectangle) scale() Scale {
	return Scale{
		X: 1, Y: 1, SigmaX: ruleSigmaMM / r.WidthMM, SigmaY: ruleSigmaMM / r.HeightMM,
		Source: FromRectangle, Name: r.Name,
	}
}

func (r Rectangle) solver(p *photo.Photo) lens.SolveOptions {
	return lens.SolveOptions{PitchMM: r.WidthMM, RowPitchMM: r.HeightMM, Width: p.Width, Height: p.Height, FocalPx: p.FocalPx, FocalUnsure: p.FocalUnsure}
}

// sides are a rectangle's corners and edges as far as they were seen: edge k
// runs from corner k to the next.
type sides struct {
	corners [4]photo.Point
	edges   [4]edge.Edge
	seen    [4]bool
}

// sides locates the edges twice: from the corners given, and from those where
// the edges meet, so that the whole of each side is measured.
func (r Rectangle) sides(ctx context.Context, p *photo.Photo) (sides, error) {
	o := edge.Options{
		ReachPx:  max(edgeReachPart*float64(max(p.Width, p.Height)), 8),
		CornerPx: max(2*cornerSigmaPart*diagonal(p), 2),
	}
	s := locateSides(ctx, p, r.Corners, o)
	if corners := s.meet(o.ReachPx); corners != r.Corners {
		s = locateSides(ctx, p, corners, o)
		s.corners = s.meet(o.ReachPx)
	}
	return s, ctx.Err()
}

func locateSides(ctx context.Context, p *photo.Photo, corners [4]photo.Point, o edge.Options) sides {
	s := sides{corners: corners}
	for k := range corners {
		s.edges[k], s.seen[k] = edge.Locate(ctx, p, edge.Side{From: corners[k], To: corners[(k+1)%4]}, o)
	}
	return s
}

// meet returns the corners where neighbouring edges meet, and the old ones
// where they do not.
func (s *sides) meet(reachPx float64) [4]photo.Point {
	corners := s.corners
	for k, c := range corners {
		before := (k + 3) % 4
		if !s.seen[k] || !s.seen[before] {
			continue
		}
		at, ok := edge.Meet(s.edges[before], s.edges[k], c)
		if ok && math.Hypot(at.X-c.X, at.Y-c.Y) < 2*reachPx {
			corners[k] = at
		}
	}
	return corners
}

func (s *sides) countSeen() (n int) {
	for _, v := range s.seen {
		if v {
			n++
		}
	}
	return n
}

// lineOf tells which line of the sheet's own grid side k lies on.
func lineOf(side int) (f mat.Family, index int) {
	switch side {
	case 0:
		return mat.Rows, 0
	case 1:
		return mat.Columns, 1
	case 2:
		return mat.Rows, 1
	default:
		return mat.Columns, 0
	}
}

// samples are the edges as line points; a side that is not seen has its two
// corners.
func (s *sides) samples(p *photo.Photo) []mat.LinePoint {
	cornerPx := cornerSigmaPart * diagonal(p)
	var points []mat.LinePoint
	for k, e := range s.edges {
		list := e.Means(stretches)
		if !s.seen[k] {
			list = []edge.Sample{
				{At: s.corners[k], Part: 0, SigmaPx: cornerPx},
				{At: s.corners[(k+1)%4], Part: 1, SigmaPx: cornerPx},
			}
		}
		f, index := lineOf(k)
		for _, v := range list {
			along := v.Part
			if k >= 2 {
				along = 1 - along
			}
			points = append(points, mat.LinePoint{Family: f, Index: index, Along: along, At: v.At, SigmaPx: v.SigmaPx})
		}
	}
	return points
}

// solve finds the camera from the edges, or from the corners alone when
// hardly any is seen.
func (r Rectangle) solve(ctx context.Context, p *photo.Photo, s sides, points []mat.LinePoint) (*lens.Fit, error) {
	cornerPx := cornerSigmaPart * diagonal(p)
	crossings := make([]lens.Crossing, 4)
	for k, at := range s.corners {
		crossings[k] = lens.Crossing{
			At: at, Column: [4]int{0, 1, 1, 0}[k], Row: k / 2, SigmaPx: cornerPx,
		}
	}
	start, err := lens.SolveCorners(ctx, crossings, r.solver(p))
	if err != nil || s.countSeen() < leastSides {
		return start, err
	}
	return lens.SolveFrom(ctx, start.Model, points, r.solver(p))
}

// leastSides must be seen for the edges to serve.
const leastSides = 2

// suits checks the proportions: the sheet as the camera sees it must be as
// wide to its height as was given. Errors: *RectangleError.
func (s *Squared) suits(r Rectangle) error {
	limit := aspectBlind
	if s.Photo.FocalPx > 0 && !s.Photo.FocalUnsure {
		limit = aspectTagged
	}
	a := s.aspect()
	if math.IsNaN(a) || max(a, 1/a) <= limit {
		return nil
	}
	e := &RectangleError{Photo: s.Photo.Name, Rectangle: r, Corner: -1, Aspect: a}
	swapped := a * (r.WidthMM / r.HeightMM) * (r.WidthMM / r.HeightMM)
	e.Swap = max(swapped, 1/swapped) <= limit
	return e
}

// RectangleError reports that a rectangle cannot be squared up from as it was
// given.
type RectangleError struct {
	Photo     string
	Rectangle Rectangle
	// Corner is the index of the corner that stands out, -1 when none does.
	Corner int
	// Aspect is how many times wider to its height the sheet looks than was
	// given, 0 when that is not the trouble; Swap is set when it would fit
	// with width and height exchanged.
	Aspect float64
	Swap   bool
	// Reason says what is wrong with the corners or sides, and what to do.
	Reason string
}

// Error returns a plain sentence: what happened, then what to do.
func (e *RectangleError) Error() string {
	r := e.Rectangle
	switch {
	case e.Swap:
		return fmt.Sprintf("the sheet in %s does not look %g mm wide and %g mm high as its corners are numbered, but the other way round: swap width and height, or start from the corner next to it",
			e.Photo, r.WidthMM, r.HeightMM)
	case e.Aspect > 0:
		return fmt.Sprintf("the sheet in %s looks %.2f times as wide to its height as %g x %g mm: check its size and the four corners",
			e.Photo, e.Aspect, r.WidthMM, r.HeightMM)
	default:
		return fmt.Sprintf("squaring up %s from a rectangle: %s", e.Photo, e.Reason)
	}
}

// check refuses sides and corners that cannot be a sheet's.
func (r Rectangle) check(p *photo.Photo) error {
	e := &RectangleError{Photo: p.Name, Rectangle: r, Corner: -1}
	for _, mm := range [2]float64{r.WidthMM, r.HeightMM} {
		if !(mm >= leastSheetMM && mm <= mostSheetMM) {
			e.Reason = fmt.Sprintf("a side of %g mm is not one that a sheet has: give width and height in millimetres, from %d to %d", mm, leastSheetMM, mostSheetMM)
			return e
		}
	}
	for k, c := range r.Corners {
		if !p.Inside(c, 0) {
			e.Corner, e.Reason = k, fmt.Sprintf("corner %d at (%.0f, %.0f) lies outside the photograph: choose a sheet that is in view with all four corners", k+1, c.X, c.Y)
			return e
		}
	}
	e.Reason = shapeTrouble(r.Corners)
	if e.Reason != "" {
		return e
	}
	return nil
}

// leastTurn is the sine of the smallest angle at a corner: at 9 degrees no
// sheet is seen, but three corners on a line.
const leastTurn = 0.15

// shapeTrouble says what keeps four corners from being a sheet's, nothing
// when they may be.
func shapeTrouble(c [4]photo.Point) string {
	var turns [4]float64
	left, right := 0, 0
	for k := range c {
		a, b, d := c[(k+3)%4], c[k], c[(k+1)%4]
		ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, d.X-b.X, d.Y-b.Y
		lengths := math.Hypot(ux, uy) * math.Hypot(vx, vy)
		if !(lengths > 1) {
			return "two of the corners are at the same place: click four different ones"
		}
		turns[k] = (ux*vy - uy*vx) / lengths
		if turns[k] > 0 {
			right++
		} else {
			left++
		}
	}
	switch {
	case left == 4:
		return "the corners go round anticlockwise, which would mirror every piece: click them clockwise"
	case left == 2:
		return "the lines between the corners cross: click the corners in order, going round clockwise"
	}
	for k, s := range turns {
		if math.Abs(s) < leastTurn {
			return fmt.Sprintf("corner %d lies on a line with its neighbours: click the four outer corners of the sheet", k+1)
		}
	}
	if right < 4 {
		return "the corners do not go round a sheet, one of them lies inside the others: click its four outer corners"
	}
	return ""
}
