//go:build linux

package intake

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	gojpeg "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// childPhoto names the file that the test binary opens when it runs as a
// process of its own; it then prints the most memory that it ever held.
const childPhoto = "FLATWRIGHT_INTAKE_TEST_CHILD"

func TestMain(m *testing.M) {
	path := os.Getenv(childPhoto)
	if path == "" {
		os.Exit(m.Run())
	}
	p, err := Open(context.Background(), path)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	status, _ := os.ReadFile("/proc/self/status")
	_, rest, _ := strings.Cut(string(status), "VmHWM:")
	fmt.Println(p.Width*p.Height, strings.Fields(rest)[0])
	os.Exit(0)
}

// peakMB opens a file in a process of its own and returns the most memory
// that this held.
func peakMB(t *testing.T, path string) float64 {
	t.Helper()
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), childPhoto+"="+path)
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, said.String())
	}
	kB, err := strconv.Atoi(strings.Fields(string(out))[1])
	if err != nil {
		t.Fatal(err)
	}
	return float64(kB) * 1024 / 1e6
}

// flatPNG is a PNG file of one colour, of which little is ever in memory.
func flatPNG(w, h int, depth, kind, interlace byte) []byte {
	channels := map[byte]int{pngGrey: 1, pngRGB: 3, pngPalette: 1, pngGreyAlpha: 2, pngRGBA: 4}[kind]
	d := pngDecoder{width: w, height: h, depth: int(depth), channels: channels, interlaced: interlace == 1}
	var packed bytes.Buffer
	z, _ := zlib.NewWriterLevel(&packed, zlib.BestSpeed)
	for _, p := range d.passes() {
		pw, ph := p.size(w, h)
		row := bytes.Repeat([]byte{90}, d.rowBytes(pw))
		row[0] = 0
		for range ph {
			z.Write(row)
		}
	}
	z.Close()
	out := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", headerPNG(w, h, depth, kind, interlace))...)
	return append(append(out, chunk("IDAT", packed.Bytes())...), chunk("IEND", nil)...)
}

// flatJPEG is a grey JPEG file of one colour.
func flatJPEG(t *testing.T, w, h int) []byte {
	grey := image.NewGray(image.Rect(0, 0, w, h))
	for i := range grey.Pix {
		grey.Pix[i] = 90
	}
	return encoded(t, func(b *bytes.Buffer) error { return gojpeg.Encode(b, grey, nil) })
}

// TestMemory: what opening takes is bounded by the file and the photograph, 4
// bytes for each of its pixels, whatever the file makes of them. The program
// and its buffers come on top.
func TestMemory(t *testing.T) {
	const side, photoMB = 4500, 4 * 4500 * 4500 / 1e6
	for name, c := range map[string]struct {
		data    func() []byte
		extraMB float64
	}{
		"a.png":             {func() []byte { return flatPNG(side, side, 8, pngRGB, 0) }, 50},
		"16-bit.png":        {func() []byte { return flatPNG(side, side, 16, pngRGBA, 0) }, 50},
		"16-bit, laced.png": {func() []byte { return flatPNG(side, side, 16, pngRGBA, 1) }, 50},
		"a.jpg":             {func() []byte { return flatJPEG(t, side, side) }, 50},
		"a.bmp":             {func() []byte { return flatBMP(side, side) }, 60},
		"a.tiff":            {func() []byte { return flatTIFF(side, side, 8) }, 60},
		"16-bit.tiff":       {func() []byte { return flatTIFF(side, side, 16) }, 110},
	} {
		path := filepath.Join(t.TempDir(), name)
		data := c.data()
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		fileMB, peak := float64(len(data))/1e6, peakMB(t, path)
		t.Logf("%-18s %4.0f MB at the most for a file of %.0f MB and a photograph of %.0f MB", name, peak, fileMB, photoMB)
		if most := fileMB + photoMB + c.extraMB; peak > most || peak < photoMB {
			t.Errorf("%s: %.0f MB at the most, want at most %.0f", name, peak, most)
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
	}
}

// flatBMP is a BMP file of one colour.
func flatBMP(w, h int) []byte {
	le := binary.LittleEndian
	row := (3*w + 3) / 4 * 4
	out := append([]byte("BM"), make([]byte, 52)...)
	le.PutUint32(out[2:], uint32(54+row*h))
	le.PutUint32(out[10:], 54)
	le.PutUint32(out[14:], 40)
	le.PutUint32(out[18:], uint32(w))
	le.PutUint32(out[22:], uint32(h))
	le.PutUint16(out[26:], 1)
	le.PutUint16(out[28:], 24)
	return append(out, bytes.Repeat([]byte{90}, row*h)...)
}
