// Package rectify squares a photograph up: from the mat's own printed lines
// to a two-way map between the photograph (px) and the mat (mm).
package rectify

import (
	"context"
	"errors"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// Options tell SquareUp what the photograph cannot.
type Options struct {
	// PitchMM is the distance between the mat's (major) lines. Required.
	PitchMM float64
	// Corners are crossings the maker has clicked, with the counts of squares
	// between them. Empty: the lines are found automatically. Otherwise at
	// least four, no three on a line.
	Corners []Corner
	// Progress, when set, is told the stage by name and how far it is, 0 to 1.
	Progress func(stage string, part float64)
}

// Corner is a crossing of the mat's lines clicked by hand.
type Corner struct {
	At          photo.Point
	Column, Row int
}

// Squared is a photograph squared up.
type Squared struct {
	Photo   *photo.Photo
	PitchMM float64
	Grid    mat.Grid
	Fit     *lens.Fit
}

// SquareUp finds the mat's lines in a photograph and solves the camera.
func SquareUp(ctx context.Context, p *photo.Photo, o Options) (*Squared, error) {
	return nil, errors.New("not wired yet")
}
