package project

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Holder is who has a project open.
type Holder struct {
	Host  string    `json:"host"`
	PID   int       `json:"pid"`
	Since time.Time `json:"since"`
}

// InUseError tells that another program has a project open for editing.
type InUseError struct {
	Path   string
	Holder Holder
}

// Error is a sentence.
func (e *InUseError) Error() string {
	who := "another program"
	if h := e.Holder; h.PID > 0 {
		who = fmt.Sprintf("process %d on %s since %s", h.PID, cleanName(h.Host), h.Since.Local().Format("2 January 15:04"))
	}
	return fmt.Sprintf("the project %s is open already, by %s; close it there first, or save this one under another name", e.Path, who)
}

// lock is a lock on a file beside the project, which says who holds it. The
// system lets go of it when a process ends in any way, so that none is ever
// left over from a crash; only the file may be, and is used again.
type lock struct {
	file *os.File
	path string
}

var (
	errLocked   = errors.New("locked")
	errReplaced = errors.New("the lock's file was replaced")
)

// lockPath is the file that stands for the project at a path.
func lockPath(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
}

// take locks a project. Errors: *InUseError; that the lock's file cannot be
// made or locked there.
func take(path string) (*lock, error) {
	for range 100 {
		l, err := tryLock(lockPath(path))
		switch {
		case errors.Is(err, errReplaced):
			continue
		case errors.Is(err, errLocked):
			return nil, &InUseError{Path: path, Holder: holder(lockPath(path))}
		case err != nil:
			return nil, err
		}
		l.sign()
		return l, nil
	}
	return nil, &InUseError{Path: path}
}

// tryLock locks a file, which is made if need be. The one that let go of it
// last removes it: a lock on a file that has lost its name is worth nothing.
func tryLock(path string) (*lock, error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o644)
	if err != nil {
		return nil, err
	}
	if err := lockFile(f); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	l := &lock{file: f, path: path}
	if !l.held() {
		return nil, errors.Join(errReplaced, f.Close())
	}
	return l, nil
}

// held tells whether the lock still means something: its file has its name. A
// stick that was pulled out and put in again knows nothing of it.
func (l *lock) held() bool {
	if l == nil {
		return false
	}
	mine, err1 := l.file.Stat()
	named, err2 := os.Stat(l.path)
	return err1 == nil && err2 == nil && os.SameFile(mine, named)
}

// sign writes who holds the lock. That it could not be written is no reason
// not to hold it: a full disk takes nothing.
func (l *lock) sign() {
	host, _ := os.Hostname()
	b, _ := json.Marshal(Holder{Host: host, PID: os.Getpid(), Since: time.Now().Round(time.Second)})
	_ = l.file.Truncate(0)
	_, _ = l.file.WriteAt(append(b, '\n'), 0)
}

// holder reads who holds a lock, as far as it is told.
func holder(path string) (h Holder) {
	f, err := os.Open(path)
	if err != nil {
		return h
	}
	defer f.Close()
	b, _ := io.ReadAll(io.LimitReader(f, 4096))
	if json.Unmarshal(b, &h) != nil {
		return Holder{}
	}
	return h
}

// release removes the lock's file and lets go.
func (l *lock) release() error {
	if l == nil {
		return nil
	}
	return l.remove()
}
