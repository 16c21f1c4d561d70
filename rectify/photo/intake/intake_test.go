package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	gojpeg "image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"flatwright/rectify/photo"
)

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func mustDecode(t testing.TB, name string, data []byte) *photo.Photo {
	t.Helper()
	p, err := Decode(context.Background(), name, data)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// small is a picture of 3 × 2 pixels that differ from each other.
func small() *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, 3, 2))
	for i := range 6 {
		img.SetNRGBA(i%3, i/3, color.NRGBA{byte(40 * i), byte(200 - 30*i), byte(10 + i), 255})
	}
	return img
}

func encoded(t testing.TB, encode func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := encode(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	return encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, img) })
}

func tiffOf(t testing.TB, img image.Image) []byte {
	return encoded(t, func(b *bytes.Buffer) error { return tiff.Encode(b, img, nil) })
}

func bmpOf(t testing.TB, img image.Image) []byte {
	return encoded(t, func(b *bytes.Buffer) error { return bmp.Encode(b, img) })
}

// exif is a TIFF stream that holds an orientation and a focal length of 26 mm
// on film.
func exif(o int) []byte {
	le := binary.LittleEndian
	out := append([]byte("II*\x00"), 8, 0, 0, 0, 2, 0)
	entry := func(tag, kind uint16, v uint32) {
		out = le.AppendUint16(le.AppendUint16(out, tag), kind)
		out = le.AppendUint32(le.AppendUint32(out, 1), v)
	}
	entry(0x0112, 3, uint32(o))
	entry(0x8769, 4, uint32(len(out)+16))
	out = append(out, 0, 0, 0, 0, 1, 0)
	entry(0xa405, 3, 26)
	return append(out, 0, 0, 0, 0)
}

func jpegWith(data, exif []byte) []byte {
	body := append([]byte("Exif\x00\x00"), exif...)
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, byte((len(body)+2)>>8), byte(len(body)+2))
	return append(append(out, body...), data[2:]...)
}

// pngWith puts the tags after the header chunk; Go's decoder wants its
// checksum right.
func pngWith(t testing.TB, data, exif []byte) []byte {
	t.Helper()
	const header = 8 + 25
	out := bytes.Clone(data[:header])
	out = append(out, chunk("eXIf", exif)...)
	return append(out, data[header:]...)
}

