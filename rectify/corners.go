package rectify

import (
	"context"
	"fmt"
	"math"

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
	if auto, err := grid.Find(ctx, p, grid.Sizes{PitchMM: o.PitchMM, FocalPx: p.FocalPx}); err == nil && len(auto.Grid.Points) >= plentyOfPoints {
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
