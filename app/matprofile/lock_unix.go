//go:build unix

package matprofile

import (
	"errors"
	"fmt"
	"os"
	"syscall"
	"time"
)

// lockWait is how long another program's change is waited for.
const (
	lockWait  = 5 * time.Second
	lockPause = 10 * time.Millisecond
)

// lock takes an advisory lock on a file beside the profiles (flock: the system
// lets go of it when a process ends in any way) and returns what lets go of
// it. The file stays: removing it would let two programs hold two locks.
func lock(path string) (unlock func(), err error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o644)
	if err != nil {
		return nil, err
	}
	for start := time.Now(); ; time.Sleep(lockPause) {
		err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
		if err == nil {
			return func() { f.Close() }, nil
		}
		busy := errors.Is(err, syscall.EWOULDBLOCK) || errors.Is(err, syscall.EINTR)
		if !busy || time.Since(start) > lockWait {
			break
		}
	}
	f.Close()
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return nil, fmt.Errorf("another program has been changing them for more than %v (%s is locked); try again", lockWait, path)
	}
	return nil, fmt.Errorf("%s cannot be locked: %w", path, err)
}
