package heif

import (
	"os"
	"path/filepath"
	"testing"
)

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// part is one item of a file to be made.
type part struct {
	kind       string
	data       []byte
	properties [][]byte
	dimg, cdsc []int
}

// fileOf puts a file together of items numbered from 1, the first of which is
// the main picture. The items' data come last, in order.
func fileOf(parts ...part) []byte {
	head := pack("ftyp", []byte("mif1"), u32(0), []byte("mif1heic"))
	var meta []byte
	for base := 0; ; {
		meta = metaOf(base, parts)
		if at := len(head) + len(meta) + 8; at != base {
			base = at
			continue
		}
		break
	}
	out := append(head, meta...)
	var all [][]byte
	for _, p := range parts {
		all = append(all, p.data)
	}
	return append(out, pack("mdat", all...)...)
}

func metaOf(base int, parts []part) []byte {
	var infos, places, references, properties, uses []byte
	count := 0
	for i, p := range parts {
		id := i + 1 // all but the first are hidden
		infos = append(infos, pack("infe", u32(2<<24|min(i, 1)), u16(id, 0), []byte(p.kind), []byte{0})...)
		places = append(places, append(u16(id, 0, 1), u32(base, len(p.data))...)...)
		base += len(p.data)
		for kind, list := range map[string][]int{"dimg": p.dimg, "cdsc": p.cdsc} {
			if len(list) > 0 {
				references = append(references, pack(kind, u16(id, len(list)), u16(list...))...)
			}
		}
		uses = append(append(uses, u16(id)...), byte(len(p.properties)))
		for _, body := range p.properties {
			properties = append(properties, body...)
			count++
			uses = append(uses, byte(0x80|count))
		}
	}
	return pack("meta", u32(0),
		pack("hdlr", u32(0, 0), []byte("pict"), u32(0, 0, 0), []byte{0}),
		pack("pitm", u32(0), u16(1)),
		pack("iloc", u32(0), []byte{0x44, 0}, u16(len(parts)), places),
		pack("iinf", u32(0), u16(len(parts)), infos),
		pack("iref", u32(0), references),
		pack("iprp", pack("ipco", properties), pack("ipma", u32(0, len(parts)), uses)))
}

// codedIn takes the coded picture out of a file, with its settings and size:
// the main one or, where that is a grid, its one tile.
func codedIn(t testing.TB, file []byte) part {
	t.Helper()
	c, err := readContainer(file)
	if err != nil {
		t.Fatal(err)
	}
	it := c.items[c.primary]
	if it.kind == "grid" {
		it = c.items[it.parts[0]]
	}
	data, err := c.bytes(it)
	if err != nil {
		t.Fatal(err)
	}
	p := part{kind: it.kind, data: data}
	for _, kind := range []string{"hvcC", "ispe"} {
		body, ok := c.property(it, kind)
		if !ok {
			t.Fatal(kind)
		}
		p.properties = append(p.properties, pack(kind, body))
	}
	return p
}

func ispe(w, h int) []byte { return pack("ispe", u32(0, w, h)) }

// gridFile is a picture of 2 × 2 tiles, of which w × h px are shown.
func gridFile(t testing.TB, w, h int, more ...[]byte) []byte {
	t.Helper()
	parts := []part{{
		kind: "grid", data: append([]byte{0, 0, 1, 1}, u16(w, h)...),
		properties: append([][]byte{ispe(w, h)}, more...), dimg: []int{2, 3, 4, 5},
	}}
	for _, name := range []string{"tile0.heic", "tile1.heic", "tile2.heic", "tile3.heic"} {
		parts = append(parts, codedIn(t, read(t, name)))
	}
	return fileOf(parts...)
}

// with is the still picture with further properties and tags. Its size is
// odd, so that it is a grid of one tile of even size.
func with(t testing.TB, exif []byte, more ...[]byte) []byte {
	t.Helper()
	main := part{
		kind: "grid", data: append([]byte{0, 0, 0, 0}, u16(83, 61)...),
		properties: append([][]byte{ispe(83, 61)}, more...), dimg: []int{2},
	}
	parts := []part{main, codedIn(t, read(t, "still.heic"))}
	if exif != nil {
		body := append(u32(6), append([]byte("Exif\x00\x00"), exif...)...)
		parts = append(parts, part{kind: "Exif", data: body, cdsc: []int{1}})
	}
	return fileOf(parts...)
}
