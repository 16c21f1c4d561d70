// Package find finds the pieces on a mat in a photograph: outlines,
// openings, pen marks. Everything is measured in the photograph and handed
// on in millimetres on the mat.
package find

import (
	"context"
	"errors"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

// Input is a squared-up photograph.
type Input struct {
	Photo   *photo.Photo
	View    lens.Mapping
	PitchMM float64
	Grid    mat.Grid
	// Progress, when set, is told how far the work is, 0 to 1.
	Progress func(part float64)
}

// Piece is one piece as it was seen.
type Piece struct {
	// Outline and Openings are closed loops of dense measured points, about
	// one per photograph pixel, in order: outlines clockwise to the eye
	// (positive shoelace area with y down), openings the other way round.
	Outline  []curve.Sample
	Openings [][]curve.Sample
	// Marks are the registration marks: where the stroke meets the outline
	// and its inner end.
	Marks []Stroke
	// Lines are pen lines inside, joined across gaps.
	Lines [][]mat.Point
}

// Stroke is a registration mark: At lies on the outline, In inside.
type Stroke struct{ At, In mat.Point }

// Problem is something the maker should hear about, with its place.
type Problem struct {
	At   mat.Point
	Text string
}

// Result is all that was found, pieces in reading order of the mat.
type Result struct {
	Pieces   []Piece
	Problems []Problem
}

// Pieces finds the pieces in a squared-up photograph.
func Pieces(ctx context.Context, in Input) (Result, error) {
	return Result{}, errors.New("not wired yet")
}
