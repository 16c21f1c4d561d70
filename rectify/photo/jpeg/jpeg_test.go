package jpeg

import (
	"bytes"
	"context"
	"errors"
	"image"
	gojpeg "image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

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

func mustDecode(t testing.TB, data []byte) *photo.Photo {
	t.Helper()
	p, err := Decode(context.Background(), data, 1)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func worst(a, b []byte) int {
	most := 0
	for i := range a {
		most = max(most, int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return most
}

// reference decodes with Go's own decoder, an independent implementation.
func reference(t *testing.T, data []byte) (rgb, luma []byte) {
	t.Helper()
	img, err := gojpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := img.At(x, y).RGBA()
			rgb = append(rgb, byte(r>>8), byte(g>>8), byte(bl>>8))
			switch m := img.(type) {
			case *image.YCbCr:
				luma = append(luma, m.Y[m.YOffset(x, y)])
			case *image.Gray:
				luma = append(luma, m.Pix[m.PixOffset(x, y)])
			}
		}
	}
	return rgb, luma
}

// Decoders may differ by one level per coefficient transform (ITU-T T.83);
// the step from YCbCr to RGB stretches that by up to 1.77 and rounds again.
const (
	rgbLevels  = 3
	lumaLevels = 1
)

func TestAgreesWithGoDecoder(t *testing.T) {
	for _, name := range []string{"full.jpg", "grey.jpg", "halved.jpg", "restarts.jpg", "progressive.jpg"} {
		t.Run(name, func(t *testing.T) {
			data := read(t, name)
			p := mustDecode(t, data)
			rgb, luma := reference(t, data)
			if p.Width != 83 || p.Height != 61 {
				t.Fatalf("size %d × %d", p.Width, p.Height)
			}
			if d := worst(p.Luma, luma); d > lumaLevels {
				t.Errorf("luminance differs by %d levels", d)
			}
			// Coarser colour differences are smoothed here and repeated by
			// Go's decoder, so that RGB can be compared at full sampling only.
			if name != "full.jpg" && name != "grey.jpg" {
				return
			}
			if d := worst(p.RGB, rgb); d > rgbLevels {
				t.Errorf("RGB differs by %d levels", d)
			}
		})
	}
}

// TestEveryCoding holds the codings that Go's decoder does not know against
// the plain one of the same picture. Where colours were quantised in another
// space the noise of quality 92 stays; a wrong conversion is tens of levels
// off on the mean.
func TestEveryCoding(t *testing.T) {
	plain := mustDecode(t, read(t, "full.jpg"))
	for name, levels := range map[string]float64{"rgb.jpg": 2, "cmyk.jpg": 2} {
		p := mustDecode(t, read(t, name))
		if d := mean(p.RGB, plain.RGB); d > levels {
			t.Errorf("%s differs by %.2f levels on the mean, at most %g expected", name, d, levels)
		}
		if d := mean(p.Luma, plain.Luma); d > levels {
			t.Errorf("luminance of %s differs by %.2f levels on the mean, at most %g expected", name, d, levels)
		}
	}
}

func mean(a, b []byte) float64 {
	sum := 0
	for i := range a {
		sum += max(int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return float64(sum) / float64(len(a))
}

func TestOrientationMovesPixels(t *testing.T) {
	for _, name := range []string{"full.jpg", "grey.jpg", "cmyk.jpg"} {
		data := read(t, name)
		stored := mustDecode(t, data)
		for o := photo.Orientation(1); o <= 8; o++ {
			p, err := Decode(context.Background(), data, o)
			if err != nil {
				t.Fatal(err)
			}
			place := o.Place(stored.Width, stored.Height)
			for i, v := range stored.Luma {
				at := place.Base + i%stored.Width*place.StepX + i/stored.Width*place.StepY
				if p.Luma[at] != v || !bytes.Equal(p.RGB[3*at:3*at+3], stored.RGB[3*i:3*i+3]) {
					t.Fatalf("%s, orientation %d: stored pixel %d is not at %d", name, o, i, at)
				}
			}
		}
	}
}

// TestEveryTruncation cuts a file at every length: nothing but the missing
// end marker may pass for a picture.
func TestEveryTruncation(t *testing.T) {
	for _, name := range []string{"full.jpg", "halved.jpg", "restarts.jpg", "progressive.jpg", "grey.jpg", "rgb.jpg", "cmyk.jpg"} {
		data := read(t, name)
		whole := mustDecode(t, data)
		for n := range data {
			p, err := Decode(context.Background(), data[:n:n], 1)
			if err == nil && !bytes.Equal(p.RGB, whole.RGB) {
				t.Errorf("%s cut to %d of %d bytes passed for a picture", name, n, len(data))
			}
			if err != nil && n > len(data)-2 && name == "full.jpg" {
				t.Errorf("%s without its end marker only: %v", name, err)
			}
		}
	}
}

func TestArithmeticIsRefused(t *testing.T) {
	if _, err := Decode(context.Background(), read(t, "arithmetic.jpg"), 1); !errors.Is(err, ErrCoding) {
		t.Errorf("error %v", err)
	}
}

func TestDamageTellsRows(t *testing.T) {
	data := read(t, "full.jpg")
	_, err := Decode(context.Background(), data[:len(data)*2/3], 1)
	var damage *DamageError
	if !errors.As(err, &damage) {
		t.Fatalf("error %v", err)
	}
	if damage.Height != 61 || damage.Rows < 8 || damage.Rows > 56 {
		t.Errorf("%d of %d rows said to be sound", damage.Rows, damage.Height)
	}
	data = read(t, "progressive.jpg")
	_, err = Decode(context.Background(), data[:len(data)*2/3], 1)
	if !errors.As(err, &damage) || !damage.Progressive || damage.Scan < 2 {
		t.Errorf("error %v of a progressive picture", err)
	}
}

// TestZeroedBlock overwrites a stretch of the coded data, as a bad card does.
func TestZeroedBlock(t *testing.T) {
	data := bytes.Clone(read(t, "halved.jpg"))
	clear(data[len(data)/2 : len(data)/2+200])
	if _, err := Decode(context.Background(), data, 1); err == nil {
		t.Error("a zeroed block passed for a picture")
	}
}

func TestPaddingBeforeTheEnd(t *testing.T) {
	data := read(t, "full.jpg")
	body := data[:len(data)-2]
	pad := func(stray []byte) []byte { return append(append(bytes.Clone(body), stray...), 0xff, 0xd9) }
	if _, err := Decode(context.Background(), pad(make([]byte, 5000)), 1); err != nil {
		t.Errorf("zeroes before the end marker: %v", err)
	}
	if _, err := Decode(context.Background(), append(bytes.Clone(data), "trailer of a phone"...), 1); err != nil {
		t.Errorf("bytes after the end marker: %v", err)
	}
	if _, err := Decode(context.Background(), pad(bytes.Repeat([]byte("left over"), 50)), 1); err == nil {
		t.Error("450 bytes of coded data left over passed for a picture")
	}
}

func TestScanLimit(t *testing.T) {
	data := read(t, "progressive.jpg") // 10 scans
	if _, err := decode(context.Background(), data, 1, 9); !errors.Is(err, ErrScans) {
		t.Errorf("error %v with 9 scans allowed", err)
	}
	if _, err := decode(context.Background(), data, 1, 10); err != nil {
		t.Errorf("error %v with 10 scans allowed", err)
	}
}

// TestScanBomb repeats a scan many times, which costs a pass over the whole
// picture each.
func TestScanBomb(t *testing.T) {
	data := read(t, "progressive.jpg")
	scan := data[bytes.LastIndex(data, []byte{0xff, 0xda}) : len(data)-2]
	many := append(bytes.Clone(data[:len(data)-2]), bytes.Repeat(scan, 10000)...)
	if _, err := Decode(context.Background(), append(many, 0xff, 0xd9), 1); err == nil {
		t.Error("10000 needless scans passed")
	}
}

func TestHostileBytes(t *testing.T) {
	for name, data := range map[string][]byte{
		"nothing":    nil,
		"two bytes":  {0xff, 0xd8},
		"text":       []byte("not a picture at all"),
		"no frame":   {0xff, 0xd8, 0xff, 0xd9},
		"0 × 0":      patched(t, 0, 0),
		"0 rows":     patched(t, 83, 0),
		"wider":      patched(t, 2000, 61),
		"other SOF":  bytes.Replace(read(t, "full.jpg"), []byte{0xff, 0xc0}, []byte{0xff, 0xc3}, 1),
		"12 bits":    bytes.Replace(read(t, "full.jpg"), []byte{0xff, 0xc0, 0, 17, 8}, []byte{0xff, 0xc1, 0, 17, 12}, 1),
		"2 channels": twoChannels(),
	} {
		if _, err := Decode(context.Background(), data, 1); err == nil {
			t.Errorf("%s passed for a picture", name)
		}
	}
}

// patched returns a file whose header lies about the size.
func patched(t *testing.T, w, h int) []byte {
	t.Helper()
	data := bytes.Clone(read(t, "full.jpg"))
	at := bytes.Index(data, []byte{0xff, 0xc0})
	copy(data[at+5:], []byte{byte(h >> 8), byte(h), byte(w >> 8), byte(w)})
	return data
}

func twoChannels() []byte {
	return []byte{
		0xff, 0xd8, 0xff, 0xc0, 0, 14, 8, 0, 8, 0, 8, 2, 1, 0x11, 0, 2, 0x11, 0,
		0xff, 0xda, 0, 10, 2, 1, 0, 2, 0, 0, 63, 0, 0, 0xff, 0xd9,
	}
}

func TestSizeOfHugeHeader(t *testing.T) {
	w, h, err := Size(patched(t, 65500, 65500))
	if err != nil || w != 65500 || h != 65500 {
		t.Errorf("size %d × %d, error %v", w, h, err)
	}
}

// TestCancel stops the decoding of a picture that takes seconds.
func TestCancel(t *testing.T) {
	var file bytes.Buffer
	if err := gojpeg.Encode(&file, image.NewGray(image.Rect(0, 0, 12000, 8000)), nil); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Millisecond)
	defer cancel()
	if _, err := Decode(ctx, file.Bytes(), 6); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v", err)
	}
}

func FuzzDecode(f *testing.F) {
	for _, name := range []string{"full.jpg", "progressive.jpg", "arithmetic.jpg", "cmyk.jpg", "restarts.jpg"} {
		f.Add(read(f, name), byte(1))
	}
	f.Add(twoChannels(), byte(6))
	f.Fuzz(func(t *testing.T, data []byte, o byte) {
		w, h, err := Size(data)
		if err != nil || w*h > 1<<20 {
			return
		}
		p, err := Decode(context.Background(), data, photo.Orientation(o))
		if err == nil && (len(p.RGB) != 3*w*h || len(p.Luma) != w*h || p.Width*p.Height != w*h) {
			t.Errorf("picture of %d × %d for a header of %d × %d", p.Width, p.Height, w, h)
		}
	})
}