// webpWith makes an extended file of a simple lossless one (RFC 9649, section
// 2.7).
func webpWith(data, exif []byte) []byte {
	le := binary.LittleEndian
	body := append([]byte("WEBPVP8X"), 10, 0, 0, 0, 8, 0, 0, 0, 82, 0, 0, 60, 0, 0)
	body = append(body, data[12:]...)
	body = le.AppendUint32(append(body, "EXIF"...), uint32(len(exif)))
	body = append(body, exif...)
	return append(le.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// tiffWith sets the orientation of a file. Fields are in order of their
// numbers, so that those between it and the X resolution, which gives way,
// move up by one.
func tiffWith(t testing.TB, data []byte, o int) []byte {
	t.Helper()
	const fieldBytes = 12
	from := bytes.Index(data, []byte{0x15, 0x01, 3, 0, 1, 0, 0, 0})
	to := bytes.Index(data, []byte{0x1a, 0x01, 5, 0, 1, 0, 0, 0})
	if from < 0 || to < from {
		t.Fatal("the fields are not those expected")
	}
	out := bytes.Clone(data)
	copy(out[from+fieldBytes:], data[from:to])
	copy(out[from:], []byte{0x12, 0x01, 3, 0, 1, 0, 0, 0, byte(o), 0, 0, 0})
	return out
}

func TestOrientationAppliedOnce(t *testing.T) {
	plain := map[string]*photo.Photo{
		"jpg":  mustDecode(t, "a.jpg", read(t, "still.jpg")),
		"png":  mustDecode(t, "a.png", pngOf(t, small())),
		"tiff": mustDecode(t, "a.tiff", tiffOf(t, small())),
		"webp": mustDecode(t, "a.webp", read(t, "lossless.webp")),
	}
	for o := 1; o <= 8; o++ {
		for kind, data := range map[string][]byte{
			"jpg":  jpegWith(read(t, "still.jpg"), exif(o)),
			"png":  pngWith(t, pngOf(t, small()), exif(o)),
			"tiff": tiffWith(t, tiffOf(t, small()), o),
			"webp": webpWith(read(t, "lossless.webp"), exif(o)),
		} {
			stored, p := plain[kind], mustDecode(t, "b."+kind, data)
			place := photo.Orientation(o).Place(stored.Width, stored.Height)
			if p.Width != place.Width || p.Height != place.Height {
				t.Errorf("%s, orientation %d: %d × %d pixels", kind, o, p.Width, p.Height)
				continue
			}
			for i, v := range stored.Luma {
				at := place.Base + i%stored.Width*place.StepX + i/stored.Width*place.StepY
				if p.Luma[at] != v || !bytes.Equal(p.RGB[3*at:3*at+3], stored.RGB[3*i:3*i+3]) {
					t.Errorf("%s, orientation %d: stored pixel %d is not at %d", kind, o, i, at)
					break
				}
			}
			if kind != "tiff" && p.FocalPx == 0 {
				t.Errorf("%s: the focal length is lost", kind)
			}
		}
	}
}

func TestStillKinds(t *testing.T) {
	colour := image.NewNRGBA(image.Rect(0, 0, 1, 1))
	colour.SetNRGBA(0, 0, color.NRGBA{160, 80, 14, 255})
	grey := image.NewGray(image.Rect(0, 0, 1, 1))
	grey.SetGray(0, 0, color.Gray{77})
	grey16 := image.NewGray16(grey.Rect)
	grey16.SetGray16(0, 0, color.Gray16{0x4d7f}) // 77.49 of 255
	deep := image.NewNRGBA64(grey.Rect)
	deep.SetNRGBA64(0, 0, color.NRGBA64{0xffff, 0x80ff, 0x0081, 0xffff}) // 255, 128.49, 0.502
	clear50 := image.NewNRGBA(grey.Rect)
	clear50.SetNRGBA(0, 0, color.NRGBA{200, 100, 0, 128})
	clear50deep := image.NewNRGBA64(grey.Rect)
	clear50deep.SetNRGBA64(0, 0, color.NRGBA64{200 * 257, 100 * 257, 0, 128 * 257})
	palette := image.NewPaletted(grey.Rect, color.Palette{color.NRGBA{1, 2, 3, 255}, color.NRGBA{9, 8, 7, 0}})
	palette.Pix[0] = 1
	for name, c := range map[string]struct {
		data []byte
		want []byte
	}{
		"png":             {pngOf(t, colour), []byte{160, 80, 14}},
		"png grey":        {pngOf(t, grey), []byte{77, 77, 77}},
		"png 16-bit grey": {pngOf(t, grey16), []byte{77, 77, 77}},
		"png 16-bit":      {pngOf(t, deep), []byte{255, 128, 1}},
		"png half clear":  {pngOf(t, clear50), []byte{227, 177, 127}},
		"png 16 half":     {pngOf(t, clear50deep), []byte{227, 177, 127}},
		"png palette":     {pngOf(t, palette), []byte{255, 255, 255}},
		"tiff":            {tiffOf(t, colour), []byte{160, 80, 14}},
		"tiff grey":       {tiffOf(t, grey), []byte{77, 77, 77}},
		"tiff 16-bit":     {tiffOf(t, deep), []byte{255, 128, 1}},
		"bmp":             {bmpOf(t, colour), []byte{160, 80, 14}},
	} {
		p := mustDecode(t, name, c.data)
		if p.Name != name || p.Width != 1 || p.Height != 1 || !bytes.Equal(p.RGB, c.want) {
			t.Errorf("%s: %+v, want %v", name, p, c.want)
		}
		if want := (299*int(c.want[0]) + 587*int(c.want[1]) + 114*int(c.want[2]) + 500) / 1000; int(p.Luma[0]) != want {
			t.Errorf("%s: luminance %d, want %d", name, p.Luma[0], want)
		}
	}
}

// TestWebPShowsThePicture: the lossless file is the picture that still.jpg was
// coded from, so that only JPEG's noise of quality 92 lies between them. The
// lossy one also has colour differences of half the sampling.
func TestWebPShowsThePicture(t *testing.T) {
	want := mustDecode(t, "a.jpg", read(t, "still.jpg"))
	for name, most := range map[string]int{"lossless.webp": 2, "still.webp": 4} {
		p := mustDecode(t, name, read(t, name))
		sum := 0
		for i, v := range p.RGB {
			sum += max(int(v)-int(want.RGB[i]), int(want.RGB[i])-int(v))
		}
		if mean := sum / len(p.RGB); p.Width != 83 || p.Height != 61 || mean >= most {
			t.Errorf("%s: %d × %d pixels, %d levels off on the mean", name, p.Width, p.Height, mean)
		}
	}
}

func TestRefusals(t *testing.T) {
	jpg, pic := read(t, "still.jpg"), pngOf(t, noise(64, 64))
	for _, c := range []struct {
		name string
		data []byte
		kind error
		says string
	}{
		{"empty.jpg", nil, photo.ErrDamaged, "the file is empty. Copy it"},
		{"text.jpg", []byte("hello, I am no picture"), photo.ErrFormat, "this is not a picture"},
		{"two.jpg", jpg[:2], photo.ErrDamaged, "cannot be read"},
		{"head.jpg", jpg[:200], photo.ErrDamaged, "cannot be read"},
		{"half.jpg", jpg[:len(jpg)/2], photo.ErrDamaged, "of 61 rows ("},
		{"garbage.jpg", append([]byte{0xff, 0xd8}, bytes.Repeat([]byte{7, 0xff, 3}, 1000)...), photo.ErrDamaged, "its header makes no sense"},
		{"huge.jpg", sizedJPEG(t, jpg, 65500, 65500), photo.ErrTooLarge, "65500 × 65500 pixels, and at most 32767"},
		{"large.jpg", sizedJPEG(t, jpg, 30000, 30000), photo.ErrTooLarge, "30000 × 30000 pixels, which makes 900 megapixels, and at most 120"},
		{"zero.jpg", sizedJPEG(t, jpg, 0, 0), photo.ErrDamaged, "cannot be read"},
		{"half.png", pic[:len(pic)/2], photo.ErrDamaged, "it ends before the picture does"},
		{"head.png", pic[:20], photo.ErrDamaged, "it ends before the picture does"},
		{"bits.png", flipped(pic), photo.ErrDamaged, "cannot be read"},
		{"huge.png", pngHeader(100000, 100000), photo.ErrTooLarge, "100000 × 100000 pixels"},
		{"wide.png", pngHeader(2000000, 1), photo.ErrTooLarge, "2000000 × 1 pixels"},
		{"bomb.png", pngHeader(20000, 20000), photo.ErrTooLarge, "400 megapixels"},
		{"head.tiff", tiffOf(t, small())[:12], photo.ErrDamaged, ""},
		{"head.bmp", bmpOf(t, small())[:20], photo.ErrDamaged, ""},
		{"still.webp", read(t, "still.webp")[:500], photo.ErrDamaged, ""},
		{"animated.webp", read(t, "animated.webp"), photo.ErrFormat, "animated"},
		{"film.gif", []byte("GIF89a"), photo.ErrFormat, "GIF"},
		{"a.heic", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), photo.ErrDamaged, "no description of a picture"},
		{"b.heif", []byte("\x00\x00\x00\x18ftypmsf1\x00\x00\x00\x00"), photo.ErrFormat, "moving HEIC"},
		{"a.avif", []byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00"), photo.ErrFormat, "AVIF"},
		{"a.mp4", []byte("\x00\x00\x00\x18ftypisom\x00\x00\x00\x00"), photo.ErrFormat, "film"},
		{"a.pdf", []byte("%PDF-1.7"), photo.ErrFormat, "PDF"},
		{"a.dng", rawTIFF(), photo.ErrFormat, "raw camera"},
	} {
		p, err := Decode(context.Background(), c.name, c.data)
		var said *photo.Error
		if p != nil || !errors.As(err, &said) || !errors.Is(err, c.kind) {
			t.Errorf("%s: %v, error %v", c.name, p, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), c.name+": ") || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %q does not say %q", c.name, err, c.says)
		}
	}
}

// TestRefusalTakesNoMemory: a header of ten thousand megapixels is refused
// before pixels are allocated.
func TestRefusalTakesNoMemory(t *testing.T) {
	files := [][]byte{sizedJPEG(t, read(t, "still.jpg"), 65500, 65500), pngHeader(100000, 100000)}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for _, data := range files {
		if _, err := Decode(context.Background(), "huge", data); err == nil {
			t.Error("no error")
		}
	}
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
		t.Errorf("%d bytes were allocated", used)
	}
}

