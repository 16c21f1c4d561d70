// Package tape finds the strips of tape of another colour that run along the
// outlines of pieces: where each begins and ends, and which of them are of one
// colour. Colours are compared with the piece's own colour close by, so that
// shadows and the colour of the light drop out.
package tape

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// Piece is one piece as it was traced.
type Piece struct {
	// Outline runs clockwise to the eye, mm in the plane of View.
	Outline  curve.Path
	Openings []curve.Path
}

// Input is a photograph with the pieces in it.
type Input struct {
	Photo *photo.Photo
	// View maps the plane of the pieces' upper faces.
	View   lens.Mapping
	Pieces []Piece
}

// Options bound what counts as a strip. Zero fields take the value named in
// their comment.
type Options struct {
	// ShortestMM is the least length of a strip; 8 mm.
	ShortestMM float64
	// WidestMM is the most that a strip reaches inwards; 22 mm.
	WidestMM float64
	// SnapMM is how near to a corner an end is taken to be at it; 3 mm.
	SnapMM float64
	// Contrast is the least difference of colour from the piece, in units of
	// CIELAB with lightness counted half; 8. Tapes closer than that to the
	// piece's own colour are not seen.
	Contrast float64
	// Apart is how far the colours of two strips may lie from each other, in
	// the same unit, to be taken for one tape; 16.
	Apart float64
}

// Run is a stretch of an outline along which a strip lies.
type Run struct {
	// Piece is the index of the piece in the input.
	Piece int
	// FromMM and ToMM are arc lengths from the outline's start, in its
	// direction: 0 <= FromMM < length, FromMM < ToMM <= FromMM + length. Ends
	// are good to about a millimetre, or lie exactly on a corner.
	FromMM, ToMM float64
	From, To     curve.Position
	// Whole is set when the strip runs all the way round.
	Whole bool
	// WidthMM is the strip's usual width.
	WidthMM float64
	// Contrast is the difference from the piece's own colour, as in Options.
	Contrast float64
	// Group is the index of the tape's colour in the result.
	Group int
	// Confidence is 0 to 1: how much of the run is of the tape's colour and ends
	// inwards at a steady width.
	Confidence float64

	colour lab // under the light of the piece's middle
	seen   [3]float64
}

// Group is the strips of one colour.
type Group struct {
	// Name is a plain word for the colour, a proposal only: it is read from the
	// photograph as it is, whose light may be coloured.
	Name string
	// SRGB is the mean colour in the photograph.
	SRGB [3]uint8
	// Confidence is 0 to 1: the least of its surest run's confidence and of
	// how clearly the colour is told from the other groups'.
	Confidence float64
	// LengthMM is the length of all its runs.
	LengthMM float64
}

// Result is all strips found: runs by piece and along the outline, groups by
// length, the longest first.
type Result struct {
	Runs   []Run
	Groups []Group
}

var errNoPhoto = errors.New("the photograph has no picture in memory")

// Find finds the strips along the outlines of all pieces. It returns an error
// only when the input cannot be used or ctx ends.
func Find(ctx context.Context, in Input, o Options) (Result, error) {
	if in.Photo == nil || in.View == nil || len(in.Photo.RGB) < 3*in.Photo.Width*in.Photo.Height || in.Photo.Width < 2 || in.Photo.Height < 2 {
		return Result{}, errNoPhoto
	}
	o = o.filled()
	grounds := make([]*ground, len(in.Pieces))
	owns := make([]*own, len(in.Pieces))
	err := each(ctx, len(in.Pieces), func(i int) {
		if g, ok := newGround(in, in.Pieces[i], o); ok {
			grounds[i], owns[i] = g, g.own
		}
	})
	if err != nil {
		return Result{}, err
	}
	settleAll(owns)
	found := make([][]Run, len(in.Pieces))
	err = each(ctx, len(in.Pieces), func(i int) {
		if grounds[i] == nil {
			return
		}
		found[i] = newStripe(in, grounds[i], o).runs()
		for k := range found[i] {
			found[i][k].Piece = i
		}
	})
	if err != nil {
		return Result{}, err
	}
	r := Result{Runs: slices.Concat(found...)}
	r.Groups = group(r.Runs, o.Apart)
	return r, nil
}

// each calls do for 0 to n-1 on all processors, until the context ends.
func each(ctx context.Context, n int, do func(i int)) error {
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		all.Go(func() error {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("reading tape colours: %w", err)
			}
			do(i)
			return nil
		})
	}
	return all.Wait()
}

func (o Options) filled() Options {
	set := func(v *float64, usual float64) {
		if *v <= 0 {
			*v = usual
		}
	}
	set(&o.ShortestMM, 8)
	set(&o.WidestMM, 22)
	set(&o.SnapMM, 3)
	set(&o.Contrast, 8)
	set(&o.Apart, 16)
	return o
}

func plus(a, b mat.Point, k float64) mat.Point { return mat.Point{X: a.X + k*b.X, Y: a.Y + k*b.Y} }
