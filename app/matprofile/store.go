package matprofile

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"flatwright/export"
)

// FileName is the name of the file in the program's folder of settings.
const FileName = "mats.json"

// maxFileBytes bounds what is taken for a file of profiles.
const maxFileBytes = 4 << 20

// DefaultPath returns where the user's profiles are kept: flatwright/mats.json
// in os.UserConfigDir.
func DefaultPath() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("there is no folder to keep mats in (%w); set HOME or XDG_CONFIG_HOME", err)
	}
	return filepath.Join(dir, "flatwright", FileName), nil
}

// FileError reports a file of profiles that cannot be used. The file is left
// as it is.
type FileError struct {
	Path string
	// Op is what was tried: "read" or "written".
	Op  string
	Err error
}

// Error names the file and the trouble, and says what to do.
func (e *FileError) Error() string {
	do := ""
	var newer *NewerError
	var content *ContentError
	switch {
	case errors.As(e.Err, &newer):
		do = "; bring this program up to date, or move the file away. It was left as it is"
	case errors.As(e.Err, &content):
		do = "; mend it or move it away. It was left as it is"
	}
	return fmt.Sprintf("the mats in %s cannot be %s: %v%s", e.Path, e.Op, e.Err, do)
}

// Unwrap returns the trouble.
func (e *FileError) Unwrap() error { return e.Err }

// Load reads the profiles of a file, ordered by name; none when there is no
// such file. Errors: *FileError.
func Load(path string) ([]Profile, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, &FileError{Path: path, Op: "read", Err: err}
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err == nil && len(data) > maxFileBytes {
		err = &ContentError{Err: fmt.Errorf("it is larger than %d MiB", maxFileBytes>>20)}
	}
	var all []Profile
	if err == nil {
		all, err = Decode(data)
	}
	if err != nil {
		return nil, &FileError{Path: path, Op: "read", Err: err}
	}
	return all, nil
}

// Save puts a profile into a file, in the place of the one of the same name
// if there is one. The file is read anew under a lock, so that two programs at
// once do not lose each other's mats, and replaced whole or not at all.
// Errors: *FileError, or what is wrong with the profile.
func Save(path string, p Profile) error {
	p, err := p.check()
	if err != nil {
		return err
	}
	return change(path, func(all []Profile) ([]Profile, error) {
		if i := index(all, p.Name); i >= 0 {
			all[i] = p
			return all, nil
		}
		return append(all, p), nil
	})
}

// Forget takes a profile out of a file. Errors: *NotKnownError, *FileError.
func Forget(path, name string) error {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return &NotKnownError{Name: strings.TrimSpace(name)}
	}
	return change(path, func(all []Profile) ([]Profile, error) {
		if _, err := Find(all, name); err != nil {
			return nil, err
		}
		i := index(all, name)
		return slices.Delete(all, i, i+1), nil
	})
}

// change reads, changes and writes a file while no other program does.
func change(path string, edit func([]Profile) ([]Profile, error)) error {
	// A settings folder may be made of links into another: the file they lead
	// to is replaced, not the link.
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return &FileError{Path: path, Op: "written", Err: err}
	}
	unlock, err := lock(path + ".lock")
	if err != nil {
		return &FileError{Path: path, Op: "written", Err: err}
	}
	defer unlock()
	all, err := Load(path)
	if err != nil {
		return err
	}
	if all, err = edit(all); err != nil {
		return err
	}
	slices.SortFunc(all, func(a, b Profile) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), cmp.Compare(a.Name, b.Name))
	})
	data, err := Encode(all)
	if err != nil {
		return err
	}
	write := func(w io.Writer) error { _, err := w.Write(data); return err }
	if err := export.Replace(filepath.Dir(path), []export.File{{Name: filepath.Base(path), Write: write}}); err != nil {
		return &FileError{Path: path, Op: "written", Err: err}
	}
	return nil
}
