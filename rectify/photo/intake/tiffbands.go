package intake

import (
	"encoding/binary"
	"image"
	"io"
	"maps"
	"slices"
)

// Fields of a TIFF directory (TIFF 6.0, section 8).
const (
	tiffLength       = 257
	tiffBits         = 258
	tiffCompression  = 259
	tiffStripOffsets = 273
	tiffRowsPerStrip = 278
	tiffStripCounts  = 279
	tiffTileWidth    = 322
	tiffTileLength   = 323
	tiffTileOffsets  = 324
	tiffTileCounts   = 325
)

// tiffHeaderBytes is how long a TIFF file's header is (TIFF 6.0, section 2).
const tiffHeaderBytes = 8

// tiffUsed are the fields that say how the picture is stored, besides where.
var tiffUsed = []uint16{256, tiffLength, tiffBits, tiffCompression, 262, 266, 277, 284, 292, 293, 317, 320, tiffTileWidth, tiffTileLength, 338, 339}

// tiffFile is the first directory of a TIFF file.
type tiffFile struct {
	data   []byte
	order  binary.AppendByteOrder
	fields map[uint16][]byte // 12 bytes each
}

// tiffBlocks are the strips or tiles of a picture, row by row of them.
type tiffBlocks struct {
	offsetTag, countTag uint16
	// across is how many lie side by side, height how many rows each has.
	across, height  int
	offsets, counts []uint32
}

// tiffBands splits a TIFF file between rows of its strips or tiles, or a strip
// that is not compressed between any rows. A band is the whole file with
// another directory behind it.
func tiffBands(data []byte, size image.Config, rows int) []band {
	f, ok := newTIFFFile(data)
	if !ok {
		return nil
	}
	b, ok := f.blocks(size)
	if !ok {
		return nil
	}
	b = f.cutStrips(b, size, rows)
	each := max(1, rows/b.height)
	var bands []band
	for k := 0; k*b.height < size.Height; k += each {
		first := k * b.height
		n := min(each*b.height, size.Height-first)
		from, to := k*b.across, min((k+each)*b.across, len(b.offsets))
		bands = append(bands, band{first, n, f.part(b, n, b.offsets[from:to], b.counts[from:to])})
	}
	return bands
}

func newTIFFFile(data []byte) (tiffFile, bool) {
	f := tiffFile{data: data, order: binary.LittleEndian, fields: map[uint16][]byte{}}
	if begins("MM")(data) {
		f.order = binary.BigEndian
	}
	if len(data) < tiffHeaderBytes {
		return f, false
	}
	at := int64(f.uint32(data[4:]))
	if at+2 > int64(len(data)) {
		return f, false
	}
	n := int64(f.uint16(data[at:]))
	if at+2+12*n > int64(len(data)) {
		return f, false
	}
	for i := range n {
		entry := data[at+2+12*i:][:12]
		f.fields[f.uint16(entry)] = entry
	}
	return f, true
}

func (f tiffFile) uint16(b []byte) uint16 { return f.order.(binary.ByteOrder).Uint16(b) }

func (f tiffFile) uint32(b []byte) uint32 { return f.order.(binary.ByteOrder).Uint32(b) }

// numbers returns a field's values; none when there is no such field, or it
// holds no whole numbers, or lies outside the file.
func (f tiffFile) numbers(tag uint16) []uint32 {
	entry := f.fields[tag]
	if entry == nil {
		return nil
	}
	const short, long = 3, 4
	kind, count := f.uint16(entry[2:]), int64(f.uint32(entry[4:]))
	bytes := map[uint16]int64{short: 2, long: 4}[kind]
	values := entry[8:]
	if bytes*count > 4 {
		at := int64(f.uint32(values))
		if at+bytes*count > int64(len(f.data)) {
			return nil
		}
		values = f.data[at:]
	}
	if bytes == 0 {
		return nil
	}
	list := make([]uint32, count)
	for i := range list {
		if kind == short {
			list[i] = uint32(f.uint16(values[2*i:]))
			continue
		}
		list[i] = f.uint32(values[4*i:])
	}
	return list
}

func (f tiffFile) number(tag uint16) int {
	if list := f.numbers(tag); len(list) > 0 {
		return int(list[0])
	}
	return 0
}

