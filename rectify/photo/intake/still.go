package intake

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"flatwright/rectify/photo"
)

// codec is a decoder written in Go.
type codec struct {
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
	tags   func(data []byte) photo.Tags
	bands  bandsOf
}

func animated(name, kind string) error {
	return &photo.Error{
		Name: name, Kind: photo.ErrFormat,
		What: fmt.Sprintf("this is an animated %s picture, and a single photograph is wanted", kind),
		Do:   "Save one of its pictures as JPEG and open that",
	}
}

func decodeTIFF(ctx context.Context, s source) (*photo.Photo, error) {
	if n := photo.CountTIFFPages(s.data); n > 1 {
		return nil, &photo.Error{
			Name: s.name, Kind: photo.ErrFormat,
			What: fmt.Sprintf("the file holds %d pages, and a single photograph is wanted", n),
			Do:   "Save the page as a file of its own and open that",
		}
	}
	return codec{tiff.DecodeConfig, tiff.Decode, tiffTags, tiffBands}.run(ctx, s)
}

func decodeBMP(ctx context.Context, s source) (*photo.Photo, error) {
	return codec{bmp.DecodeConfig, bmp.Decode, nil, bmpBands}.run(ctx, s)
}

func (c codec) run(ctx context.Context, s source) (*photo.Photo, error) {
	size, err := guard(func() (image.Config, error) { return c.config(bytes.NewReader(s.data)) })
	if err != nil {
		return nil, explain(s.name, err)
	}
	if err := s.limits.CheckSize(s.name, size.Width, size.Height); err != nil {
		return nil, err
	}
	var tags photo.Tags
	if c.tags != nil {
		tags = c.tags(s.data)
	}
	if c.bands != nil && size.Width*size.Height > bandPixels {
		if bands := c.bands(s.data, size, max(1, bandPixels/size.Width)); len(bands) > 1 {
			p, err := c.decodeBands(ctx, size, tags, bands)
			if err != nil {
				return nil, explain(s.name, err)
			}
			return p, nil
		}
	}
	img, err := guard(func() (image.Image, error) { return c.decode(&reader{ctx, bytes.NewReader(s.data)}) })
	if err != nil {
		return nil, explain(s.name, err)
	}
	return flatten(ctx, img, tags)
}

// guard runs a decoder that reads a file from anywhere: should it panic on
// one, that file is damaged and the program goes on.
func guard[T any](decode func() (T, error)) (result T, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the decoder gave up: %v", p)
		}
	}()
	return decode()
}

// reader stops a decoder when the context ends.
type reader struct {
	ctx context.Context
	*bytes.Reader
}

func (r *reader) Read(b []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.Read(b)
}

func (r *reader) ReadAt(b []byte, at int64) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.Reader.ReadAt(b, at)
}

func explain(name string, err error) error {
	var badTIFF tiff.UnsupportedError
	var badPNG png.UnsupportedError
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &badTIFF), errors.As(err, &badPNG), errors.Is(err, bmp.ErrUnsupported):
		return &photo.Error{
			Name: name, Kind: photo.ErrFormat, Cause: err,
			What: fmt.Sprintf("it uses a feature of its format that is not read here (%v)", err), Do: exportAsJPEG,
		}
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return damaged(name, "it ends before the picture does", err)
	}
	return damaged(name, fmt.Sprintf("the picture in it cannot be read (%v)", err), err)
}
