package intake

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/png"
	"io"

	"flatwright/rectify/photo"
)

// decodePNG reads a PNG picture (PNG, third edition) row by row, so that
// nothing but the photograph itself is ever in memory beside the file.
func decodePNG(ctx context.Context, s source) (*photo.Photo, error) {
	if isAnimatedPNG(s.data) {
		return nil, animated(s.name, "PNG")
	}
	size, err := guard(func() (image.Config, error) { return png.DecodeConfig(bytes.NewReader(s.data)) })
	if err != nil {
		return nil, explain(s.name, err)
	}
	if err := s.limits.CheckSize(s.name, size.Width, size.Height); err != nil {
		return nil, err
	}
	p, err := guard(func() (*photo.Photo, error) { return pngRows(ctx, s.data) })
	if err != nil {
		return nil, explain(s.name, err)
	}
	return p, nil
}

// pngParts is what a PNG file's chunks hold, as parts of the file.
type pngParts struct {
	header, palette, transparent []byte
	// data is the compressed picture.
	data [][]byte
}

// splitPNG checks every chunk's length and check sum (section 5.3) to the end
// of the file's picture.
func splitPNG(file []byte) (p pngParts, err error) {
	const signature, frame = 8, 12
	ended := false
	for rest := file[min(signature, len(file)):]; ; {
		if len(rest) < frame {
			return p, io.ErrUnexpectedEOF
		}
		length := int64(binary.BigEndian.Uint32(rest))
		if length+frame > int64(len(rest)) {
			return p, io.ErrUnexpectedEOF
		}
		name, body := string(rest[4:8]), rest[8:8+length]
		if crc32.ChecksumIEEE(rest[4:8+length]) != binary.BigEndian.Uint32(rest[8+length:]) {
			return p, png.FormatError("invalid checksum")
		}
		rest = rest[frame+length:]
		if p.misplaced(name, ended) {
			return p, png.FormatError("chunk out of order")
		}
		ended = len(p.data) > 0 && name != "IDAT"
		switch name {
		case "IHDR":
			p.header = body
		case "PLTE":
			p.palette = body
		case "tRNS":
			p.transparent = body
		case "IDAT":
			p.data = append(p.data, body)
		case "IEND":
			return p, nil
		}
	}
}

// misplaced tells a chunk that may not follow those there are (section 5.6): a
// second header, for one, could declare another size than was looked at.
func (p pngParts) misplaced(name string, ended bool) bool {
	switch name {
	case "IHDR":
		return p.header != nil
	case "PLTE":
		return p.palette != nil || p.transparent != nil || len(p.data) > 0
	case "tRNS":
		return p.transparent != nil || len(p.data) > 0
	case "IDAT":
		return ended
	}
	return false
}

// pngRows decodes a PNG file whose header is known to be sound.
func pngRows(ctx context.Context, file []byte) (*photo.Photo, error) {
	parts, err := splitPNG(file)
	if err != nil {
		return nil, err
	}
	if len(parts.header) != 13 {
		return nil, png.FormatError("bad header")
	}
	d := pngDecoder{
		width: int(binary.BigEndian.Uint32(parts.header)), height: int(binary.BigEndian.Uint32(parts.header[4:])),
		depth: int(parts.header[8]), interlaced: parts.header[12] == 1,
	}
	if d.row, d.channels, err = pngColours(parts); err != nil {
		return nil, err
	}
	if !d.plausible(parts.data) {
		return nil, io.ErrUnexpectedEOF
	}
	stream, err := zlib.NewReader(&bodies{parts.data})
	if err != nil {
		return nil, ended(err)
	}
	tags := pngTags(file)
	d.place = tags.Orientation.Place(d.width, d.height)
	d.photo = blank(d.width, d.height, tags)
	for _, pass := range d.passes() {
		if err := d.pass(ctx, stream, pass); err != nil {
			return nil, ended(err)
		}
	}
	return d.photo, ended(finished(stream))
}

// plausible tells whether so little data can hold the picture: a byte of them
// gives 1032 at most (RFC 1951: 258 bytes for two codes of one bit each).
func (d *pngDecoder) plausible(data [][]byte) bool {
	const most = 1032
	have, want := int64(0), int64(0)
	for _, b := range data {
		have += int64(len(b))
	}
	for _, p := range d.passes() {
		w, h := p.size(d.width, d.height)
		want += int64(h) * int64(d.rowBytes(w))
	}
	return have*most >= want
}

