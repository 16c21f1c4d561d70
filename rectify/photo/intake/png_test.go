package intake

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"image/png"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"flatwright/rectify/photo"
)

// packers are kept, because making one takes longer than anything else here.
var packers = sync.Pool{New: func() any { return zlib.NewWriter(nil) }}

// rawPNG is a PNG file of given filtered rows. Any bytes are valid ones, if
// each row begins with the number of a filter.
func rawPNG(header []byte, rows []byte, more ...[]byte) []byte {
	var packed bytes.Buffer
	z := packers.Get().(*zlib.Writer)
	z.Reset(&packed)
	z.Write(rows)
	z.Close()
	packers.Put(z)
	out := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", header)...)
	for _, m := range more {
		out = append(out, m...)
	}
	half := packed.Len() / 2
	out = append(append(out, chunk("IDAT", packed.Bytes()[:half])...), chunk("IDAT", packed.Bytes()[half:])...)
	return append(out, chunk("IEND", nil)...)
}

func headerPNG(w, h int, depth, kind, interlace byte) []byte {
	size := binary.BigEndian.AppendUint32(nil, uint32(w))
	return append(binary.BigEndian.AppendUint32(size, uint32(h)), depth, kind, 0, 0, interlace)
}

// drawPNG draws a sound PNG file of any colour type, depth, filters, passes
// and transparency.
func drawPNG(t *rapid.T) []byte {
	kinds := []struct {
		kind     byte
		channels int
		depths   []byte
	}{
		{pngGrey, 1, []byte{1, 2, 4, 8, 16}},
		{pngRGB, 3, []byte{8, 16}},
		{pngPalette, 1, []byte{1, 2, 4, 8}},
		{pngGreyAlpha, 2, []byte{8, 16}},
		{pngRGBA, 4, []byte{8, 16}},
	}
	k := rapid.SampledFrom(kinds).Draw(t, "kind")
	depth := rapid.SampledFrom(k.depths).Draw(t, "depth")
	w, h := rapid.IntRange(1, 21).Draw(t, "width"), rapid.IntRange(1, 19).Draw(t, "height")
	lace := rapid.Bool().Draw(t, "interlaced")
	d := pngDecoder{width: w, height: h, depth: int(depth), channels: k.channels, interlaced: lace}
	// Few values, so that the transparent colour is met.
	samples := rapid.SampledFrom([]byte{0, 1, 2, 0x55, 0x80, 0xff})
	var rows []byte
	for _, p := range d.passes() {
		pw, ph := p.size(w, h)
		for range ph {
			rows = append(rows, rapid.ByteRange(0, 4).Draw(t, "filter"))
			rows = append(rows, rapid.SliceOfN(samples, d.rowBytes(pw)-1, d.rowBytes(pw)-1).Draw(t, "row")...)
		}
	}
	var more [][]byte
	clear := rapid.Bool().Draw(t, "transparent")
	switch {
	case k.kind == pngPalette:
		colours := rapid.SliceOfN(rapid.Byte(), 3, 3<<depth).Draw(t, "palette")
		n := len(colours) / 3
		more = append(more, chunk("PLTE", colours[:3*n]))
		if clear {
			more = append(more, chunk("tRNS", rapid.SliceOfN(rapid.Byte(), 1, n).Draw(t, "alpha")))
		}
	case clear && k.kind <= pngRGB:
		key := rapid.SliceOfN(rapid.SampledFrom([]byte{0, 1, 0x55}), 2*k.channels, 2*k.channels).Draw(t, "key")
		if depth < 16 {
			for i := 0; i < len(key); i += 2 {
				key[i], key[i+1] = 0, key[i+1]&(1<<depth-1)
			}
		}
		more = append(more, chunk("tRNS", key))
	}
	interlace := byte(0)
	if lace {
		interlace = 1
	}
	return rawPNG(headerPNG(w, h, depth, k.kind, interlace), rows, more...)
}

// TestPNGRows: row by row comes out what Go's own decoder (image/png) makes of
// the whole picture, for every colour type, depth, filter and pass.
func TestPNGRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := drawPNG(t)
		want, err := codec{png.DecodeConfig, png.Decode, pngTags, nil}.run(context.Background(), source{"a", data, photo.DefaultLimits()})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Decode(context.Background(), "a", data)
		if err != nil {
			t.Fatal(err)
		}
		if got.Width != want.Width || got.Height != want.Height || !bytes.Equal(got.RGB, want.RGB) || !bytes.Equal(got.Luma, want.Luma) {
			t.Fatalf("%d × %d pixels:\n%x\nwant\n%x", got.Width, got.Height, got.RGB, want.RGB)
		}
	})
}

// TestPNGRefusals: what is not as the header says is damage.
func TestPNGRefusals(t *testing.T) {
	rows := bytes.Repeat([]byte{0, 1, 2, 3}, 4)
	head := headerPNG(3, 4, 8, pngGrey, 0)
	mustDecode(t, "sound", rawPNG(head, rows))
	bad := bytes.Clone(rows)
	bad[4] = 5
	palette := headerPNG(3, 4, 8, pngPalette, 0)
	good := rawPNG(head, rows)
	middle := bytes.Index(good, []byte("IDAT")) - 4
	length := 12 + int(binary.BigEndian.Uint32(good[middle:]))
	split := bytes.Clone(good[:middle+length])
	split = append(append(split, chunk("tEXt", nil)...), good[middle+length:]...)
	wrong := bytes.Clone(good)
	wrong[middle+length-1] ^= 1
	for name, data := range map[string][]byte{
		"a row too few":                rawPNG(head, rows[:12]),
		"a byte too few":               rawPNG(head, rows[:15]),
		"a byte too many":              rawPNG(head, append(bytes.Clone(rows), 0)),
		"a filter that is none":        rawPNG(head, bad),
		"data in two places":           split,
		"a wrong check sum":            wrong,
		"no palette":                   rawPNG(palette, rows),
		"an odd palette":               rawPNG(palette, rows, chunk("PLTE", make([]byte, 4))),
		"alphas beyond any index":      rawPNG(palette, rows, chunk("PLTE", make([]byte, 3)), chunk("tRNS", make([]byte, 257))),
		"grey with a palette":          rawPNG(head, rows, chunk("PLTE", make([]byte, 3))),
		"half a transparent grey":      rawPNG(head, rows, chunk("tRNS", make([]byte, 1))),
		"a second header":              rawPNG(head, rows, chunk("IHDR", headerPNG(60000, 60000, 8, pngGrey, 0))),
		"a second palette":             rawPNG(palette, make([]byte, 16), chunk("PLTE", make([]byte, 3)), chunk("PLTE", make([]byte, 3))),
		"transparency first":           rawPNG(palette, make([]byte, 16), chunk("tRNS", make([]byte, 1)), chunk("PLTE", make([]byte, 3))),
		"no end":                       good[:len(good)-12],
		"data that cannot be so short": rawPNG(headerPNG(9000, 9000, 16, pngRGBA, 0), rows),
	} {
		p, err := Decode(context.Background(), name, data)
		refusal(t, name, p, err, photo.ErrDamaged)
	}
}

// TestPNGCancelled: a picture that takes its time is left when told to.
func TestPNGCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := pngRows(ctx, pngOf(t, small())); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}
