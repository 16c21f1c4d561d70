package intake

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"flatwright/rectify/photo"
	"flatwright/rectify/photo/jpeg"
)

func decodeJPEG(ctx context.Context, s source) (*photo.Photo, error) {
	w, h, err := jpeg.Size(s.data)
	if err != nil {
		return nil, explainJPEG(s.name, err)
	}
	if err := s.limits.CheckSize(s.name, w, h); err != nil {
		return nil, err
	}
	tags := jpegTags(s.data)
	p, err := jpeg.Decode(ctx, s.data, tags.Orientation)
	if err != nil {
		return nil, explainJPEG(s.name, err)
	}
	p.FocalPx, p.FocalUnsure = tags.Focal(w, h)
	return p, nil
}

func explainJPEG(name string, err error) error {
	var damage *jpeg.DamageError
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &damage):
		return damaged(name, readableShare(damage), err)
	case errors.Is(err, jpeg.ErrScans):
		return &photo.Error{
			Name: name, Kind: photo.ErrFormat, Cause: err,
			What: fmt.Sprintf("the picture is put together of more than %d passes, which no camera writes", jpeg.MaxScans),
			Do:   "Save it again as an ordinary JPEG in a picture editor",
		}
	case errors.Is(err, jpeg.ErrCoding):
		return &photo.Error{
			Name: name, Kind: photo.ErrFormat, Cause: err,
			What: fmt.Sprintf("it is a rare kind of JPEG that cannot be read here (%v)", err),
			Do:   "Save it again as an ordinary JPEG in a picture editor",
		}
	}
	return &photo.Error{
		Name: name, Kind: photo.ErrDamaged, Cause: err,
		What: fmt.Sprintf("the file begins like a JPEG picture but cannot be read (%v)", err),
		Do:   "Copy it from the phone or camera again, or save it again as JPEG in a picture editor",
	}
}

func readableShare(d *jpeg.DamageError) string {
	if d.Height == 0 {
		return "its header makes no sense"
	}
	if d.Progressive {
		return fmt.Sprintf("only a coarse picture can be read, the data break off or are wrong in pass %d", d.Scan)
	}
	if d.Rows >= d.Height {
		return "all rows could be read, but the data are wrong somewhere among them"
	}
	return fmt.Sprintf("only the first %d of %d rows (%.0f %%) can be read", d.Rows, d.Height, 100*float64(d.Rows)/float64(d.Height))
}

// jpegTags returns the tags of the first Exif segment before the picture
// data (CIPA DC-008-2019, section 4.7.2); nothing where there is none.
func jpegTags(data []byte) photo.Tags {
	rest := data[2:]
	for {
		marker, body, next, ok := segment(rest)
		if !ok {
			return photo.Tags{}
		}
		if exif, is := bytes.CutPrefix(body, []byte("Exif\x00\x00")); is && marker == 0xe1 {
			tags, _ := photo.ParseTags(exif) // a segment that makes no sense tells nothing
			return tags
		}
		rest = next
	}
}

// segment splits the first marker segment off JPEG data (ITU-T T.81, section
// B.1.1.4); false at the picture data or where there is no segment.
func segment(data []byte) (marker byte, body, rest []byte, ok bool) {
	for len(data) > 1 && data[0] == 0xff && data[1] == 0xff {
		data = data[1:] // fill bytes
	}
	const startOfScan, endOfImage = 0xda, 0xd9
	if len(data) < 4 || data[0] != 0xff || data[1] == startOfScan || data[1] == endOfImage {
		return 0, nil, nil, false
	}
	length := int(data[2])<<8 | int(data[3])
	if length < 2 || len(data) < 2+length {
		return 0, nil, nil, false
	}
	return data[1], data[4 : 2+length], data[2+length:], true
}
