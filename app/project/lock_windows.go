package project

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// farOffset is where the locked byte lies: locks bind readers there, and who
// holds the lock must stay readable.
const farOffset = 1 << 30

// lockFile locks a byte without waiting. Errors: errLocked.
func lockFile(f *os.File) error {
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY,
		0, 1, 0, &windows.Overlapped{Offset: farOffset})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errLocked
	}
	return err
}

// remove lets go first: a file that is open keeps its name. It fails when
// another has taken the lock meanwhile, who then keeps the file.
func (l *lock) remove() error {
	err := l.file.Close()
	_ = os.Remove(l.path)
	return err
}
