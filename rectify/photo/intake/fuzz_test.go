package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"testing"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"flatwright/rectify/photo"
)

func chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// pngHeader is a PNG file of which only the header is there.
func pngHeader(w, h uint32) []byte {
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(size, 8, 0, 0, 0, 0))...)
}

// FuzzDecode: whatever the bytes, there is a photograph of consistent size or
// a sentence.
func FuzzDecode(f *testing.F) {
	for _, name := range []string{"still.jpg", "still.webp", "lossless.webp", "animated.webp", "still.heic", "turned.heic"} {
		f.Add(read(f, name))
	}
	f.Add(jpegWith(read(f, "still.jpg"), exif(6)))
	f.Add(pngWith(f, pngOf(f, small()), exif(5)))
	f.Add(webpWith(read(f, "lossless.webp"), exif(3)))
	f.Add(tiffWith(f, tiffOf(f, small()), 8))
	f.Add(bmpOf(f, small()))
	f.Add(pngHeader(100000, 100000))
	limits := photo.Limits{MaxPixels: 1 << 18, MaxSide: 4096, MaxBytes: 1 << 20}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := DecodeWithin(context.Background(), "a", data, limits)
		if err != nil {
			if err.Error() == "" || p != nil {
				t.Errorf("photograph %v, error %q", p, err)
			}
			return
		}
		n := p.Width * p.Height
		if n <= 0 || n > limits.MaxPixels || len(p.RGB) != 3*n || len(p.Luma) != n || !(p.FocalPx >= 0) {
			t.Errorf("%d × %d pixels, %d and %d bytes, focal length %g", p.Width, p.Height, len(p.RGB), len(p.Luma), p.FocalPx)
		}
	})
}

// FuzzBands: whatever a TIFF or BMP file says of its strips, what can be read
// in bands is what can be read as a whole.
func FuzzBands(f *testing.F) {
	f.Add(tiffWith(f, tiffOf(f, noise(20, 30)), 8))
	f.Add(flatTIFF(13, 21, 16))
	f.Add(flatTIFF(13, 21, 8))
	f.Add(bmpOf(f, noise(20, 30)))
	inTIFF := codec{tiff.DecodeConfig, tiff.Decode, tiffTags, tiffBands}
	inBMP := codec{bmp.DecodeConfig, bmp.Decode, func([]byte) photo.Tags { return photo.Tags{} }, bmpBands}
	f.Fuzz(func(t *testing.T, data []byte) {
		c := inTIFF
		if begins("BM")(data) {
			c = inBMP
		}
		size, err := guard(func() (image.Config, error) { return c.config(bytes.NewReader(data)) })
		if err != nil || size.Width <= 0 || size.Height <= 0 || size.Width > 1<<10 || size.Height > 1<<10 {
			return
		}
		bands := c.bands(data, size, 7)
		if len(bands) == 0 {
			return
		}
		inBands, err := c.decodeBands(context.Background(), size, c.tags(data), bands)
		img, wholeErr := guard(func() (image.Image, error) { return c.decode(bytes.NewReader(data)) })
		if err != nil || wholeErr != nil {
			return
		}
		whole, err := flatten(context.Background(), img, c.tags(data))
		if err != nil || whole.Width != inBands.Width || whole.Height != inBands.Height || !bytes.Equal(whole.RGB, inBands.RGB) {
			t.Errorf("%d × %d pixels in bands, %v", inBands.Width, inBands.Height, err)
		}
	})
}

// FuzzPNGRows: whatever header, rows, palette and transparency a PNG file has
// under sound check sums, it is the picture that Go's own decoder makes of it,
// or refused by both.
func FuzzPNGRows(f *testing.F) {
	rows := bytes.Repeat([]byte{0, 1, 2, 3, 4}, 12)
	f.Add(byte(4), byte(3), byte(8), byte(pngGrey), byte(0), rows[:15], []byte(nil), []byte(nil))
	f.Add(byte(1), byte(5), byte(16), byte(pngRGB), byte(0), rows[:35], []byte(nil), []byte{0, 1, 0, 2, 0, 3})
	f.Add(byte(9), byte(5), byte(2), byte(pngPalette), byte(1), rows, []byte{1, 2, 3, 4, 5, 6}, []byte{7})
	f.Add(byte(2), byte(2), byte(8), byte(pngRGBA), byte(1), rows[:18], []byte(nil), []byte(nil))
	f.Fuzz(func(t *testing.T, w, h, depth, kind, lace byte, rows, palette, clear []byte) {
		var more [][]byte
		if len(palette) > 0 {
			more = append(more, chunk("PLTE", palette))
		}
		if len(clear) > 0 {
			more = append(more, chunk("tRNS", clear))
		}
		data := rawPNG(headerPNG(int(w), int(h), depth, kind, lace), rows, more...)
		want, err := codec{png.DecodeConfig, png.Decode, pngTags, nil}.run(context.Background(), source{"a", data, photo.DefaultLimits()})
		got, ours := Decode(context.Background(), "a", data)
		if (err == nil) != (ours == nil) {
			t.Fatalf("error %v, and Go's decoder's is %v", ours, err)
		}
		if err == nil && (got.Width != want.Width || got.Height != want.Height || !bytes.Equal(got.RGB, want.RGB) || !bytes.Equal(got.Luma, want.Luma)) {
			t.Errorf("%x, want %x", got.RGB, want.RGB)
		}
	})
}