// TestMemoryOfJPEG holds the Go memory of decoding to the picture itself: RGB
// and luminance, 4 bytes a pixel, and a little.
func TestMemoryOfJPEG(t *testing.T) {
	data := encoded(t, func(b *bytes.Buffer) error { return gojpeg.Encode(b, noise(1000, 800), nil) })
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	mustDecode(t, "a.jpg", jpegWith(data, exif(6)))
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > 4*1000*800+uint64(len(data))+1<<16 {
		t.Errorf("%d bytes for a picture of %d", used, 4*1000*800)
	}
}

func noise(w, h int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	state := uint32(1)
	for i := range img.Pix {
		state = state*1664525 + 1013904223
		img.Pix[i] = byte(state>>24) | byte(i&3/3*255)
	}
	return img
}

func flipped(data []byte) []byte {
	out := bytes.Clone(data)
	out[len(out)/2] ^= 0x55
	return out
}

func sizedJPEG(t testing.TB, data []byte, w, h int) []byte {
	t.Helper()
	out := bytes.Clone(data)
	at := bytes.Index(out, []byte{0xff, 0xc0})
	if at < 0 {
		t.Fatal("no frame header")
	}
	copy(out[at+5:], []byte{byte(h >> 8), byte(h), byte(w >> 8), byte(w)})
	return out
}

