//go:build !unix && !windows

package export

import (
	"errors"
	"os"
)

// There is nothing to lock with, so that nothing is swept.

func lockShared(*os.File) error { return errors.ErrUnsupported }

func lockAlone(*os.File) error { return errors.ErrUnsupported }

func removeLocked(f *os.File) { _ = f.Close() }
