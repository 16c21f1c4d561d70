package export

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// presenceName is the file that each running export into a folder holds a
// shared lock on. The system lets go of the lock however a process ends.
const presenceName = ".flatwright-export.lock"

var (
	// errHeld: another holds the lock.
	errHeld = errors.New("locked")
	// errNameless: the file was removed before it was locked.
	errNameless = errors.New("the lock's file lost its name")
)

// presence tells other exports into a folder that one is running. nil where
// the disk has no locks: then nothing is ever swept there.
type presence struct {
	file *os.File
	dir  string
}

// enter makes an export known in its folder.
func enter(dir string) (*presence, error) {
	const pause, tries = 10 * time.Millisecond, 500
	for range tries {
		p, err := tryEnter(dir)
		switch {
		case err == nil:
			return p, nil
		case errors.Is(err, errHeld): // another tidies up, which takes no time
			time.Sleep(pause)
		case !errors.Is(err, errNameless):
			// That the folder cannot be written to is said about the first file.
			return nil, nil
		}
	}
	return nil, fmt.Errorf("another program is busy in %s; wait a moment and try again", dir)
}

func tryEnter(dir string) (*presence, error) {
	name := filepath.Join(dir, presenceName)
	f, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o666)
	if errors.Is(err, os.ErrPermission) {
		f, err = os.Open(name) // another user's, in a folder that both write to
	}
	if err != nil {
		return nil, err
	}
	if err := lockShared(f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	// The last to leave removes the file; a lock on one without a name is
	// worth nothing.
	mine, err1 := f.Stat()
	named, err2 := os.Stat(name)
	if err1 != nil || err2 != nil || !os.SameFile(mine, named) {
		return nil, errors.Join(errNameless, f.Close())
	}
	return &presence{file: f, dir: dir}, nil
}

// leave ends an export. The last one in the folder sweeps away what exports
// that were killed have left: no passing file has a living maker then.
func (p *presence) leave() {
	if p == nil {
		return
	}
	if lockAlone(p.file) != nil {
		_ = p.file.Close()
		return
	}
	sweep(p.dir)
	removeLocked(p.file)
}

// abandon ends an export that could not put the old files back, and so must
// not lose their second copies.
func (p *presence) abandon() {
	if p != nil {
		_ = p.file.Close()
	}
}

// sweep removes files under passing names. Each is an unfinished new file, or
// a second copy of an old one whose own name is never empty meanwhile.
func sweep(dir string) {
	list, _ := os.ReadDir(dir)
	for _, e := range list {
		ours := strings.HasPrefix(e.Name(), freshPrefix) || strings.HasPrefix(e.Name(), keptPrefix)
		if ours && !e.IsDir() {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}
