package rectify

import (
	"context"
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/mat/grid"
	"flatwright/rectify/photo"
)

const (
	// clickSigmaPart is the standard error of a clicked crossing in each
	// direction, in parts of the photograph's diagonal: 3 px at 12 megapixels
	// (common practice, no source).
	clickSigmaPart = 0.0006
)

const (
	// bendFewest clicks are needed for the lens's bend to be measured from them.
	bendFewest = 8
	// usualBend is by what part of its radius a lens shifts the picture's
	// corner, 1 sigma: wide ones reach 13 % (common practice, no source).
	usualBend = 0.06
)

// bendAt is where a lens of usual bend would have shown a place.
func bendAt(p *photo.Photo, at photo.Point) (bent photo.Point) {
	cx, cy := float64(p.Width-1)/2, float64(p.Height-1)/2
	x, y := at.X-cx, at.Y-cy
	k := 1 + usualBend*(x*x+y*y)/(cx*cx+cy*cy)
	return photo.Point{X: cx + x*k, Y: cy + y*k}
}

// bentTwin solves the clicks anew as a lens of usual bend would have seen
// them; nil when there are enough to measure the bend, or none.
func bentTwin(ctx context.Context, p *photo.Photo, clicked []lens.Crossing, o lens.SolveOptions) *lens.Model {
	if len(clicked) == 0 || len(clicked) >= bendFewest {
		return nil
	}
	twin := slices.Clone(clicked)
	for k := range twin {
		twin[k].At = bendAt(p, twin[k].At)
	}
	fit, err := lens.SolveCorners(ctx, twin, o)
	if err != nil {
		return nil
	}
	return &fit.Model
}

// bendPlusMinusMM is two standard errors that come from a bend of the lens
// that was not measured.
func (s *Squared) bendPlusMinusMM(at mat.Point) float64 {
	if s.twin == nil {
		return 0
	}
	twin, ok := s.twin.ToMat(bendAt(s.Photo, s.Fit.ToPhoto(at)))
	if !ok {
		return math.Inf(1)
	}
	return 2 * math.Hypot(twin.X-at.X, twin.Y-at.Y)
}

func diagonal(p *photo.Photo) float64 { return math.Hypot(float64(p.Width), float64(p.Height)) }

// fromCorners starts from crossings clicked by hand.
func fromCorners(ctx context.Context, p *photo.Photo, o Options) (*Squared, error) {
	o.tell("starting from the corners", 0)
	clicked := make([]lens.Crossing, len(o.Corners))
	for k, c := range o.Corners {
		clicked[k] = lens.Crossing{At: c.At, Column: c.Column, Row: c.Row, SigmaPx: clickSigmaPart * diagonal(p)}
	}
	steps := o.solver(p)
	steps.PitchMM, steps.RowPitchMM = 1, 1
	start, err := lens.SolveCorners(ctx, clicked, steps)
	if err != nil {
		return nil, fmt.Errorf("squaring up %s from corners: %w", p.Name, err)
	}
	anchors := make([][2]int, len(o.Corners))
	for k, c := range o.Corners {
		anchors[k] = [2]int{c.Column, c.Row}
	}
	found, err := grid.FindFrom(ctx, p, start.Model, anchors)
	if err == nil {
		s, err := solve(ctx, p, found, o)
		if err != nil {
			return nil, err
		}
		if err := s.agreesWith(o.Corners); err != nil {
			return nil, err
		}
		return s, nil
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	o.tell("looking for lines that the corners missed", 0.5)
	if auto, err := grid.Find(ctx, p, grid.Sizes{PitchMM: o.PitchMM, FocalPx: p.FocalPx, FocalUnsure: p.FocalUnsure}); err == nil && len(auto.Grid.Points) >= plentyOfPoints {
		return nil, &CountError{Photo: p.Name, Corner: -1}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return clickedAlone(ctx, p, o, clicked)
}

// clickedAlone squares up where no printed line can be read.
func clickedAlone(ctx context.Context, p *photo.Photo, o Options, clicked []lens.Crossing) (*Squared, error) {
	fit, err := lens.SolveCorners(ctx, clicked, o.solver(p))
	if err != nil {
		return nil, fmt.Errorf("squaring up %s from corners: %w", p.Name, err)
	}
	s := o.squared(p, gridOf(o.Corners), fit)
	if a := s.aspect(); a > squareness || a < 1/squareness {
		return nil, &CountError{Photo: p.Name, Corner: -1, Aspect: a}
	}
	s.twin = bentTwin(ctx, p, clicked, o.solver(p))
	o.tell("squared up", 1)
	return s, nil
}

// gridOf describes the grid that clicked corners span.
func gridOf(cs []Corner) mat.Grid {
	g := mat.Grid{
		MinColumn: cs[0].Column, MaxColumn: cs[0].Column,
		MinRow: cs[0].Row, MaxRow: cs[0].Row, MinorPerPitch: 1,
	}
	for _, c := range cs {
		g.MinColumn, g.MaxColumn = min(g.MinColumn, c.Column), max(g.MaxColumn, c.Column)
		g.MinRow, g.MaxRow = min(g.MinRow, c.Row), max(g.MaxRow, c.Row)
	}
	return g
}
