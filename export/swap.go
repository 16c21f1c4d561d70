package export

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Passing names. They begin with a dot and with the program's name, so that
// nobody else's file is ever taken for a leftover of ours.
const (
	freshPrefix = ".flatwright-new-"
	keptPrefix  = ".flatwright-old-"
)

// swap is the change from the old files in a folder to the new ones.
type swap struct {
	dir   string
	items []item
}

// item is one file on its way: written under a passing name, then put in
// place while the old one is kept under another.
type item struct {
	name, target string
	fresh        string
	kept         string
	placed       bool
}

// prepare writes a file under a passing name and forces it to the disk.
func (s *swap) prepare(f File) error {
	target := filepath.Join(s.dir, f.Name)
	if info, err := os.Lstat(target); err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder, so the file of that name cannot be written; move it or choose another folder", target)
	}
	out, err := os.CreateTemp(s.dir, freshPrefix+"*")
	if err != nil {
		return fmt.Errorf("nothing can be written to %s; choose another folder: %w", s.dir, err)
	}
	s.items = append(s.items, item{name: f.Name, target: target, fresh: out.Name()})
	err = f.Write(out)
	if err == nil {
		err = out.Chmod(0o644)
	}
	if err == nil {
		err = out.Sync()
	}
	if closed := out.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return fmt.Errorf("%s was not written: %w", f.Name, err)
	}
	return nil
}

// take puts a file in its place, keeping the one that was there. At no instant
// is the place empty that held a file before.
func (it *item) take() error {
	kept, err := keep(it.target)
	if err != nil {
		return fmt.Errorf("%s could not be replaced: %w", it.target, err)
	}
	it.kept = kept
	if err := os.Rename(it.fresh, it.target); err != nil {
		return fmt.Errorf("%s could not be put in its place: %w", it.target, err)
	}
	it.placed = true
	return nil
}

// keep gives an existing file a second name, by a hard link where the disk
// has them, else by copying it; "" when there is none.
func keep(target string) (string, error) {
	switch info, err := os.Lstat(target); {
	case errors.Is(err, os.ErrNotExist):
		return "", nil
	case err == nil && info.IsDir():
		return "", errors.New("a folder of that name is in the way")
	}
	spare, err := os.CreateTemp(filepath.Dir(target), keptPrefix+"*")
	if err != nil {
		return "", err
	}
	name := spare.Name()
	if err := errors.Join(spare.Close(), os.Remove(name)); err != nil {
		return "", err
	}
	if os.Link(target, name) == nil {
		return name, nil
	}
	if err := duplicate(target, name); err != nil {
		return "", errors.Join(err, gone(name))
	}
	return name, nil
}

// duplicate copies a file, or a symbolic link as such.
func duplicate(from, to string) error {
	if aim, err := os.Readlink(from); err == nil {
		return os.Symlink(aim, to)
	}
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return err
	}
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, info.Mode().Perm())
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// undo puts everything back as it was.
func (s *swap) undo() error {
	var errs []error
	for i := len(s.items) - 1; i >= 0; i-- {
		it := &s.items[i]
		switch {
		case it.kept != "":
			errs = append(errs, os.Rename(it.kept, it.target), gone(it.kept))
		case it.placed:
			errs = append(errs, os.Remove(it.target))
		}
		errs = append(errs, gone(it.fresh))
	}
	return errors.Join(errs...)
}

// clear forgets the old files. That one cannot be removed is no reason to
// call the new ones failed.
func (s *swap) clear() {
	for i := range s.items {
		if s.items[i].kept != "" {
			_ = os.Remove(s.items[i].kept)
		}
	}
}

// gone removes a file that may be gone already. Renaming one name of a file
// over another of its names does nothing (POSIX), so the kept name may still
// be there after an undo.
func gone(name string) error {
	if err := os.Remove(name); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}
