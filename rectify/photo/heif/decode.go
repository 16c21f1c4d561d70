package heif

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"flatwright/rectify/photo"
)

// Decode returns the main picture upright, as RGB and luminance (see
// photo.Photo); the luminance is the coded one where it is weighted as JPEG's.
// p is what Describe said of the file; the caller has held its sizes against
// its limits. Colours are JPEG's or as an nclx property says; a colour
// profile is not applied and transparency is not read. The first call takes
// some tenths of a second more than later ones: only then is the decoder made
// ready. It returns ErrDamaged, ErrKind or ErrDecoder, or the context's error.
//
// Tiles are decoded side by side. When the context ends, or after a time in
// which no sound file takes, Decode returns at once and what has begun is
// brought to an end in the background.
func Decode(ctx context.Context, p Picture) (*photo.Photo, error) {
	return decode(ctx, p, patience(p))
}

func decode(ctx context.Context, p Picture, patience time.Duration) (*photo.Photo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	w := &work{Picture: p, stop: make(chan struct{}), tables: p.colour.tables()}
	n := p.Width * p.Height
	w.out = &photo.Photo{Width: p.Width, Height: p.Height, RGB: make([]byte, 3*n), Luma: make([]byte, n)}
	done := make(chan error, 1)
	go func() { done <- w.all() }()
	defer close(w.stop)
	late := time.NewTimer(patience)
	defer late.Stop()
	select {
	case err := <-done:
		if err != nil {
			return nil, err
		}
		return w.out, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-late.C:
		return nil, fmt.Errorf("%w: it took far too long", ErrDecoder)
	}
}

// patience is the time after which decoding is given up: a slow computer
// takes less than a second a megapixel.
func patience(p Picture) time.Duration {
	return 10*time.Second + time.Duration(p.StoredWidth)*time.Duration(p.StoredHeight)*2*time.Microsecond
}

// work is one picture being decoded.
type work struct {
	Picture
	tables *tables
	out    *photo.Photo
	stop   chan struct{}
	next   atomic.Int64
}

// all decodes every tile and returns the first error.
func (w *work) all() error {
	var group sync.WaitGroup
	errs := make(chan error, runtime.GOMAXPROCS(0))
	for range min(cap(errs), len(w.tiles)) {
		group.Go(func() {
			if err := w.some(); err != nil {
				w.next.Store(int64(len(w.tiles)))
				errs <- err
			}
		})
	}
	group.Wait()
	select {
	case err := <-errs:
		return err
	default:
		return nil
	}
}

// some decodes tiles until none is left or somebody calls stop. It makes an
// error of a panic in the sandbox.
func (w *work) some() (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", ErrDecoder, r)
		}
	}()
	box, err := newSandbox(w.memoryPages())
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	defer box.close()
	for {
		select {
		case <-w.stop:
			return nil
		default:
		}
		i := int(w.next.Add(1)) - 1
		if i >= len(w.tiles) {
			return nil
		}
		if err := w.tile(box, i); err != nil {
			return err
		}
	}
}

func (w *work) tile(box *sandbox, i int) error {
	m, err := box.start()
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDecoder, err)
	}
	defer m.close()
	finished := make(chan struct{})
	defer close(finished)
	go m.watch(w.stop, finished)
	l, pix, err := m.decode(single(w.tiles[i], w.tileWidth, w.tileHeight))
	if err != nil {
		return err
	}
	if l.width != w.tileWidth || l.height != w.tileHeight {
		return fmt.Errorf("%w: %d × %d and %d × %d pixels for one tile", ErrDamaged, l.width, l.height, w.tileWidth, w.tileHeight)
	}
	w.put(l, pix, i%w.columns*l.width, i/w.columns*l.height)
	return nil
}

// put writes a tile's pixels to their places in the upright picture.
func (w *work) put(l layout, pix []byte, left, top int) {
	wide := min(l.width, w.StoredWidth-left)
	rgb, luma := make([]byte, 3*l.width), make([]byte, l.width)
	p := w.placement
	for row := range min(l.height, w.StoredHeight-top) {
		l.row(w.tables, pix, row, rgb, luma)
		x, y := p.x0+p.xx*left+p.xy*(top+row), p.y0+p.yx*left+p.yy*(top+row)
		for i := range wide {
			if uint(x) < uint(p.width) && uint(y) < uint(p.height) {
				at := y*p.width + x
				w.out.Luma[at] = luma[i]
				copy(w.out.RGB[3*at:3*at+3], rgb[3*i:3*i+3])
			}
			x, y = x+p.xx, y+p.yx
		}
	}
}
