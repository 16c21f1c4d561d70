//go:build !unix && !windows

package project

import (
	"errors"
	"os"
)

// lockFile has nothing to lock with; SQLite's own locks still keep two writers
// apart for the length of an edit.
func lockFile(*os.File) error { return nil }

func (l *lock) remove() error { return errors.Join(l.file.Close(), os.Remove(l.path)) }
