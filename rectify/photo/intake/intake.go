// Package intake opens a photograph: it recognises the file, holds it against
// the limits before it decodes, applies the orientation tag exactly once, and
// refuses what is damaged with a plain sentence.
//
// Colours are taken as sRGB; a colour profile in the file (phones write
// Display P3) is not applied: it moves no edge, and the shift is less than
// that between two lamps. Transparent parts lie on white.
//
// Damage is told where the kind of file allows: JPEG, PNG and WebP without
// loss tell nearly all of it, HEIC missing and blank parts, TIFF and BMP
// missing ones. Bits that were changed within the picture of a HEIC or a lossy
// WebP file, which holds no check sums, are not noticed.
package intake

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"flatwright/rectify/photo"
)

// Open reads and decodes the photograph in a file: JPEG, HEIC, PNG, TIFF,
// WebP or BMP. The error is a *photo.Error, or the context's error.
func Open(ctx context.Context, path string) (*photo.Photo, error) {
	return OpenWithin(ctx, path, photo.DefaultLimits())
}

// OpenWithin is Open with limits of one's own.
func OpenWithin(ctx context.Context, path string, limits photo.Limits) (*photo.Photo, error) {
	name := filepath.Base(path)
	data, err := readFile(name, path, limits)
	if err != nil {
		return nil, err
	}
	return DecodeWithin(ctx, name, data, limits)
}

// Decode decodes a photograph from the bytes of its file. The name is used
// for messages only. The error is a *photo.Error, or the context's error.
func Decode(ctx context.Context, name string, data []byte) (*photo.Photo, error) {
	return DecodeWithin(ctx, name, data, photo.DefaultLimits())
}

// DecodeWithin is Decode with limits of one's own.
func DecodeWithin(ctx context.Context, name string, data []byte, limits photo.Limits) (*photo.Photo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := limits.CheckBytes(name, int64(len(data))); err != nil {
		return nil, err
	}
	f, err := recognise(name, data)
	if err != nil {
		return nil, err
	}
	p, err := f.decode(ctx, source{name: name, data: data, limits: limits})
	if err != nil {
		return nil, err
	}
	p.Name = name
	return p, nil
}

// source is a file in memory and what it is held against.
type source struct {
	name   string
	data   []byte
	limits photo.Limits
}

func readFile(name, path string, limits photo.Limits) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, unreadable(name, err)
	}
	if info.IsDir() {
		return nil, &photo.Error{
			Name: name, Kind: photo.ErrUnreadable,
			What: "this is a folder, not a photograph",
			Do:   "Choose one of the pictures in it",
		}
	}
	if !info.Mode().IsRegular() {
		return nil, &photo.Error{
			Name: name, Kind: photo.ErrUnreadable,
			What: "this is not an ordinary file",
			Do:   "Copy the photograph to a folder of this computer and open the copy",
		}
	}
	if err := limits.CheckBytes(name, info.Size()); err != nil {
		return nil, err
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, unreadable(name, err)
	}
	defer file.Close()
	return readAll(name, file, info.Size(), limits)
}

// readAll reads a file that said it is size bytes long and may grow meanwhile.
func readAll(name string, r io.Reader, size int64, limits photo.Limits) ([]byte, error) {
	data := make([]byte, size)
	n, err := io.ReadFull(r, data)
	data = data[:n]
	if err == nil {
		var rest []byte
		rest, err = io.ReadAll(io.LimitReader(r, limits.MaxBytes+1-size))
		data = append(data, rest...)
	}
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, unreadable(name, err)
	}
	return data, nil
}

func unreadable(name string, err error) error {
	e := &photo.Error{Name: name, Kind: photo.ErrUnreadable, Cause: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.What, e.Do = "there is no such file", "Check the name and the folder"
	case errors.Is(err, fs.ErrPermission):
		e.What, e.Do = "this file may not be read by you", "Change its permissions, or copy it to a folder of your own"
	default:
		var at *fs.PathError
		if errors.As(err, &at) {
			err = at.Err
		}
		e.What = fmt.Sprintf("the file cannot be read (%v)", err)
		e.Do = "Check the disk or card it lies on, or copy the file again"
	}
	return e
}

// damaged reports a file that breaks off or is corrupt; what says how.
func damaged(name, what string, cause error) error {
	return &photo.Error{
		Name: name, Kind: photo.ErrDamaged, Cause: cause,
		What: "the file is damaged: " + what,
		Do:   "Copy it from the phone or camera again; if it stays damaged, take the photograph again",
	}
}
