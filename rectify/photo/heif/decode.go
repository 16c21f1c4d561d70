package heif

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/tetratelabs/wazero/api"

	"flatwright/rectify/photo"
)

// Decode returns the main picture upright, as RGB and luminance (see
// photo.Photo); the luminance is the coded one. p is what Describe said of
// the same file; the caller has held its size against its limits. Colours are
// JPEG's or as an nclx property says; a colour profile is not applied and
// transparency is not read. The first call takes some tenths of a second more
// than later ones: only then is the decoder made ready. It returns ErrDamaged
// or ErrDecoder, or the context's error.
//
// A run cannot be broken off: code that could be is four times as slow. When
// the context ends Decode returns at once, and the run ends by itself in the
// background, where its work is bounded by the size of the picture.
func Decode(ctx context.Context, file []byte, p Picture) (*photo.Photo, error) {
	type outcome struct {
		photo *photo.Photo
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		out, err := guarded(ctx, file, p)
		done <- outcome{out, err}
	}()
	late := time.NewTimer(patience(p))
	defer late.Stop()
	select {
	case o := <-done:
		return o.photo, o.err
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-late.C:
		return nil, fmt.Errorf("%w: it took far too long", ErrDecoder)
	}
}

// guarded makes an error of a panic in the sandbox.
func guarded(ctx context.Context, file []byte, p Picture) (out *photo.Photo, err error) {
	defer func() {
		if r := recover(); r != nil {
			out, err = nil, fmt.Errorf("%w: %v", ErrDecoder, r)
		}
	}()
	return decode(ctx, file, p)
}

// patience is the time after which decoding is given up: a slow computer
// takes less than a second a megapixel.
func patience(p Picture) time.Duration {
	return 20*time.Second + time.Duration(p.StoredWidth)*time.Duration(p.StoredHeight)*2*time.Microsecond
}

func decode(ctx context.Context, file []byte, p Picture) (*photo.Photo, error) {
	m, err := start(context.WithoutCancel(ctx), memoryPages(len(file), p))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	defer m.close()
	in, err := m.load(file)
	if err != nil {
		return nil, err
	}
	head, err := m.alloc(headBytes)
	if err != nil {
		return nil, err
	}
	// First the layout, then, in a buffer of that size, the pixels.
	if err := m.run(in, len(file), true, head, 0); err != nil {
		return nil, err
	}
	l, err := m.layout(head, p)
	if err != nil {
		return nil, err
	}
	out, err := m.alloc(l.bytes())
	if err != nil {
		return nil, err
	}
	if err := m.run(in, len(file), false, head, out); err != nil {
		return nil, err
	}
	pix, ok := m.memory.Read(out, uint32(l.bytes()))
	if !ok {
		return nil, fmt.Errorf("%w: its memory is too small", ErrDecoder)
	}
	return l.photograph(ctx, pix, p.colour)
}

// The numbers with which libheif tells how a picture is laid out
// (libheif/heif.h).
const (
	spaceYCbCr, spaceRGB, spaceGrey    = 0, 1, 2
	chroma420, chroma422, chroma444    = 1, 2, 3
	headBytes                          = 20 // width, height, colour space, chroma, alpha
	wasmPage                           = 64 << 10
	mostPages                          = 65536
	settledBytes, bytesAPixel, tileMiB = 48 << 20, 10, 64 << 20
)

// memoryPages bounds the decoder's memory: the file and some pictures of up
// to 3 bytes a pixel, which it holds while it puts tiles together and turns
// them.
func memoryPages(file int, p Picture) uint32 {
	need := settledBytes + tileMiB + 2*int64(file) + bytesAPixel*int64(p.StoredWidth)*int64(p.StoredHeight)
	return uint32(min(need/wasmPage+1, mostPages))
}

// layout is how the decoder lays its planes one after the other.
type layout struct {
	width, height int
	space, chroma uint32
}

func (m *machine) layout(head uint32, p Picture) (layout, error) {
	var v [4]uint32
	for i := range v {
		v[i], _ = m.memory.ReadUint32Le(head + uint32(4*i))
	}
	l := layout{int(v[0]), int(v[1]), v[2], v[3]}
	if l.width != p.Width || l.height != p.Height {
		return layout{}, fmt.Errorf("%w: %d × %d and %d × %d pixels for one picture", ErrDamaged, l.width, l.height, p.Width, p.Height)
	}
	if l.space > spaceGrey || l.space == spaceYCbCr && (l.chroma < chroma420 || l.chroma > chroma444) {
		return layout{}, fmt.Errorf("%w: colour space %d, sampling %d", ErrKind, l.space, l.chroma)
	}
	return l, nil
}

// stride is the length of a row: libheif rounds widths up to even ones, at
// least 64, and rows to 16 bytes.
func stride(width, bytes int) int {
	return (max(64, width+width&1)*bytes + 15) &^ 15
}

