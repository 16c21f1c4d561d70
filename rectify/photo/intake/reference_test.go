package intake

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"flatwright/rectify/photo"
)

// tool returns the path of a program; the test is skipped when it is missing.
func tool(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed (%s): nothing is compared with it", name, from)
	}
	return path
}

func run(t *testing.T, program string, args ...string) []byte {
	t.Helper()
	var out, text bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Stdout, cmd.Stderr = &out, &text
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v: %s", program, args, err, text.Bytes())
	}
	return out.Bytes()
}

// pixels returns the picture as another program reads it: a binary PPM file
// of 8 bits a sample.
func pixels(t *testing.T, ppm []byte) (width, height int, rgb []byte) {
	t.Helper()
	var most int
	n, err := fmt.Sscanf(string(ppm[:min(40, len(ppm))]), "P6\n%d %d\n%d\n", &width, &height, &most)
	if err != nil || n != 3 || most != 255 || len(ppm) < 3*width*height {
		t.Fatalf("no PPM file: %q", ppm[:min(20, len(ppm))])
	}
	return width, height, ppm[len(ppm)-3*width*height:]
}

// differ compares a file with what another program makes of it.
func differ(t *testing.T, name, path string, ppm []byte, most float64) {
	t.Helper()
	w, h, want := pixels(t, ppm)
	p, err := Open(context.Background(), path)
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	if p.Width != w || p.Height != h {
		t.Errorf("%s: %d × %d pixels, want %d × %d", name, p.Width, p.Height, w, h)
		return
	}
	sum, worst := 0.0, 0.0
	for i, v := range p.RGB {
		d := math.Abs(float64(v) - float64(want[i]))
		sum, worst = sum+d*d, max(worst, d)
	}
	off := math.Sqrt(sum / float64(len(want)))
	t.Logf("%-24s RMS %.2f, at most %.0f levels off", name, off, worst)
	if off > most {
		t.Errorf("%s: RMS %.2f levels off, at most %g", name, off, most)
	}
}

