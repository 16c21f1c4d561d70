//go:build unix

package export

import (
	"errors"
	"os"
	"syscall"
)

// lockShared takes a shared advisory lock (flock) without waiting. Errors:
// errHeld.
func lockShared(f *os.File) error { return flock(f, syscall.LOCK_SH) }

// lockAlone makes it one that nobody shares. Errors: errHeld; the shared lock
// is lost then.
func lockAlone(f *os.File) error { return flock(f, syscall.LOCK_EX) }

func flock(f *os.File, how int) error {
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
		switch {
		case errors.Is(err, syscall.EINTR):
			continue
		case errors.Is(err, syscall.EWOULDBLOCK):
			return errHeld
		}
		return err
	}
}

// removeLocked takes the name away while the lock is still held, so that
// nobody is left with a lock on a file without one.
func removeLocked(f *os.File) {
	_ = os.Remove(f.Name())
	_ = f.Close()
}