func (f tiffFile) blocks(size image.Config) (tiffBlocks, bool) {
	b := tiffBlocks{offsetTag: tiffStripOffsets, countTag: tiffStripCounts, across: 1, height: size.Height}
	if w := f.number(tiffTileWidth); w > 0 {
		b.offsetTag, b.countTag = tiffTileOffsets, tiffTileCounts
		b.across, b.height = (size.Width+w-1)/w, f.number(tiffTileLength)
	} else if n := f.number(tiffRowsPerStrip); n > 0 {
		b.height = min(n, size.Height)
	}
	if b.height <= 0 {
		return b, false
	}
	need := (size.Height + b.height - 1) / b.height * b.across
	b.offsets, b.counts = f.numbers(b.offsetTag), f.numbers(b.countTag)
	if len(b.offsets) < need || len(b.counts) < need {
		return b, false
	}
	b.offsets, b.counts = b.offsets[:need], b.counts[:need]
	// Every band has a header of its own: rows that lie in it would change.
	overHeader := func(offset uint32) bool { return offset < tiffHeaderBytes }
	return b, !slices.ContainsFunc(b.offsets, overHeader)
}

// cutStrips makes lower strips of high ones that are not compressed.
func (f tiffFile) cutStrips(b tiffBlocks, size image.Config, rows int) tiffBlocks {
	bits := f.numbers(tiffBits)
	if b.offsetTag != tiffStripOffsets || f.number(tiffCompression) > 1 || len(bits) == 0 || len(bits) > 4 || b.height <= rows {
		return b
	}
	rowBytes := (int64(size.Width)*int64(bits[0])*int64(len(bits)) + 7) / 8
	lower := tiffBlocks{offsetTag: b.offsetTag, countTag: b.countTag, across: 1, height: rows}
	if len(b.offsets) > 1 {
		for b.height%lower.height != 0 {
			lower.height-- // so that all but the last are of one height
		}
	}
	for i, offset := range b.offsets {
		height := min(b.height, size.Height-i*b.height)
		if int64(b.counts[i]) < rowBytes*int64(height) || int64(offset)+rowBytes*int64(height) > int64(len(f.data)) {
			return b // it breaks off, which the decoder says
		}
		for y := 0; y < height; y += lower.height {
			lower.offsets = append(lower.offsets, offset+uint32(int64(y)*rowBytes))
			lower.counts = append(lower.counts, uint32(rowBytes*int64(min(lower.height, height-y))))
		}
	}
	return lower
}

// part is the file with a directory of some of its blocks only.
func (f tiffFile) part(b tiffBlocks, rows int, offsets, counts []uint32) io.Reader {
	fields := map[uint16][]byte{}
	for _, tag := range tiffUsed {
		if entry := f.fields[tag]; entry != nil {
			fields[tag] = entry
		}
	}
	fields[tiffLength] = f.entry(tiffLength, 1, uint32(rows))
	if b.offsetTag == tiffStripOffsets {
		fields[tiffRowsPerStrip] = f.entry(tiffRowsPerStrip, 1, uint32(b.height))
	}
	fields[b.offsetTag], fields[b.countTag] = nil, nil // to be counted
	start := len(f.data) + len(f.data)%2
	lists := start + 2 + 12*len(fields) + 4
	fields[b.offsetTag] = f.list(b.offsetTag, offsets, lists)
	fields[b.countTag] = f.list(b.countTag, counts, lists+4*len(offsets))
	tail := f.order.AppendUint16(make([]byte, start-len(f.data)), uint16(len(fields)))
	for _, tag := range slices.Sorted(maps.Keys(fields)) {
		tail = append(tail, fields[tag]...)
	}
	tail = f.order.AppendUint32(tail, 0)
	for _, v := range slices.Concat(offsets, counts) {
		tail = f.order.AppendUint32(tail, v)
	}
	head := f.order.AppendUint32(slices.Clone(f.data[:4]), uint32(start))
	s := spliced{head, f.data[tiffHeaderBytes:], tail}
	return io.NewSectionReader(s, 0, int64(len(f.data)+len(tail)))
}

// entry is a field of long numbers: the only one, or the place of several.
func (f tiffFile) entry(tag uint16, count int, value uint32) []byte {
	const long = 4
	e := f.order.AppendUint16(f.order.AppendUint16(nil, tag), long)
	return f.order.AppendUint32(f.order.AppendUint32(e, uint32(count)), value)
}

func (f tiffFile) list(tag uint16, values []uint32, at int) []byte {
	if len(values) == 1 {
		return f.entry(tag, 1, values[0])
	}
	return f.entry(tag, len(values), uint32(at))
}

// spliced is a run of bytes in parts.
type spliced [][]byte

// ReadAt reads across the parts.
func (s spliced) ReadAt(to []byte, at int64) (n int, err error) {
	for _, part := range s {
		if at >= int64(len(part)) {
			at -= int64(len(part))
			continue
		}
		n += copy(to[n:], part[at:])
		at = 0
		if n == len(to) {
			return n, nil
		}
	}
	return n, io.EOF
}