// TestAgainstDjpeg: every sampling and coding of JPEG, read by another
// program on the same library, which makes RGB by itself: roundings.
func TestAgainstDjpeg(t *testing.T) {
	cjpeg, djpeg := tool(t, "cjpeg", "libjpeg-turbo-progs"), tool(t, "djpeg", "libjpeg-turbo-progs")
	dir := t.TempDir()
	source, path := filepath.Join(dir, "a.ppm"), filepath.Join(dir, "a.jpg")
	if err := os.WriteFile(source, run(t, djpeg, "-pnm", filepath.Join("testdata", "still.jpg")), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, args := range map[string][]string{
		"4:4:4":                  {"-sample", "1x1"},
		"4:2:2":                  {"-sample", "2x1"},
		"4:4:0":                  {"-sample", "1x2"},
		"4:2:0":                  {"-sample", "2x2"},
		"4:1:1":                  {"-sample", "4x1"},
		"restarts every block":   {"-sample", "2x2", "-restart", "1B"},
		"restarts every row":     {"-sample", "2x1", "-restart", "1"},
		"progressive":            {"-progressive", "-sample", "2x2"},
		"progressive restarts":   {"-progressive", "-restart", "1"},
		"optimised":              {"-optimize"},
		"poor":                   {"-quality", "10"},
		"RGB":                    {"-rgb"},
		"quantised in 16 bits":   {"-quality", "1"},
		"grey":                   {"-grayscale"},
		"grey, progressive":      {"-grayscale", "-progressive"},
		"grey, restarts":         {"-grayscale", "-restart", "1B"},
		"4:2:0, best":            {"-quality", "100", "-sample", "2x2"},
		"progressive, optimised": {"-progressive", "-optimize", "-quality", "97"},
	} {
		run(t, cjpeg, append(args, "-outfile", path, source)...)
		differ(t, name, path, run(t, djpeg, "-rgb", "-pnm", path), 0.5)
	}
}

// TestAgainstConvert: kinds of file that ImageMagick writes, and reads again
// for comparison. Where 16 bits become 8 it cuts off and here they are
// rounded, so that half of the samples lie a level apart; inks are made RGB by
// the same plain rule; lossy WebP repeats colours of halved sampling where the
// other weighs them.
func TestAgainstConvert(t *testing.T) {
	convert := tool(t, "convert", "imagemagick")
	dir, source := t.TempDir(), filepath.Join("testdata", "lossless.webp")
	for name, c := range map[string]struct {
		file string
		args []string
		most float64
	}{
		"CMYK JPEG":           {"a.jpg", []string{"-colorspace", "CMYK"}, 2},
		"PNG":                 {"a.png", nil, 0},
		"PNG, interlaced":     {"b.png", []string{"-interlace", "PNG"}, 0},
		"PNG, 16 bits":        {"c.png", []string{"-resize", "90x70!", "-depth", "16", "-define", "png:bit-depth=16"}, 0.75},
		"PNG, palette":        {"PNG8:d.png", nil, 0},
		"PNG, 1 bit":          {"e.png", []string{"-colorspace", "Gray", "-threshold", "50%", "-define", "png:bit-depth=1"}, 0},
		"PNG, grey":           {"f.png", []string{"-colorspace", "Gray"}, 0},
		"PNG, grey and alpha": {"g.png", []string{"-colorspace", "Gray", "-alpha", "set", "-channel", "A", "-evaluate", "set", "40%"}, 0.75},
		"PNG, alpha":          {"h.png", []string{"-alpha", "set", "-channel", "A", "-evaluate", "set", "40%"}, 0.75},
		"TIFF":                {"a.tiff", []string{"-compress", "none"}, 0},
		"TIFF, LZW":           {"b.tiff", []string{"-compress", "LZW"}, 0},
		"TIFF, deflated":      {"c.tiff", []string{"-compress", "Zip"}, 0},
		"TIFF, tiled":         {"d.tiff", []string{"-define", "tiff:tile-geometry=16x16"}, 0},
		"TIFF, 16 bits":       {"e.tiff", []string{"-resize", "90x70!", "-depth", "16"}, 0.75},
		"TIFF, big-endian":    {"f.tiff", []string{"-endian", "MSB"}, 0},
		"TIFF, grey":          {"g.tiff", []string{"-colorspace", "Gray"}, 0},
		"BMP":                 {"a.bmp", nil, 0},
		"WebP":                {"a.webp", []string{"-quality", "95"}, 4},
		"WebP, lossless":      {"b.webp", []string{"-define", "webp:lossless=true"}, 0},
	} {
		prefix, file := "", c.file
		if len(file) > 5 && file[:5] == "PNG8:" {
			prefix, file = "PNG8:", file[5:]
		}
		path := filepath.Join(dir, file)
		run(t, convert, append(append([]string{source}, c.args...), prefix+path)...)
		ppm := run(t, convert, path, "-background", "white", "-flatten", "-colorspace", "sRGB", "-depth", "8", "ppm:-")
		differ(t, name, path, ppm, c.most)
	}
}

// TestConvertRefusals: files that other programs write and that are refused
// with a sentence.
func TestConvertRefusals(t *testing.T) {
	convert := tool(t, "convert", "imagemagick")
	dir, source := t.TempDir(), filepath.Join("testdata", "lossless.webp")
	for file, args := range map[string][]string{
		"pages.tiff": {source, source, "-adjoin"},
		"inks.tiff":  {source, "-colorspace", "CMYK"},
		"film.gif":   {source, source},
	} {
		path := filepath.Join(dir, file)
		run(t, convert, append(args, path)...)
		var said *photo.Error
		p, err := Open(context.Background(), path)
		if p != nil || !errors.As(err, &said) || !errors.Is(err, photo.ErrFormat) {
			t.Errorf("%s: %v, error %v", file, p, err)
		}
		t.Log(err)
	}
}

// TestOrientationAgainstExiftool: tags as a common program writes them, and
// turned by another.
func TestOrientationAgainstExiftool(t *testing.T) {
	exiftool, convert := tool(t, "exiftool", "libimage-exiftool-perl"), tool(t, "convert", "imagemagick")
	dir, source := t.TempDir(), filepath.Join("testdata", "lossless.webp")
	plain := filepath.Join(dir, "plain.png")
	run(t, convert, source, plain)
	turns := [][]string{
		nil, {"-flop"}, {"-rotate", "180"}, {"-flip"}, {"-transpose"}, {"-rotate", "90"}, {"-transverse"}, {"-rotate", "270"},
	}
	kinds := []string{"jpg", "png", "tiff"}
	path := func(o int, kind string) string { return filepath.Join(dir, fmt.Sprintf("%d.%s", o, kind)) }
	var tags []string
	for o := 1; o <= 8; o++ {
		for _, kind := range kinds {
			run(t, convert, plain, "-quality", "95", "-sampling-factor", "1x1", path(o, kind))
			tags = append(tags, "-n", fmt.Sprintf("-Orientation=%d", o), "-FocalLengthIn35mmFormat=26", path(o, kind), "-execute")
		}
	}
	run(t, exiftool, append(tags, "-common_args", "-q", "-overwrite_original")...)
	for o := 1; o <= 8; o++ {
		for _, kind := range kinds {
			name := fmt.Sprintf("%s, orientation %d", kind, o)
			ppm := run(t, convert, append(append([]string{path(o, kind)}, turns[o-1]...), "-depth", "8", "ppm:-")...)
			differ(t, name, path(o, kind), ppm, 1)
			if p, err := Open(context.Background(), path(o, kind)); err != nil || p.FocalPx == 0 {
				t.Errorf("%s: focal length %+v, error %v", name, p, err)
			}
		}
	}
}
