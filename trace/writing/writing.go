// Package writing finds handwriting on pieces and cuts upright pictures of it
// out of the photograph, for the maker to read. It reads nothing itself.
package writing

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
	// Marks and Lines are what has been read as registration marks (from the
	// outline inwards) and inside lines: they are no writing.
	Marks [][2]mat.Point
	Lines []curve.Path
}

// Input is a photograph with the pieces in it.
type Input struct {
	Photo *photo.Photo
	// View maps the plane of the pieces' upper faces.
	View   lens.Mapping
	Pieces []Piece
}

// Block is a word or two written close together on a piece.
type Block struct {
	// Piece is the index of the piece in the input.
	Piece int
	// Centre, WidthMM, HeightMM and AngleRad are its rectangle on the mat:
	// AngleRad is the direction of the line of writing, clockwise to the eye
	// from x. Writing runs left to right along it when it was taken the right
	// way up. The angle is good to about 5° for words; single letters and other
	// blocks hardly longer than high are taken to stand upright in the
	// photograph.
	Centre            mat.Point
	WidthMM, HeightMM float64
	AngleRad          float64
	// Picture is the rectangle with a margin, flattened and turned upright.
	Picture Picture
}

// Corners returns the rectangle's corners, mm on the mat, from the top left
// clockwise.
func (b Block) Corners() [4]mat.Point {
	w, h := b.WidthMM/2, b.HeightMM/2
	f := frame{b.Centre, b.AngleRad}
	return [4]mat.Point{f.place(-w, -h), f.place(w, -h), f.place(w, h), f.place(-w, h)}
}

var errNoPhoto = errors.New("the photograph has no picture in memory")

// Find finds the writing on all pieces: blocks by piece, the largest first.
// Which way up it stands cannot be told without reading it; a block is taken
// to be the way up that is nearer to upright in the photograph, so that
// writing that lies on its side or on its head may come out turned:
// Picture.TurnedOver mends that. It returns an error only when the input
// cannot be used or ctx ends.
func Find(ctx context.Context, in Input) ([]Block, error) {
	if in.Photo == nil || in.View == nil || in.Photo.Width < 2 || in.Photo.Height < 2 ||
		len(in.Photo.RGB) < 3*in.Photo.Width*in.Photo.Height || len(in.Photo.Luma) < in.Photo.Width*in.Photo.Height {
		return nil, errNoPhoto
	}
	blocks := make([][]Block, len(in.Pieces))
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range in.Pieces {
		all.Go(func() error {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("looking for handwriting: %w", err)
			}
			blocks[i] = on(in, p)
			for k := range blocks[i] {
				blocks[i][k].Piece = i
			}
			return nil
		})
	}
	if err := all.Wait(); err != nil {
		return nil, err
	}
	return slices.Concat(blocks...), nil
}

// on finds the writing on one piece.
func on(in Input, p Piece) (out []Block) {
	s, ok := newSheet(in, p)
	if !ok {
		return nil
	}
	for _, g := range s.words(s.strokes()) {
		out = append(out, s.block(in, g))
	}
	return out
}
