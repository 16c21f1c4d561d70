//go:build unix

package project

import (
	"errors"
	"os"
	"syscall"
)

// lockFile takes an advisory lock (flock) without waiting. Errors: errLocked.
func lockFile(f *os.File) error {
	for {
		err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if errors.Is(err, syscall.EINTR) {
			continue
		}
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return errLocked
		}
		return err
	}
}

// remove takes the name away while the lock is still held, so that nobody is
// left with a lock on a file without one. A folder that is gone has no name to
// take away, and the name of another's lock is left alone.
func (l *lock) remove() error {
	if !l.held() {
		return l.file.Close()
	}
	err := os.Remove(l.path)
	if errors.Is(err, os.ErrNotExist) || errors.Is(err, os.ErrPermission) || errors.Is(err, syscall.EROFS) {
		err = nil
	}
	return errors.Join(err, l.file.Close())
}
