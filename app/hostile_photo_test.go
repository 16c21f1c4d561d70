package main

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	gojpeg "image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"
)

// peakOf runs something and returns the most memory that the process held
// meanwhile, in MB; 0 where the system does not tell.
func peakOf(t *testing.T, run func()) float64 {
	t.Helper()
	debug.FreeOSMemory() // what others took is none of this one's
	// "5" makes the system forget the most so far (Linux, proc(5)).
	reset := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0)
	run()
	status, err := os.ReadFile("/proc/self/status")
	if reset != nil || err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(status), "VmHWM:")
	kB, err := strconv.Atoi(strings.Fields(rest)[0])
	if err != nil {
		t.Fatal(err)
	}
	return float64(kB) * 1024 / 1e6
}

func pngChunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

// pngBomb is a grey PNG file of w by h pixels that takes next to nothing: all
// of them when whole, else a part of the first row.
func pngBomb(w, h int, whole bool) []byte {
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(w)), uint32(h))
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	row := make([]byte, w+1)
	for range h {
		z.Write(row)
		if !whole {
			break
		}
	}
	z.Close()
	out := append([]byte("\x89PNG\r\n\x1a\n"), pngChunk("IHDR", append(size, 8, 0, 0, 0, 0))...)
	return append(append(out, pngChunk("IDAT", packed.Bytes())...), pngChunk("IEND", nil)...)
}

