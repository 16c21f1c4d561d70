package intake

import (
	"context"
	"errors"
	"strings"

	"flatwright/rectify/photo"
	"flatwright/rectify/photo/heif"
)

// jpegOnPhone is what to do when a HEIC file is no use.
const jpegOnPhone = `Set the phone's camera to "most compatible" (JPEG), or export the picture as JPEG, and open that`

// decodeHEIC reads the main picture. Its turns are the container's, which are
// part of decoding: the orientation tag says the same once more and is passed
// over (ISO/IEC 23008-12, section 6.5.10; annex A.2).
func decodeHEIC(ctx context.Context, s source) (*photo.Photo, error) {
	head, err := heif.Describe(s.data)
	if err != nil {
		return nil, explainHEIC(s.name, err)
	}
	for _, size := range [][2]int{{head.StoredWidth, head.StoredHeight}, {head.Width, head.Height}} {
		if err := s.limits.CheckSize(s.name, size[0], size[1]); err != nil {
			return nil, err
		}
	}
	p, err := heif.Decode(ctx, head)
	if err != nil {
		return nil, explainHEIC(s.name, err)
	}
	tags := tiffTags(head.Exif)
	p.FocalPx, p.FocalUnsure = tags.Focal(head.StoredWidth, head.StoredHeight)
	p.FocalUnsure = p.FocalUnsure || head.Cropped
	return p, nil
}

func explainHEIC(name string, err error) error {
	switch {
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.Is(err, heif.ErrKind):
		return &photo.Error{
			Name: name, Kind: photo.ErrFormat, Cause: err,
			What: "it is a rare kind of HEIC that cannot be read here", Do: jpegOnPhone,
		}
	case errors.Is(err, heif.ErrDamaged):
		return damaged(name, strings.TrimPrefix(err.Error(), heif.ErrDamaged.Error()+": "), err)
	}
	return &photo.Error{
		Name: name, Kind: photo.ErrDamaged, Cause: err,
		What: "the HEIC picture in it cannot be decoded", Do: jpegOnPhone,
	}
}