// finished reads to the end of the stream, where its check sum is.
func finished(stream io.Reader) error {
	switch n, err := io.ReadFull(stream, make([]byte, 1)); {
	case n > 0:
		return png.FormatError("too much pixel data")
	case !errors.Is(err, io.EOF):
		return err
	}
	return nil
}

// ended names the end of the data what it is: too early.
func ended(err error) error {
	if errors.Is(err, io.EOF) {
		return io.ErrUnexpectedEOF
	}
	return err
}

// bodies reads parts one after the other.
type bodies struct{ parts [][]byte }

func (b *bodies) Read(to []byte) (int, error) {
	for len(b.parts) > 0 && len(b.parts[0]) == 0 {
		b.parts = b.parts[1:]
	}
	if len(b.parts) == 0 {
		return 0, io.EOF
	}
	n := copy(to, b.parts[0])
	b.parts[0] = b.parts[0][n:]
	return n, nil
}

// pngDecoder puts rows into a photograph.
type pngDecoder struct {
	width, height   int
	depth, channels int
	interlaced      bool
	row             func(raw, rgb []byte)
	photo           *photo.Photo
	place           photo.Placement
}

// pass is one of the passes of an interlaced picture (section 8.2): which
// pixels it holds.
type pass struct{ x, y, stepX, stepY int }

func (p pass) size(width, height int) (w, h int) {
	w, h = (width-p.x+p.stepX-1)/p.stepX, (height-p.y+p.stepY-1)/p.stepY
	if w <= 0 || h <= 0 {
		return 0, 0
	}
	return w, h
}

func (d *pngDecoder) passes() []pass {
	if !d.interlaced {
		return []pass{{0, 0, 1, 1}}
	}
	return []pass{{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}}
}

// rowBytes is the length of a filtered row of w pixels, with its filter's byte.
func (d *pngDecoder) rowBytes(w int) int { return 1 + (w*d.channels*d.depth+7)/8 }

func (d *pngDecoder) pass(ctx context.Context, stream io.Reader, p pass) error {
	w, h := p.size(d.width, d.height)
	if w == 0 {
		return nil
	}
	before, now := make([]byte, d.rowBytes(w)), make([]byte, d.rowBytes(w))
	rgb := make([]byte, 3*w)
	along := d.place
	along.StepX *= p.stepX
	for y := range h {
		if y%64 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if _, err := io.ReadFull(stream, now); err != nil {
			return err
		}
		if err := unfilter(now[0], now[1:], before[1:], (d.channels*d.depth+7)/8); err != nil {
			return err
		}
		d.row(now[1:], rgb)
		along.Base = d.place.Base + p.x*d.place.StepX
		placeRow(d.photo, along, p.y+y*p.stepY, rgb)
		before, now = now, before
	}
	return nil
}

// unfilter undoes a row's filter (section 9.2). left is how many bytes lie
// between a byte and the one of the pixel before.
func unfilter(kind byte, now, before []byte, left int) error {
	switch kind {
	case 0:
	case 1:
		for i := left; i < len(now); i++ {
			now[i] += now[i-left]
		}
	case 2:
		for i, b := range before {
			now[i] += b
		}
	case 3:
		for i := range min(left, len(now)) {
			now[i] += before[i] / 2
		}
		for i := left; i < len(now); i++ {
			now[i] += byte((int(now[i-left]) + int(before[i])) / 2)
		}
	case 4:
		for i := range min(left, len(now)) {
			now[i] += before[i]
		}
		for i := left; i < len(now); i++ {
			now[i] += paeth(int(now[i-left]), int(before[i]), int(before[i-left]))
		}
	default:
		return png.FormatError("bad filter type")
	}
	return nil
}

// paeth is that of a (left), b (above) and c (above left) which is nearest to
// a + b - c (section 9.4).
func paeth(a, b, c int) byte {
	toA, toB, toC := abs(b-c), abs(a-c), abs(a+b-2*c)
	switch {
	case toA <= toB && toA <= toC:
		return byte(a)
	case toB <= toC:
		return byte(b)
	}
	return byte(c)
}

func abs(v int) int { return max(v, -v) }
