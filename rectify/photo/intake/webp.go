package intake

import (
	"context"
	"image"
	"io"

	"golang.org/x/image/webp"

	"flatwright/rectify/photo"
)

func decodeWebP(ctx context.Context, s source) (*photo.Photo, error) {
	if isAnimated(s.data) {
		return nil, animated(s.name, "WebP")
	}
	return codec{webp.DecodeConfig, webpFullRange, webpTags, nil}.run(ctx, s)
}

// webpFullRange decodes a WebP picture. Lossy ones hold luminance 16 to 235
// and colour differences 16 to 240 (RFC 6386, section 9.2, after ITU-R
// BT.601), which Go's colour model takes for 0 to 255; they are stretched.
func webpFullRange(r io.Reader) (image.Image, error) {
	img, err := webp.Decode(r)
	switch m := img.(type) {
	case *image.YCbCr:
		stretch(m)
	case *image.NYCbCrA:
		stretch(&m.YCbCr)
	}
	return img, err
}

func stretch(m *image.YCbCr) {
	var luminance, difference [256]byte
	for i := range 256 {
		luminance[i] = clamp(float64(i-16)*255/219 + 0.5)
		difference[i] = clamp(128 + float64(i-128)*255/224 + 0.5)
	}
	replace(m.Y, &luminance)
	replace(m.Cb, &difference)
	replace(m.Cr, &difference)
}

func clamp(v float64) byte { return byte(max(0, min(v, 255))) }

func replace(values []byte, table *[256]byte) {
	for i, v := range values {
		values[i] = table[v]
	}
}
