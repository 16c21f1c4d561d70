package intake

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
)

// sameInBands decodes a file whole and in bands of several heights, and holds
// one against the other. most is how many rows a band may at least have.
func sameInBands(t *testing.T, name string, c codec, data []byte, most int) {
	t.Helper()
	ctx := context.Background()
	size, err := c.config(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	want := mustDecode(t, name, data)
	for _, rows := range []int{1, 7, 16, 40} {
		bands := c.bands(data, size, rows)
		if high := max(rows, most); high < size.Height && len(bands) < 2 {
			t.Errorf("%s: %d bands of %d rows", name, len(bands), rows)
			continue
		}
		for _, b := range bands {
			if b.rows > max(rows, most) {
				t.Errorf("%s: a band of %d rows, want %d", name, b.rows, rows)
			}
		}
		tags := tiffTags(nil)
		if c.tags != nil {
			tags = c.tags(data)
		}
		got, err := c.decodeBands(ctx, size, tags, bands)
		if err != nil {
			t.Errorf("%s in bands of %d rows: %v", name, rows, err)
			continue
		}
		if got.Width != want.Width || got.Height != want.Height || !bytes.Equal(got.RGB, want.RGB) || !bytes.Equal(got.Luma, want.Luma) {
			t.Errorf("%s in bands of %d rows is another picture", name, rows)
		}
	}
}

// TestBands: in bands a picture is what it is as a whole.
func TestBands(t *testing.T) {
	inTIFF := codec{tiff.DecodeConfig, tiff.Decode, tiffTags, tiffBands}
	inBMP := codec{bmp.DecodeConfig, bmp.Decode, nil, bmpBands}
	picture := noise(37, 61)
	sameInBands(t, "bmp", inBMP, bmpOf(t, picture), 1)
	topDown := bmpOf(t, picture)
	binary.LittleEndian.PutUint32(topDown[22:], uint32(0xffffffff-61+1))
	sameInBands(t, "bmp, top row first", inBMP, topDown, 1)
	for o := 1; o <= 8; o++ {
		sameInBands(t, "tiff, turned", inTIFF, tiffWith(t, tiffOf(t, picture), o), 1)
	}
}

// TestBandsOfStripsAndTiles: the same for files as other programs write them.
func TestBandsOfStripsAndTiles(t *testing.T) {
	convert := tool(t, "convert", "imagemagick")
	dir := t.TempDir()
	source, path := filepath.Join(dir, "a.png"), filepath.Join(dir, "a.tiff")
	if err := os.WriteFile(source, pngOf(t, noise(90, 130)), 0o600); err != nil {
		t.Fatal(err)
	}
	inTIFF := codec{tiff.DecodeConfig, tiff.Decode, tiffTags, tiffBands}
	for name, c := range map[string]struct {
		args []string
		most int
	}{
		"strips":              {[]string{"-compress", "None", "-define", "tiff:rows-per-strip=24"}, 1},
		"strips of all rows":  {[]string{"-compress", "None", "-define", "tiff:rows-per-strip=130"}, 1},
		"strips, 16 bits":     {[]string{"-compress", "None", "-depth", "16", "-define", "tiff:rows-per-strip=13"}, 1},
		"strips, big-endian":  {[]string{"-compress", "None", "-define", "tiff:endian=msb", "-define", "tiff:rows-per-strip=24"}, 1},
		"one row a strip":     {[]string{"-compress", "LZW", "-define", "tiff:rows-per-strip=1"}, 1},
		"LZW":                 {[]string{"-compress", "LZW", "-define", "tiff:rows-per-strip=8"}, 8},
		"Zip, 16 bits, ahead": {[]string{"-compress", "Zip", "-depth", "16", "-define", "tiff:predictor=2", "-define", "tiff:rows-per-strip=10"}, 10},
		"RLE":                 {[]string{"-compress", "RLE", "-define", "tiff:rows-per-strip=9"}, 9},
		"tiles":               {[]string{"-compress", "None", "-define", "tiff:tile-geometry=32x16"}, 16},
		"Zip tiles":           {[]string{"-compress", "Zip", "-define", "tiff:tile-geometry=16x48"}, 48},
		"grey":                {[]string{"-compress", "None", "-colorspace", "Gray", "-define", "tiff:rows-per-strip=130"}, 1},
		"1 bit":               {[]string{"-compress", "None", "-colorspace", "Gray", "-threshold", "50%", "-type", "bilevel", "-define", "tiff:rows-per-strip=130"}, 1},
		"palette":             {[]string{"-compress", "None", "-type", "Palette", "-colors", "50", "-define", "tiff:rows-per-strip=130"}, 1},
		"half clear":          {[]string{"-compress", "None", "-alpha", "set", "-channel", "A", "-evaluate", "set", "40%", "-define", "tiff:rows-per-strip=130"}, 1},
	} {
		run(t, convert, slices.Concat([]string{source}, c.args, []string{path})...)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		sameInBands(t, name, inTIFF, data, c.most)
	}
}

// TestBandsOfDamage: a file that breaks off is not split, or refused.
func TestBandsOfDamage(t *testing.T) {
	ctx := context.Background()
	inTIFF := codec{tiff.DecodeConfig, tiff.Decode, tiffTags, tiffBands}
	inBMP := codec{bmp.DecodeConfig, bmp.Decode, nil, bmpBands}
	whole := tiffOf(t, noise(37, 61))
	at := int(binary.LittleEndian.Uint32(whole[4:]))
	for name, c := range map[string]struct {
		codec
		data []byte
	}{"a.bmp": {inBMP, bmpOf(t, noise(37, 61))}, "a.tiff": {inTIFF, whole}} {
		size, err := c.config(bytes.NewReader(c.data))
		if err != nil {
			t.Fatal(err)
		}
		for n := range len(c.data) {
			if bands := c.bands(c.data[:n], size, 7); len(bands) > 0 {
				if _, err := c.decodeBands(ctx, size, tiffTags(nil), bands); err == nil && n < len(c.data)-300 {
					t.Errorf("%s of %d bytes, of which %d are there, is a picture", name, len(c.data), n)
				}
			}
		}
	}
	// Any bytes for a directory: no panic, and no picture of another size.
	size, err := inTIFF.config(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	for i := at; i < len(whole); i++ {
		for _, v := range []byte{0, 1, 0xff} {
			data := bytes.Clone(whole)
			data[i] = v
			if bands := tiffBands(data, size, 7); len(bands) > 0 {
				if p, err := inTIFF.decodeBands(ctx, size, tiffTags(nil), bands); err == nil && (p.Width != 37 || p.Height != 61) {
					t.Errorf("byte %d as %d: %d × %d pixels", i, v, p.Width, p.Height)
				}
			}
		}
	}
}

// flatTIFF is an RGB TIFF file of one colour, in one strip.
func flatTIFF(w, h, depth int) []byte {
	le := binary.LittleEndian
	size := 3 * w * h * depth / 8
	const fields = 9
	depths := uint32(8 + size + 2 + 12*fields + 4) // behind the directory
	out := le.AppendUint32([]byte("II*\x00"), uint32(8+size))
	out = append(out, bytes.Repeat([]byte{90}, size)...)
	out = le.AppendUint16(out, fields)
	for _, f := range [fields][4]uint32{
		{256, 4, 1, uint32(w)},
		{257, 4, 1, uint32(h)},
		{258, 3, 3, depths},
		{259, 3, 1, 1},
		{262, 3, 1, 2},
		{273, 4, 1, 8},
		{277, 3, 1, 3},
		{278, 4, 1, uint32(h)},
		{279, 4, 1, uint32(size)},
	} {
		out = le.AppendUint16(le.AppendUint16(out, uint16(f[0])), uint16(f[1]))
		out = le.AppendUint32(le.AppendUint32(out, f[2]), f[3])
	}
	out = le.AppendUint32(out, 0)
	for range 3 {
		out = le.AppendUint16(out, uint16(depth))
	}
	return out
}
