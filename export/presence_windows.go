package export

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// lockShared takes a shared lock on a file without waiting. Errors: errHeld.
func lockShared(f *os.File) error { return lock(f, 0) }

// lockAlone makes it one that nobody shares. Errors: errHeld; the shared lock
// is lost then.
func lockAlone(f *os.File) error {
	err := windows.UnlockFileEx(windows.Handle(f.Fd()), 0, 1, 0, &windows.Overlapped{})
	return errors.Join(err, lock(f, windows.LOCKFILE_EXCLUSIVE_LOCK))
}

func lock(f *os.File, how uint32) error {
	err := windows.LockFileEx(windows.Handle(f.Fd()), how|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, &windows.Overlapped{})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errHeld
	}
	return err
}

// removeLocked lets go first, because a file that is open keeps its name; it
// also keeps it when another has opened it meanwhile.
func removeLocked(f *os.File) {
	_ = f.Close()
	_ = os.Remove(f.Name())
}
