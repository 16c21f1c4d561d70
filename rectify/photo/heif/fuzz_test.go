package heif

import (
	"context"
	"errors"
	"testing"
	"time"
)

func seeds(f *testing.F) {
	for _, name := range []string{"still.heic", "full.heic", "grey.heic", "deep.heic", "thumb.heic"} {
		f.Add(read(f, name))
	}
	f.Add(gridFile(f, 120, 100))
	f.Add(with(f, exif(6), pack("irot", []byte{3}), pack("clap", u32(40, 1, 30, 1, 5, 1, -3, 1))))
}

// FuzzDescribe: whatever the bytes, a size and tags that lie in the file, or
// an error of the two kinds.
func FuzzDescribe(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Describe(data)
		if err == nil && (p.StoredWidth <= 0 || p.StoredHeight <= 0 || p.Width < 0 || p.Height < 0 || len(p.Exif) > len(data)) {
			t.Errorf("%+v", p)
		}
		if err != nil && !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrKind) {
			t.Errorf("error %v", err)
		}
	})
}

// FuzzDecode: whatever passes the checks is decoded or refused.
func FuzzDecode(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		head, err := Describe(data)
		if err != nil || head.StoredWidth*head.StoredHeight > 1<<16 || head.Width*head.Height > 1<<16 {
			return
		}
		p, err := decode(context.Background(), head, time.Second)
		if err == nil && (p.Width != head.Width || len(p.RGB) != 3*p.Width*p.Height || len(p.Luma) != p.Width*p.Height) {
			t.Errorf("%d × %d pixels for %+v", p.Width, p.Height, head)
		}
		if errors.Is(err, ErrDecoder) {
			t.Log(err)
		}
	})
}
