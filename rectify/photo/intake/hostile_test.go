package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"flatwright/rectify/photo"
)

// samples are sound files of every kind.
func samples(t testing.TB) map[string][]byte {
	return map[string][]byte{
		"a.jpg":  read(t, "still.jpg"),
		"a.heic": read(t, "still.heic"),
		"b.heic": read(t, "turned.heic"),
		"a.webp": read(t, "still.webp"),
		"b.webp": read(t, "lossless.webp"),
		"a.png":  pngOf(t, noise(40, 30)),
		"a.tiff": tiffOf(t, noise(40, 30)),
		"a.bmp":  bmpOf(t, noise(40, 30)),
	}
}

// refusal checks that an error is one sentence of what happened and one of
// what to do, of the given kinds.
func refusal(t *testing.T, name string, p *photo.Photo, err error, kinds ...error) {
	t.Helper()
	var said *photo.Error
	if p != nil || !errors.As(err, &said) || said.What == "" || said.Do == "" || strings.Contains(err.Error(), "\n") {
		t.Errorf("%s: %v, error %v", name, p, err)
		return
	}
	for _, k := range kinds {
		if errors.Is(err, k) {
			return
		}
	}
	t.Errorf("%s: %v is of another kind", name, err)
}

// TestEverySixteenth: a file that breaks off anywhere is refused.
func TestEverySixteenth(t *testing.T) {
	for name, data := range samples(t) {
		for i := range 16 {
			p, err := Decode(context.Background(), name, data[:len(data)*i/16])
			refusal(t, name, p, err, photo.ErrDamaged)
		}
	}
}

// TestWrongExtension: the bytes tell what a file is, not its name.
func TestWrongExtension(t *testing.T) {
	names := []string{"a.png", "a.jpg", "a.heic", "a.txt", "noname", "ångström.jpeg.gif", "\u202egpj.png"}
	for kind, data := range samples(t) {
		want := mustDecode(t, kind, data)
		for _, name := range names {
			path := filepath.Join(t.TempDir(), name)
			if err := os.WriteFile(path, data, 0o600); err != nil {
				t.Fatal(err)
			}
			p, err := Open(context.Background(), path)
			if err != nil || p.Name != name || !bytes.Equal(p.RGB, want.RGB) {
				t.Errorf("%s as %s: error %v", kind, name, err)
			}
		}
	}
}

// TestGarbage: a sound beginning, then noise. Bare pixels may be any, and so
// may the bits of lossy WebP: there noise is let pass as a picture of noise.
func TestGarbage(t *testing.T) {
	junk := noise(200, 100).Pix
	anyBits := map[string]bool{"a.tiff": true, "a.bmp": true, "a.webp": true}
	for name, data := range samples(t) {
		for _, keep := range []int{0, 12, 40, len(data) / 4} {
			p, err := Decode(context.Background(), name, append(bytes.Clone(data[:keep]), junk...))
			if err == nil && !anyBits[name] {
				t.Errorf("%s after %d bytes: %d × %d pixels", name, keep, p.Width, p.Height)
			}
			if err != nil {
				refusal(t, name, p, err, photo.ErrDamaged, photo.ErrFormat, photo.ErrTooLarge)
			}
		}
	}
}