// encodedAs is a plain picture as a file.
func encodedAs(t *testing.T, write func(b *bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngFile(t *testing.T, img image.Image) []byte {
	return encodedAs(t, func(b *bytes.Buffer) error { return png.Encode(b, img) })
}

func jpegFile(t *testing.T, w, h int) []byte {
	return encodedAs(t, func(b *bytes.Buffer) error { return gojpeg.Encode(b, image.NewGray(image.Rect(0, 0, w, h)), nil) })
}

func gifFile(t *testing.T) []byte {
	frame := image.NewPaletted(image.Rect(0, 0, 40, 30), color.Palette{color.Black, color.White})
	return encodedAs(t, func(b *bytes.Buffer) error {
		return gif.EncodeAll(b, &gif.GIF{Image: []*image.Paletted{frame, frame}, Delay: []int{1, 1}})
	})
}

// jpegSized sets the size that a JPEG file declares.
func jpegSized(t *testing.T, data []byte, w, h int) []byte {
	t.Helper()
	out := bytes.Clone(data)
	at := bytes.Index(out, []byte{0xff, 0xc0, 0, 11, 8})
	if at < 0 {
		t.Fatal("no frame header")
	}
	binary.BigEndian.PutUint16(out[at+5:], uint16(h))
	binary.BigEndian.PutUint16(out[at+7:], uint16(w))
	return out
}

// jpegTagged puts tags into a JPEG file.
func jpegTagged(data, tags []byte) []byte {
	body := append([]byte("Exif\x00\x00"), tags...)
	out := binary.BigEndian.AppendUint16([]byte{0xff, 0xd8, 0xff, 0xe1}, uint16(len(body)+2))
	return append(append(out, body...), data[2:]...)
}

// tag is a directory of one field, whose next directory is itself.
func tag(number, kind uint16, count, value uint32) []byte {
	le := binary.LittleEndian
	out := le.AppendUint16(le.AppendUint16([]byte("II*\x00\x08\x00\x00\x00\x01\x00"), number), kind)
	return le.AppendUint32(le.AppendUint32(le.AppendUint32(out, count), value), 8)
}

// animatedPNG says that more pictures follow the first.
func animatedPNG(t *testing.T) []byte {
	const header = 8 + 25
	data := pngFile(t, image.NewGray(image.Rect(0, 0, 40, 30)))
	out := append(bytes.Clone(data[:header]), pngChunk("acTL", []byte{0, 0, 0, 2, 0, 0, 0, 0})...)
	return append(out, data[header:]...)
}

// hostile are photographs that are none, or not of a mat, with what must be
// said of them.
func hostile(t *testing.T) map[string]hostileFile {
	photo, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	cmyk, err := os.ReadFile("../rectify/photo/jpeg/testdata/cmyk.jpg")
	if err != nil {
		t.Fatal(err)
	}
	moving, err := os.ReadFile("../rectify/photo/intake/testdata/animated.webp")
	if err != nil {
		t.Fatal(err)
	}
	plain := jpegFile(t, 400, 300)
	const damaged, noMat = "the file is damaged", "mat"
	return map[string]hostileFile{
		"half.jpg":        {photo[:len(photo)/2], damaged},
		"end.jpg":         {photo[:len(photo)-len(photo)/50], damaged},
		"head.jpg":        {photo[:300], ""},
		"garbage.jpg":     {bytes.Repeat([]byte("not a photograph "), 5000), "not a picture"},
		"soi.jpg":         {append([]byte{0xff, 0xd8}, bytes.Repeat([]byte{0xff, 0xe0, 0, 2}, 9000)...), ""},
		"text.png":        {[]byte("<svg xmlns='http://www.w3.org/2000/svg'/>"), "not a picture"},
		"jpeg.png":        {photo[:len(photo)/3], damaged},
		"zero.jpg":        {nil, "the file is empty"},
		"one.png":         {pngFile(t, image.NewGray(image.Rect(0, 0, 1, 1))), noMat},
		"one.jpg":         {jpegFile(t, 1, 1), noMat},
		"two.png":         {pngFile(t, image.NewGray(image.Rect(0, 0, 2, 2))), noMat},
		"row.png":         {pngBomb(32767, 1, true), noMat},
		"column.png":      {pngBomb(1, 32767, true), noMat},
		"narrow.png":      {pngBomb(20000, 20, true), noMat},
		"huge.jpg":        {jpegSized(t, plain, 65500, 65500), "65500 × 65500 pixels"},
		"huge.png":        {pngBomb(65500, 65500, false), "65500 × 65500 pixels"},
		"declared.jpg":    {jpegSized(t, plain, 10900, 10900), damaged},
		"declared.png":    {pngBomb(10900, 10900, false), damaged},
		"cmyk.jpg":        {cmyk, noMat},
		"16-bit.png":      {pngFile(t, image.NewRGBA64(image.Rect(0, 0, 300, 200))), noMat},
		"moving.webp":     {moving, "animated"},
		"moving.png":      {animatedPNG(t), "animated"},
		"moving.gif":      {gifFile(t), "GIF"},
		"turned.jpg":      {jpegTagged(plain, tag(0x0112, 3, 1, 77)), noMat},
		"turned-back.jpg": {jpegTagged(plain, tag(0x0112, 9, 1, 0xfffffffd)), noMat},
		"loop.jpg":        {jpegTagged(plain, tag(0x8769, 4, 1, 8)), noMat},
		"many.jpg":        {jpegTagged(plain, tag(0x8769, 4, 0xffffffff, 8)), noMat},
		"no-focal.jpg":    {jpegTagged(plain, tag(0x920a, 5, 1, 0xfffffff0)), noMat},
	}
}

type hostileFile struct {
	data []byte
	says string
}

// Whatever a photograph is: one sentence, a status that says it failed, no
// output, and bounded memory and time: no more than the pixels that are
// declared and taken, of which there are 120 million at most.
func TestHostilePhotographs(t *testing.T) {
	ownMats(t)
	for name, file := range hostile(t) {
		dir := t.TempDir()
		path, out := filepath.Join(dir, name), filepath.Join(dir, "out")
		if err := os.WriteFile(path, file.data, 0o600); err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		peak := peakOf(t, func() {
			refused(t, []string{"make", path, "--pitch", "1in", "--out", out}, statusFailed, file.says)
			refused(t, []string{"square", path, "--pitch", "1in"}, statusFailed, file.says)
		})
		if took := time.Since(start); took > 20*time.Second {
			t.Errorf("%s: %v", name, took)
		}
		if peak > 4*120+120 {
			t.Errorf("%s: %.0f MB", name, peak)
		}
		if list, err := os.ReadDir(dir); err != nil || len(list) != 1 {
			t.Errorf("%s: files are left: %v, %v", name, list, err)
		}
		_, _, said := command("make", path, "--pitch", "1in", "--out", out)
		t.Logf("%-16s %4.0f MB, %5d ms: %s", name, peak, time.Since(start).Milliseconds(), strings.TrimSpace(said))
	}
}

// A picture that is one, but blank and as large as any that is taken: its
// pixels are all that it costs.
func TestLargeBlankPhotograph(t *testing.T) {
	ownMats(t)
	path := filepath.Join(t.TempDir(), "blank.png")
	if err := os.WriteFile(path, pngBomb(10900, 10900, true), 0o600); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	peak := peakOf(t, func() { refused(t, []string{"square", path, "--pitch", "1in"}, statusFailed, "mat") })
	t.Logf("119 megapixels: %.0f MB, %v", peak, time.Since(start).Round(time.Millisecond))
	if most := 9*10900*10900/1e6 + 400; peak > most || time.Since(start) > time.Minute {
		t.Errorf("%.0f MB, at most %.0f; %v", peak, most, time.Since(start))
	}
}