func (l layout) half() (width, height int) {
	width, height = l.width, l.height
	if l.chroma != chroma444 {
		width = (width + 1) / 2
	}
	if l.chroma == chroma420 {
		height = (height + 1) / 2
	}
	return width, height
}

func (l layout) bytes() int {
	switch l.space {
	case spaceRGB:
		return l.height * stride(l.width, 4)
	case spaceGrey:
		return l.height * stride(l.width, 1)
	}
	w, h := l.half()
	return l.height*stride(l.width, 1) + 2*h*stride(w, 1)
}

func (l layout) photograph(ctx context.Context, pix []byte, c colour) (*photo.Photo, error) {
	n := l.width * l.height
	out := &photo.Photo{Width: l.width, Height: l.height, RGB: make([]byte, 3*n), Luma: make([]byte, n)}
	t := c.tables()
	for y := range l.height {
		if y%64 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		rgb, luma := out.RGB[3*y*l.width:3*(y+1)*l.width], out.Luma[y*l.width:(y+1)*l.width]
		switch l.space {
		case spaceRGB:
			rgbRow(pix[y*stride(l.width, 4):], rgb, luma)
		case spaceGrey:
			t.greyRow(pix[y*stride(l.width, 1):], rgb, luma)
		default:
			l.colourRow(t, pix, y, rgb, luma)
		}
	}
	return out, nil
}

func rgbRow(rgba, rgb, luma []byte) {
	for x := range luma {
		copy(rgb[3*x:3*x+3], rgba[4*x:4*x+3])
		luma[x] = jpegLuma(rgb[3*x], rgb[3*x+1], rgb[3*x+2])
	}
}

func (t *tables) greyRow(grey, rgb, luma []byte) {
	for x := range luma {
		v := level(t.luma[grey[x]])
		luma[x], rgb[3*x], rgb[3*x+1], rgb[3*x+2] = v, v, v, v
	}
}

func (l layout) colourRow(t *tables, pix []byte, y int, rgb, luma []byte) {
	w, h := l.half()
	first, step := l.height*stride(l.width, 1), stride(w, 1)
	row := pix[y*stride(l.width, 1):]
	half, shift := y, 1
	if l.chroma == chroma420 {
		half = y / 2
	}
	if l.chroma == chroma444 {
		shift = 0
	}
	cbs, crs := pix[first+half*step:], pix[first+(h+half)*step:]
	for x := range luma {
		v, cb, cr := t.luma[row[x]], cbs[x>>shift], crs[x>>shift]
		to := rgb[3*x : 3*x+3 : 3*x+3]
		to[0] = level(v + t.redOfCr[cr])
		to[1] = level(v + t.greenOfCb[cb] + t.greenOfCr[cr])
		to[2] = level(v + t.blueOfCb[cb])
		luma[x] = level(v)
		if !t.jpegLuma {
			luma[x] = jpegLuma(to[0], to[1], to[2])
		}
	}
}

// jpegLuma weighs by ITU-R BT.601.
func jpegLuma(r, g, b byte) byte {
	return byte((19595*uint32(r) + 38470*uint32(g) + 7471*uint32(b) + 1<<15) >> 16)
}

// run calls the decoder's one function.
func (m *machine) run(in uint32, length int, headOnly bool, head, out uint32) error {
	args := []uint64{uint64(in), uint64(length), 0}
	if headOnly {
		args[2] = 1
	}
	for i := range uint64(headBytes / 4) {
		args = append(args, uint64(head)+4*i)
	}
	result, err := m.call("decode", append(args, uint64(out))...)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	if result == 0 {
		return fmt.Errorf("%w: it finds the picture's data wrong", ErrDamaged)
	}
	return nil
}

// load puts the file into the decoder's memory, under the one major brand
// that it knows to be HEVC: many phones write a more general one.
func (m *machine) load(file []byte) (uint32, error) {
	at, err := m.alloc(len(file))
	if err != nil {
		return 0, err
	}
	if len(file) < 12 || !m.memory.Write(at, file) || !m.memory.Write(at+8, []byte("heic")) {
		return 0, fmt.Errorf("%w: its memory is too small", ErrDecoder)
	}
	return at, nil
}

func (m *machine) alloc(bytes int) (uint32, error) {
	at, err := m.call("malloc", uint64(bytes))
	if err != nil {
		return 0, fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	if at == 0 {
		return 0, fmt.Errorf("%w: its memory is too small", ErrDecoder)
	}
	return uint32(at), nil
}

// machine is one run of the decoder in a sandbox of its own.
type machine struct {
	ctx    context.Context
	memory api.Memory
	module api.Module
	close  func()
}

var errNoFunction = errors.New("the decoder lacks a function")

func (m *machine) call(name string, args ...uint64) (uint64, error) {
	f := m.module.ExportedFunction(name)
	if f == nil {
		return 0, errNoFunction
	}
	results, err := f.Call(m.ctx, args...)
	if err != nil || len(results) == 0 {
		return 0, err
	}
	return results[0], nil
}