// TestTrailers: phones append gain maps, depth, further pictures and films to
// a JPEG picture. They are no damage, and the first picture is the one.
func TestTrailers(t *testing.T) {
	jpg := read(t, "still.jpg")
	want := mustDecode(t, "a.jpg", jpg)
	index := append([]byte{0xff, 0xd8, 0xff, 0xe2, 0, 90}, "MPF\x00II*\x00\x08\x00\x00\x00"...) // CIPA DC-007
	index = append(append(index, make([]byte, 90-2-12)...), jpg[2:]...)
	for name, data := range map[string][]byte{
		"a second picture":  append(bytes.Clone(jpg), jpg...),
		"a damaged picture": append(bytes.Clone(jpg), jpg[:len(jpg)/2]...),
		"a film":            append(append(bytes.Clone(jpg), "\x00\x00\x00\x18ftypmp42"...), noise(50, 50).Pix...),
		"zeros":             append(bytes.Clone(jpg), make([]byte, 5000)...),
		"an index of more":  append(index, jpg...),
	} {
		p, err := Decode(context.Background(), "a.jpg", data)
		if err != nil || !bytes.Equal(p.RGB, want.RGB) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// TestThumbnailIsPassedOver: an Exif segment may hold a small JPEG picture of
// its own, which ends before the true one begins.
func TestThumbnailIsPassedOver(t *testing.T) {
	jpg := read(t, "still.jpg")
	p := mustDecode(t, "a.jpg", jpegWith(jpg, append(exif(6), jpg...)))
	if p.Width != 61 || p.Height != 83 || p.FocalPx == 0 {
		t.Errorf("%d × %d pixels, focal length %g", p.Width, p.Height, p.FocalPx)
	}
}

// TestHostileTags: tags that point in circles or claim millions of fields
// change nothing but that they tell nothing.
func TestHostileTags(t *testing.T) {
	le := binary.LittleEndian
	self := append([]byte("II*\x00\x08\x00\x00\x00"), 1, 0, 0x69, 0x87, 4, 0, 1, 0, 0, 0, 8, 0, 0, 0, 8, 0, 0, 0)
	many := append([]byte("II*\x00\x08\x00\x00\x00"), 0xff, 0xff)
	large := le.AppendUint32(append([]byte("II*\x00\x08\x00\x00\x00"), 1, 0, 0x12, 1, 3, 0), 0xffffffff)
	large = append(large, 6, 0, 0, 0, 0, 0, 0, 0)
	for name, tags := range map[string][]byte{
		"points at itself": self, "many fields": many, "large count": large,
		"directory at the header": []byte("II*\x00\x00\x00\x00\x00"), "empty": nil,
		"nonsense orientation": exif(77), "negative orientation": exif(-3),
	} {
		for kind, data := range map[string][]byte{
			"jpg":  jpegWith(read(t, "still.jpg"), tags),
			"png":  pngWith(t, pngOf(t, noise(83, 61)), tags),
			"webp": webpWith(read(t, "lossless.webp"), tags),
		} {
			p, err := Decode(context.Background(), kind, data)
			turned := name == "large count" // its first value is a sound one
			if err != nil || (p.Width == 61) != turned {
				t.Errorf("%s with tags %q: %v, error %v", kind, name, p != nil && p.Width == 61, err)
			}
		}
	}
	loop := tiffOf(t, small())
	at := le.Uint32(loop[4:])
	fields := uint32(le.Uint16(loop[at:]))
	le.PutUint32(loop[at+2+12*fields:], at)
	mustDecode(t, "loop.tiff", loop)
}

// TestOnePixel: the smallest picture of each kind is one.
func TestOnePixel(t *testing.T) {
	for name, data := range map[string][]byte{
		"a.png": pngOf(t, noise(1, 1)), "a.tiff": tiffOf(t, noise(1, 1)), "a.bmp": bmpOf(t, noise(1, 1)),
	} {
		if p := mustDecode(t, name, data); p.Width != 1 || p.Height != 1 || len(p.RGB) != 3 {
			t.Errorf("%s: %+v", name, p)
		}
	}
}

// TestBombs: files of a few bytes that claim to be as large as the limits
// allow are refused in little time, or at a cost of the picture they claim.
func TestBombs(t *testing.T) {
	limits := photo.Limits{MaxPixels: 4e6, MaxSide: 4096, MaxBytes: 1 << 20}
	for name, data := range map[string][]byte{
		"a.png":  pngHeader(2000, 2000),
		"a.jpg":  sizedJPEG(t, read(t, "still.jpg"), 2000, 2000),
		"a.webp": sizedWebP(read(t, "still.webp"), 2000, 2000),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		p, err := DecodeWithin(context.Background(), name, data, limits)
		runtime.ReadMemStats(&after)
		refusal(t, name, p, err, photo.ErrDamaged)
		if used := after.TotalAlloc - before.TotalAlloc; used > 8*4e6 {
			t.Errorf("%s: %d bytes were allocated", name, used)
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%s: %v", name, took)
		}
	}
}

// sizedWebP sets the size of a lossy file (RFC 6386, section 9.1).
func sizedWebP(data []byte, w, h int) []byte {
	out := bytes.Clone(data)
	at := bytes.Index(out, []byte{0x9d, 0x01, 0x2a})
	binary.LittleEndian.PutUint16(out[at+3:], uint16(w))
	binary.LittleEndian.PutUint16(out[at+5:], uint16(h))
	return out
}
