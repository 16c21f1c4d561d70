package project

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// SaveAs writes the whole project, its history included, to a file, which it
// goes on with. A file of that name is replaced, whole or not at all. Errors:
// *InUseError when another program has that file open, *FileError; the project
// is then as it was.
func (p *Project) SaveAs(ctx context.Context, path string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	err := p.saveAs(ctx, path)
	var used *InUseError
	if err == nil || errors.As(err, &used) {
		return err
	}
	return &FileError{Path: path, Op: "saved", Err: trouble(err)}
}

// Retry writes a project that could not be stored to its own file again, once
// there is room, or the folder is back. Errors: as SaveAs, ErrNoFile.
func (p *Project) Retry(ctx context.Context) error {
	p.mu.Lock()
	path, waiting := p.shown, p.memory != nil
	p.mu.Unlock()
	switch {
	case path == "":
		return ErrNoFile
	case !waiting:
		return nil
	}
	return p.SaveAs(ctx, path)
}

// errKeep refuses to write over a file that has more to give.
var errKeep = errors.New("it is damaged and is left as it is, for what may still be got out of it; choose another name")

func (p *Project) saveAs(ctx context.Context, path string) (err error) {
	if p.active() == nil {
		return errClosed
	}
	target, err := destination(path)
	if err != nil {
		return err
	}
	same := target == p.path
	if same && len(p.missing) > 0 && !errors.Is(p.reason, errGone) {
		return errKeep
	}
	own := p.lock
	if own == nil || !same {
		if own, err = take(target); err != nil {
			return err
		}
		defer func() {
			if err != nil {
				err = errors.Join(err, own.release())
			}
		}()
	}
	if err := p.writeWhole(ctx, target); err != nil {
		return err
	}
	return p.goOnWith(ctx, target, path, own)
}

// destination is the file that a path leads to.
func destination(path string) (string, error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return "", errors.New("there is a folder or a device of that name; choose another name")
	}
	if _, err := os.Stat(filepath.Dir(path)); errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("there is no folder %s; make it, or choose another", filepath.Dir(path))
	}
	return path, nil
}

// writeWhole writes the project to a file beside, which then takes its place.
func (p *Project) writeWhole(ctx context.Context, target string) error {
	fresh, err := freshName(target)
	if err != nil {
		return fmt.Errorf("nothing can be written in its folder: %w", err)
	}
	to, err := openStore(ctx, fresh, building)
	if err == nil {
		err = errors.Join(p.copyAll(ctx, to), to.close())
	}
	if err == nil {
		err = settle(fresh, target)
	}
	if err != nil {
		return errors.Join(err, removeIfThere(fresh))
	}
	return nil
}

// copyAll copies everything into an empty database.
func (p *Project) copyAll(ctx context.Context, to *store) error {
	if err := p.forms.createIn(ctx, to.db); err != nil {
		return err
	}
	if err := copyRows(ctx, p.active(), to, p.forms.tables()); err != nil {
		return err
	}
	photos, err := photosOf(p.active().db)
	if err != nil {
		return err
	}
	return to.transact(func(tx *sql.Tx) error {
		for _, f := range photos {
			err := p.eachPart(ctx, f, func(n int64, data []byte) error {
				_, err := tx.Exec("INSERT INTO photo_part (id, data) VALUES (?, ?)", f.ID<<partsShift+n, data)
				return err
			})
			if err != nil {
				return fmt.Errorf("the photograph %s: %w", f.Name, err)
			}
		}
		return nil
	})
}

// goOnWith makes a file that was just written the project's own.
func (p *Project) goOnWith(ctx context.Context, target, shown string, own *lock) error {
	info, err := os.Stat(target)
	if err != nil {
		return err
	}
	file, err := openStore(ctx, target, writing)
	if err != nil {
		return err
	}
	old := []*store{p.memory, p.file}
	if p.lock != own {
		// The file that is left behind is whole; that its lock's file may stay is
		// no reason to call the new one failed.
		_ = p.lock.release()
	}
	p.file, p.memory, p.lock = file, nil, own
	p.path, p.shown, p.identity, p.reason, p.missing = target, shown, info, nil, nil
	for _, s := range old {
		_ = s.close()
	}
	if p.remove != "" {
		_ = os.RemoveAll(p.remove)
		p.remove = ""
	}
	return nil
}

// freshName makes an empty file beside another, under a passing name.
func freshName(path string) (string, error) {
	name := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".new-"+rand.Text()[:8])
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return "", err
	}
	return name, f.Close()
}

// settle forces a finished file to the disk and gives it its name.
func settle(fresh, name string) error {
	f, err := os.OpenFile(fresh, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(fresh, name); err != nil {
		return err
	}
	if dir, err := os.Open(filepath.Dir(name)); err == nil {
		// Not every system forces a folder to the disk; the file is there.
		_ = dir.Sync()
		_ = dir.Close()
	}
	return nil
}

// removeIfThere removes a file that was begun.
func removeIfThere(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
