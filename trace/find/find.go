// Package find finds the pieces on a mat in a photograph: outlines,
// openings, pen marks. Everything is measured in the photograph and handed
// on in millimetres on the mat.
package find

import (
	"context"
	"errors"
	"fmt"

	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace/curve"
)

var errNoPhoto = errors.New("the photograph has no picture in memory")

// Input is a squared-up photograph.
type Input struct {
	Photo *photo.Photo
	View  lens.Mapping
	// Pitch is the true distance between the grid's lines.
	Pitch mat.Pitch
	Grid  mat.Grid
	// Sheet says that the grid's one square is a plain sheet lying on the
	// table: nothing is printed, and pieces lie on the sheet, beside it or both.
	Sheet bool
	// Raised is set when the pieces rise above the mat; nil when they lie in
	// its plane.
	Raised *Raised
	// Progress, when set, is told how far the work is, 0 to 1.
	Progress func(part float64)
}

// hasPitch reports whether the distance between lines is known.
func (in *Input) hasPitch() bool { return in.Pitch.XMM > 0 && in.Pitch.YMM > 0 }

// minorStep is the distance between neighbouring printed lines, minors
// included.
func (in *Input) minorStep() mat.Pitch {
	n := float64(max(1, in.Grid.MinorPerPitch))
	return mat.Pitch{XMM: in.Pitch.XMM / n, YMM: in.Pitch.YMM / n}
}

// lineWidthMM is the width of a major line.
func (in *Input) lineWidthMM() float64 { return in.Grid.LineWidthPitch * in.Pitch.XMM }

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

// Pieces finds the pieces in a squared-up photograph. Outlines are measured
// in the photograph itself, to about a tenth of a pixel on clean edges.
// It returns an error only when the input cannot be used or ctx ends; what
// it could not make sense of it says in Problems.
func Pieces(ctx context.Context, in Input) (Result, error) {
	if in.Photo == nil || in.View == nil || len(in.Photo.RGB) < 3*in.Photo.Width*in.Photo.Height ||
		len(in.Photo.Luma) < in.Photo.Width*in.Photo.Height {
		return Result{}, errNoPhoto
	}
	if !in.Sheet {
		in.Grid = beyond(&in)
	}
	f := finder{in: &in, linear: powerTone(blurPower), coded: powerTone(1)}
	for i, step := range []func(){f.lookForThings, f.pickPieces, f.locateBorders, f.readPen, f.dropOthers} {
		if err := ctx.Err(); err != nil {
			return Result{}, fmt.Errorf("finding pieces: %w", err)
		}
		step()
		if f.err != nil {
			return Result{}, fmt.Errorf("finding pieces: %w", f.err)
		}
		if in.Progress != nil {
			in.Progress(float64(i+1) / 5)
		}
	}
	return f.result(), nil
}
