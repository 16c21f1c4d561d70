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
	"strings"
)

// SaveAs writes the whole project, its history included, to a file, which it
// goes on with. A file of that name is replaced, whole or not at all. Errors:
// *LeftOutError, then it is saved without the photographs that could not be
// read; *InUseError when another program has that file open, and *FileError,
// then the project is as it was.
func (p *Project) SaveAs(ctx context.Context, path string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.save(ctx, path)
}

func (p *Project) save(ctx context.Context, path string) error {
	err := p.saveAs(ctx, path)
	var used *InUseError
	var less *LeftOutError
	if err == nil || errors.As(err, &used) || errors.As(err, &less) {
		return err
	}
	return &FileError{Path: path, Op: "saved", Err: trouble(err)}
}

// Retry writes a project that could not be stored to its own file again, once
// there is room, or the folder is back. It never writes over what others may
// have done meanwhile. Errors: as SaveAs, ErrNoFile.
func (p *Project) Retry(ctx context.Context) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch {
	case p.memory == nil:
		return nil
	case p.path == "":
		return ErrNoFile
	case p.lock == nil:
		return &FileError{Path: p.shown, Op: "saved", Err: errOnlyRead}
	}
	if now, err := os.Stat(p.path); err == nil && !os.SameFile(now, p.identity) {
		return &FileError{Path: p.shown, Op: "saved", Err: errOther}
	}
	return p.save(ctx, p.shown)
}

var (
	errOnlyRead = errors.New("it was only read, and others may have changed it meanwhile; choose another name")
	errOther    = errors.New("another file has taken its place; choose another name")
)

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
	if !same || !own.held() {
		if own, err = take(target); err != nil {
			return err
		}
		defer func() {
			if err != nil && p.lock != own {
				err = errors.Join(err, own.release())
			}
		}()
	}
	lost, err := p.writeWhole(ctx, target)
	if err != nil {
		return err
	}
	if err := p.goOnWith(ctx, target, path, own); err != nil {
		return err
	}
	if len(lost) > 0 {
		p.missing = lost
		return &LeftOutError{Path: path, What: lost}
	}
	return nil
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
// It returns what could not be read.
func (p *Project) writeWhole(ctx context.Context, target string) (lost []string, err error) {
	sweep(target)
	fresh, err := freshName(target)
	if err != nil {
		return nil, fmt.Errorf("nothing can be written in its folder: %w", err)
	}
	to, err := openStore(ctx, fresh, building)
	if err == nil {
		lost, err = p.copyAll(ctx, to)
		err = errors.Join(err, to.close())
	}
	if err == nil {
		err = settle(fresh, target)
	}
	if err != nil {
		return nil, errors.Join(err, removeIfThere(fresh))
	}
	return lost, nil
}

// copyAll copies everything into an empty database. A photograph that cannot
// be read keeps nothing else from being saved: it is left out, and named.
func (p *Project) copyAll(ctx context.Context, to *store) (lost []string, err error) {
	if err := p.forms.createIn(ctx, to.db); err != nil {
		return nil, err
	}
	if err := copyRows(ctx, p.active(), to, p.forms.tables()); err != nil {
		return nil, err
	}
	photos, err := photosOf(p.active().db)
	if err != nil {
		return nil, err
	}
	err = to.transact(func(tx *sql.Tx) error {
		for _, f := range photos {
			switch err := p.copyParts(ctx, tx, f); {
			case errors.Is(err, errSource):
				lost = append(lost, fmt.Sprintf("the photograph %s cannot be read and was left out", f.Name))
				if err := f.remove(tx); err != nil {
					return err
				}
			case err != nil:
				return err
			}
		}
		return nil
	})
	return lost, err
}

// errSource tells that a photograph cannot be read, not that it cannot be
// written.
var errSource = errors.New("it cannot be read")

// copyParts copies a photograph's bytes.
func (p *Project) copyParts(ctx context.Context, tx *sql.Tx, f Photo) error {
	var written error
	err := p.eachPart(ctx, f, func(n int64, data []byte) error {
		_, written = tx.Exec("INSERT INTO photo_part (id, data) VALUES (?, ?)", f.ID<<partsShift+n, data)
		return written
	})
	if err == nil || written != nil || ctx.Err() != nil {
		return err
	}
	return fmt.Errorf("%w: %w", errSource, err)
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

// sweep removes what a program that was killed while it saved this file has
// left under a passing name. Whoever holds the lock is the only one to save it.
func sweep(path string) {
	left, _ := filepath.Glob(quote(filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".new-")) + "????????")
	for _, name := range left {
		_ = os.Remove(name)
		_ = os.Remove(name + "-journal")
	}
}

// quote makes a name a pattern that only it matches.
func quote(name string) string {
	if os.PathSeparator == '\\' {
		return name // there the character cannot be quoted, and hardly be in a name
	}
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(name)
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
