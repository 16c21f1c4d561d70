package scene

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"

	"flatwright/rectify/photo"
)

// Tags are what the file's EXIF segment says; zero values are left out.
type Tags struct {
	// Orientation 1..8: the pixels are stored so that applying the tag gives
	// the upright picture.
	Orientation int
	// Focal35MM is FocalLengthIn35mmFilm.
	Focal35MM int
}

// EncodeJPEG writes a photograph as phones do: baseline, chroma halved both
// ways, an EXIF segment with the tags.
func EncodeJPEG(w io.Writer, p *photo.Photo, quality int, tags Tags) error {
	if tags.Orientation < 0 || tags.Orientation > 8 {
		return fmt.Errorf("scene: orientation tag %d is not from 1 to 8", tags.Orientation)
	}
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, stored(p, tags.Orientation), &jpeg.Options{Quality: quality}); err != nil {
		return fmt.Errorf("scene: encoding %s: %w", p.Name, err)
	}
	file := buf.Bytes()
	for _, part := range [][]byte{file[:2], exif(tags), file[2:]} { // after the start marker
		if _, err := w.Write(part); err != nil {
			return fmt.Errorf("scene: writing %s: %w", p.Name, err)
		}
	}
	return nil
}

// stored is the picture as it lies in the file under an orientation tag.
func stored(p *photo.Photo, orientation int) *image.RGBA {
	w, h := p.Width, p.Height
	if orientation >= 5 {
		w, h = h, w
	}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			ux, uy := upright(orientation, x, y, w, h)
			i, j := 3*(uy*p.Width+ux), y*img.Stride+4*x
			copy(img.Pix[j:j+3], p.RGB[i:i+3])
			img.Pix[j+3] = 255
		}
	}
	return img
}

// upright maps a stored pixel of a w by h file to the upright picture (EXIF
// 2.32, tag 0x0112).
func upright(orientation, x, y, w, h int) (ux, uy int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	}
	return x, y
}

// exif is an APP1 segment with the tags, nothing when there are none.
func exif(t Tags) []byte {
	if t == (Tags{}) {
		return nil
	}
	le := binary.LittleEndian
	body := append([]byte("Exif\x00\x00"), "II*\x00\x08\x00\x00\x00"...)
	entry := func(tag, kind uint16, value uint32) {
		body = le.AppendUint16(body, tag)
		body = le.AppendUint16(body, kind)
		body = le.AppendUint32(body, 1)
		body = le.AppendUint32(body, value)
	}
	const short, long = 3, 4
	body = le.AppendUint16(body, 2)
	entry(0x0112, short, uint32(max(t.Orientation, 1)))
	const exifAt = 8 + 2 + 2*12 + 4
	entry(0x8769, long, exifAt)
	body = le.AppendUint32(body, 0)
	if t.Focal35MM > 0 {
		body = le.AppendUint16(body, 1)
		entry(0xA405, short, uint32(t.Focal35MM))
	} else {
		body = le.AppendUint16(body, 0)
	}
	body = le.AppendUint32(body, 0)
	head := []byte{0xff, 0xe1}
	head = binary.BigEndian.AppendUint16(head, uint16(len(body)+2))
	return append(head, body...)
}

// Shoot draws the scene, writes it as JPEG and reads it back without help
// from outside: the photograph as a program meets it. Luma is the file's own
// Y plane.
func Shoot(ctx context.Context, s Spec) (*photo.Photo, error) {
	p, err := Render(ctx, s)
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	tags := Tags{Orientation: s.Sensor.Orientation, Focal35MM: s.Sensor.Focal35MM}
	if err := EncodeJPEG(&buf, p, s.Sensor.Quality, tags); err != nil {
		return nil, err
	}
	img, err := jpeg.Decode(&buf)
	if err != nil {
		return nil, fmt.Errorf("scene: reading %s back: %w", s.Name, err)
	}
	ycc, ok := img.(*image.YCbCr)
	if !ok {
		return nil, errors.New("scene: the JPEG did not come back in colour")
	}
	unstore(ycc, tags.Orientation, p)
	return p, nil
}

// unstore copies a decoded file into the upright photograph.
func unstore(img *image.YCbCr, orientation int, p *photo.Photo) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	for y := range h {
		for x := range w {
			ux, uy := upright(orientation, x, y, w, h)
			i := uy*p.Width + ux
			luma, c := img.Y[img.YOffset(x, y)], img.COffset(x, y)
			p.Luma[i] = luma
			p.RGB[3*i], p.RGB[3*i+1], p.RGB[3*i+2] = color.YCbCrToRGB(luma, img.Cb[c], img.Cr[c])
		}
	}
}
