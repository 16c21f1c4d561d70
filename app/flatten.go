package main

import (
	"context"
	"image"
	"image/png"
	"io"
	"math"
	"path/filepath"

	"flatwright/export"
	"flatwright/export/report"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
)

// flatScalesMM are the sizes of a pixel of a flattened picture, in mm: round
// ones, so that lengths are easily counted out.
var flatScalesMM = [...]float64{0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5}

const (
	// coarserPart is by how much a flattened picture's pixels may be larger
	// than the photograph's.
	coarserPart = 1.1
	// mostFlatPx bounds the pixels of a flattened picture.
	mostFlatPx = 60e6
	// farSheets is how many sheets beside the sheet a table is still shown.
	farSheets = 3
)

// flat says how a flattened picture lies on the mat: the middle of its first
// pixel, its size in pixels, and the size of a pixel.
type flat struct {
	camera        lens.Model
	left, top     float64
	width, height int
	mmPerPx       float64
}

// layFlat chooses the part of the mat that is shown, and the scale: no finer
// than the photograph, but for rounding.
func layFlat(s *rectify.Squared) flat {
	low, high := flatBounds(s)
	f := flat{camera: s.Fit.Model, left: low.X, top: low.Y}
	if upper, ok := s.Upper(); ok {
		f.camera = upper
	}
	seen := f.camera.ScaleMMPerPx(mat.Point{X: (low.X + high.X) / 2, Y: (low.Y + high.Y) / 2})
	area := (high.X - low.X) * (high.Y - low.Y)
	for _, mmPerPx := range flatScalesMM {
		tooFine := f.mmPerPx == 0 || area/(f.mmPerPx*f.mmPerPx) > mostFlatPx
		if tooFine || mmPerPx <= coarserPart*seen {
			f.mmPerPx = mmPerPx
		}
	}
	f.width = 1 + int((high.X-low.X)/f.mmPerPx)
	f.height = 1 + int((high.Y-low.Y)/f.mmPerPx)
	return f
}

// flatBounds is the part of the mat that the photograph shows, and a square
// beyond its lines; of a table it is all that is in view near the sheet.
func flatBounds(s *rectify.Squared) (low, high mat.Point) {
	g := s.Grid
	least := s.Pitch.At(float64(g.MinColumn-1), float64(g.MinRow-1))
	most := s.Pitch.At(float64(g.MaxColumn+1), float64(g.MaxRow+1))
	if s.Scale.Source == rectify.FromRectangle {
		least, most = s.Pitch.At(-farSheets, -farSheets), s.Pitch.At(1+farSheets, 1+farSheets)
	}
	low, high = most, least
	const steps = 32
	w, h := float64(s.Photo.Width-1), float64(s.Photo.Height-1)
	for i := range steps + 1 {
		t := float64(i) / steps
		for _, p := range [4]photo.Point{{X: t * w}, {X: t * w, Y: h}, {Y: t * h}, {X: w, Y: t * h}} {
			at, ok := s.Fit.ToMat(p)
			if !ok {
				at = most // towards the horizon all that is allowed is shown
			}
			low = mat.Point{X: min(low.X, max(at.X, least.X)), Y: min(low.Y, max(at.Y, least.Y))}
			high = mat.Point{X: max(high.X, min(at.X, most.X)), Y: max(high.Y, min(at.Y, most.Y))}
		}
	}
	return low, high
}

// draw resamples the photograph; white where it shows nothing. It stops with
// ctx's error when ctx ends.
func (f flat) draw(ctx context.Context, p *photo.Photo) (*image.RGBA, error) {
	img := image.NewRGBA(image.Rect(0, 0, f.width, f.height))
	for y := range f.height {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		row := img.Pix[y*img.Stride : y*img.Stride+4*f.width]
		for x := range f.width {
			at := f.camera.ToPhoto(mat.Point{X: f.left + float64(x)*f.mmPerPx, Y: f.top + float64(y)*f.mmPerPx})
			c := [3]uint8{255, 255, 255}
			if p.Inside(at, 0) {
				c = colourAt(p, at)
			}
			row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = c[0], c[1], c[2], 255
		}
	}
	return img, nil
}

// colourAt returns the colour at a place inside, by bilinear interpolation.
func colourAt(p *photo.Photo, at photo.Point) (c [3]uint8) {
	x0, y0 := min(int(at.X), max(p.Width-2, 0)), min(int(at.Y), max(p.Height-2, 0))
	fx, fy := at.X-float64(x0), at.Y-float64(y0)
	i := 3 * (y0*p.Width + x0)
	down, right := 3*p.Width, 3
	for k := range 3 {
		a, b := float64(p.RGB[i+k]), float64(p.RGB[i+right+k])
		d, e := float64(p.RGB[i+down+k]), float64(p.RGB[i+down+right+k])
		top, bottom := a+(b-a)*fx, d+(e-d)*fx
		c[k] = uint8(math.Round(top + (bottom-top)*fy))
	}
	return c
}

// writeFlat saves the flattened picture, whole or not at all.
func writeFlat(ctx context.Context, path string, s *rectify.Squared) (*report.Picture, error) {
	f := layFlat(s)
	img, err := f.draw(ctx, s.Photo)
	if err != nil {
		return nil, err
	}
	quick := png.Encoder{CompressionLevel: png.BestSpeed}
	err = export.ReplaceContext(ctx, filepath.Dir(path), []export.File{{
		Name:  filepath.Base(path),
		Write: func(w io.Writer) error { return quick.Encode(w, img) },
	}})
	if err != nil {
		return nil, err
	}
	return &report.Picture{File: path, MMPerPx: f.mmPerPx, Left: f.left, Top: f.top}, nil
}