// rawTIFF is a file whose first directory is a small preview.
func rawTIFF() []byte {
	return []byte("II*\x00\x08\x00\x00\x00\x01\x00\xfe\x00\x04\x00\x01\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00\x00")
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	p, err := Open(context.Background(), write("mat.jpg", read(t, "still.jpg")))
	if err != nil || p.Name != "mat.jpg" || p.Width != 83 || len(p.RGB) != 3*83*61 || len(p.Luma) != 83*61 {
		t.Errorf("photograph %+v, error %v", p, err)
	}
	for path, says := range map[string]string{
		filepath.Join(dir, "none.jpg"):      "none.jpg: there is no such file. Check",
		dir:                                 filepath.Base(dir) + ": this is a folder, not a photograph. Choose",
		pipe:                                "pipe: this is not an ordinary file. Copy",
		write("empty.jpg", nil):             "empty.jpg: the file is empty. Copy",
		filepath.Join(dir, "mat.jpg", "in"): "in: the file cannot be read (not a directory). Check",
		filepath.Join(dir, "nul\x00"):       "nul\x00: the file cannot be read (invalid argument). Check",
	} {
		if _, err := Open(context.Background(), path); err == nil || !strings.HasPrefix(err.Error(), says) {
			t.Errorf("%q: error %q does not begin %q", path, err, says)
		}
	}
	limits := photo.Limits{MaxPixels: 100, MaxSide: 100, MaxBytes: 1000}
	if _, err := OpenWithin(context.Background(), filepath.Join(dir, "mat.jpg"), limits); !errors.Is(err, photo.ErrTooLarge) {
		t.Errorf("file beyond the limit: error %v", err)
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, data := range [][]byte{read(t, "still.jpg"), pngOf(t, small())} {
		if _, err := Decode(ctx, "a", data); !errors.Is(err, context.Canceled) {
			t.Errorf("error %v", err)
		}
	}
	if _, err := (codec{png.DecodeConfig, png.Decode, pngTags, nil}).run(ctx, source{"a", pngOf(t, small()), photo.DefaultLimits()}); !errors.Is(err, context.Canceled) {
		t.Errorf("within the decoder: error %v", err)
	}
}

func TestGuardCatchesPanics(t *testing.T) {
	_, err := guard(func() (int, error) {
		var none []int
		return none[3], nil
	})
	if err == nil || !strings.Contains(err.Error(), "index out of range") {
		t.Errorf("error %v", err)
	}
}
