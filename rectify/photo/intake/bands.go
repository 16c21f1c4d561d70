package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"io"
	"runtime"

	"flatwright/rectify/photo"
)

// bandPixels is how much of a picture is decoded at once where the kind of
// file allows: what a decoder takes for it is small beside any photograph.
const bandPixels = 2 << 20

// band is some rows of a stored picture as a file of their own.
type band struct {
	first, rows int
	file        io.Reader
}

// bandsOf splits a file into bands of at most so many rows, or as few as the
// file allows, from anywhere to anywhere; none where it cannot be split.
type bandsOf func(data []byte, size image.Config, rows int) []band

// decodeBands puts a picture together of its bands.
func (c codec) decodeBands(ctx context.Context, size image.Config, tags photo.Tags, bands []band) (*photo.Photo, error) {
	p, place := blank(size.Width, size.Height, tags), tags.Orientation.Place(size.Width, size.Height)
	row, since := make([]byte, 3*size.Width), 0
	for _, b := range bands {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		img, err := guard(func() (image.Image, error) { return c.decode(b.file) })
		if err != nil {
			return nil, err
		}
		at := img.Bounds()
		if at.Dx() != size.Width || at.Dy() != b.rows {
			return nil, fmt.Errorf("a part of %d × %d pixels, not %d × %d", at.Dx(), at.Dy(), size.Width, b.rows)
		}
		read := rowReader(img)
		for y := range b.rows {
			read(at.Min.Y+y, row)
			placeRow(p, place, b.first+y, row)
		}
		// The collector waits until memory has doubled: so long is too long.
		if since += b.rows * size.Width; since >= bandPixels/2 {
			since = 0
			runtime.GC()
		}
	}
	return p, nil
}

// bmpBands splits a BMP file, whose rows are bare and all of one length.
func bmpBands(data []byte, size image.Config, rows int) []band {
	le := binary.LittleEndian
	if len(data) < 30 {
		return nil
	}
	offset, signed := int64(le.Uint32(data[10:])), int32(le.Uint32(data[22:]))
	rowBytes := int64((size.Width*int(le.Uint16(data[28:])) + 31) / 32 * 4)
	if offset < 30 || offset+rowBytes*int64(size.Height) > int64(len(data)) {
		return nil
	}
	var bands []band
	for y := 0; y < size.Height; y += rows {
		n := min(rows, size.Height-y)
		header, height, first := bytes.Clone(data[:offset]), int32(n), size.Height-y-n
		if signed < 0 {
			height, first = -height, y // the top row comes first
		}
		le.PutUint32(header[22:], uint32(height))
		body := data[offset+int64(y)*rowBytes:][:int64(n)*rowBytes]
		bands = append(bands, band{first, n, io.MultiReader(bytes.NewReader(header), bytes.NewReader(body))})
	}
	return bands
}
