// Package project keeps a maker's work in one file: the photographs as they
// came, the pattern, and every edit so that undo reaches back over closing.
//
// Each edit is a transaction: a program that is killed at any instant loses at
// most the edit in progress. Where a file takes no more (a full disk, a folder
// that is gone), the project goes on in memory, says so with *NotStoredError,
// and can be saved elsewhere.
package project

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Project is an open project. Its methods may be called from any goroutine.
type Project struct {
	mu sync.Mutex
	// path is empty until the project has a file, and is the file that links
	// lead to; shown is what the caller called it.
	path, shown string
	// file is what is on the disk: all of it while memory is nil, else only
	// where photographs are read from, and nil when there is none.
	file *store
	// memory holds everything but photographs that file has.
	memory *store
	// reason says why the project is in memory; nil when it has no file yet.
	reason error
	// identity is the file as it was opened, to notice when another has taken
	// its place.
	identity os.FileInfo
	lock     *lock
	missing  []string
	// remove is a folder with a private copy that goes with the project.
	remove string
	forms  schema

	head    int64
	current []byte
	clock   func() time.Time
}

// NotStoredError tells that an edit was done, but is only in memory.
type NotStoredError struct {
	Path string
	Err  error
}

// Error is a sentence.
func (e *NotStoredError) Error() string {
	return fmt.Sprintf("this is only in memory, not in %s, because %v; save it under another name or in another folder before you close", e.Path, e.Err)
}

// Unwrap returns why.
func (e *NotStoredError) Unwrap() error { return e.Err }

// FileError tells that a file cannot be opened or written.
type FileError struct {
	Path string
	// Op is "opened" or "saved".
	Op  string
	Err error
}

// Error is a sentence.
func (e *FileError) Error() string {
	return fmt.Sprintf("the project %s cannot be %s: %s", e.Path, e.Op, strings.ReplaceAll(e.Err.Error(), "\n", "; "))
}

// Unwrap returns why.
func (e *FileError) Unwrap() error { return e.Err }

// New returns an empty project in memory, which SaveAs gives a file.
func New() (*Project, error) {
	return newIn(context.Background(), forms)
}

func newIn(ctx context.Context, s schema) (*Project, error) {
	m, err := memoryStore(ctx, s)
	if err != nil {
		return nil, err
	}
	p := &Project{memory: m, forms: s, clock: time.Now}
	if err := p.begin(); err != nil {
		return nil, errors.Join(err, m.close())
	}
	return p, nil
}

// begin writes the first revision.
func (p *Project) begin() error {
	state, err := State{}.encode()
	if err != nil {
		return err
	}
	return p.restart(firstName, 1, state)
}

// restart makes a state the first of a history.
func (p *Project) restart(name string, number int64, state []byte) error {
	r, err := rowOf(number, name, p.clock(), nil, state, true)
	if err != nil {
		return err
	}
	p.head, p.current = number, state
	return p.active().transact(func(tx *sql.Tx) error {
		return errors.Join(r.insert(tx), setHead(tx, number))
	})
}

// active is the database that edits go to.
func (p *Project) active() *store {
	if p.memory != nil {
		return p.memory
	}
	return p.file
}

// Path returns the project's file; empty before it has one.
func (p *Project) Path() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.shown
}

// Stored returns nil when edits go to the project's file, and otherwise
// *NotStoredError, which says why not; for a project that has no file yet,
// ErrNoFile.
func (p *Project) Stored() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.memory != nil && p.reason == nil {
		return ErrNoFile
	}
	return p.standing()
}

// ErrNoFile tells that a project has not been saved yet.
var ErrNoFile = errors.New("the project has not been saved yet")

// Missing returns a sentence for everything that a damaged file has lost; none
// for a file that is whole.
func (p *Project) Missing() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string(nil), p.missing...)
}

// Close lets go of the file. What is only in memory is lost.
func (p *Project) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	// Both stay where they are: whoever comes too late is told that they are
	// closed.
	err := errors.Join(p.memory.close(), p.file.close())
	// Not before the database has closed: the next program must find it at rest.
	err = errors.Join(err, p.lock.release())
	p.lock = nil
	if p.remove != "" {
		err = errors.Join(err, os.RemoveAll(p.remove))
		p.remove = ""
	}
	return err
}

// standing is the error that goes with everything done in memory because a
// file takes it no more.
func (p *Project) standing() error {
	if p.memory == nil || p.reason == nil {
		return nil
	}
	return &NotStoredError{Path: p.shown, Err: p.reason}
}

func inMemory(err error) bool {
	var e *NotStoredError
	return errors.As(err, &e)
}

// write does an operation in the file; where that fails for the disk's sake,
// in memory from then on.
func (p *Project) write(op func(*sql.Tx) error) error {
	err := p.writeHere(op)
	if p.memory != nil || !ofDisk(err) {
		return err
	}
	if err := p.toMemory(err); err != nil {
		return err
	}
	return p.writeHere(op)
}

// writeHere does an operation where edits go now.
func (p *Project) writeHere(op func(*sql.Tx) error) error {
	if p.memory == nil && p.file == nil {
		return errClosed
	}
	if p.memory == nil {
		if err := p.inPlace(); err != nil {
			return err
		}
	}
	if err := p.active().transact(op); err != nil {
		return err
	}
	return p.standing()
}

var errClosed = errors.New("the project is closed")

// errGone tells that the file is no longer where it was. A file without a name
// would go on taking edits that nobody finds again.
var errGone = errors.New("the file or its folder is no longer there, or another file has taken its place")

func (p *Project) inPlace() error {
	now, err := os.Stat(p.path)
	if err != nil || !os.SameFile(now, p.identity) {
		return errGone
	}
	return nil
}

// ofDisk tells errors that the disk or the file is to blame for.
func ofDisk(err error) bool {
	var e *sqlite.Error
	switch {
	case errors.Is(err, errGone) || errors.Is(err, errBroken):
		return true
	case !errors.As(err, &e):
		return false
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_CONSTRAINT, sqlite3.SQLITE_MISMATCH, sqlite3.SQLITE_TOOBIG, sqlite3.SQLITE_INTERRUPT:
		return false
	}
	return true
}

// toMemory copies the project into memory, as far as the file can still be
// read. The present state is kept in any case.
func (p *Project) toMemory(cause error) error {
	ctx, cancel := context.WithTimeout(context.Background(), openTimeout)
	defer cancel()
	m, err := memoryStore(ctx, p.forms)
	if err != nil {
		return errors.Join(trouble(cause), err)
	}
	head, current := p.head, p.current
	if copyRows(ctx, p.file, m, p.forms.tables()) != nil {
		lost, rescued, err := rescue(ctx, p.file, p.forms)
		if err == nil {
			err = m.close()
			m = rescued
		} else {
			lost, err = []string{"the history and the photographs cannot be read any more"}, nil
		}
		if err != nil {
			return err
		}
		p.missing = append(p.missing, lost...)
	}
	p.memory, p.reason = m, trouble(cause)
	// The transaction that failed may have reached the file all the same; the
	// state that the caller knows of is the one that counts.
	if state, err := stateAt(m.db, head); err != nil || string(state) != string(current) {
		_, err := m.db.Exec("DELETE FROM revision WHERE number >= ?", head)
		return errors.Join(err, p.restart("kept in memory", head, current))
	}
	return m.transact(func(tx *sql.Tx) error { return setHead(tx, head) })
}

// LeftOutError tells that a project was saved, but without what could not be
// read any more.
type LeftOutError struct {
	Path string
	// What are sentences.
	What []string
}

// Error is a sentence.
func (e *LeftOutError) Error() string {
	return fmt.Sprintf("the project is saved in %s, but not whole: %s", e.Path, strings.Join(e.What, "; "))
}

// copyRows copies all rows but the parts of photographs, which may be large
// and stay where they are.
func copyRows(ctx context.Context, from, to *store, tables []table) error {
	return to.transact(func(tx *sql.Tx) error {
		for _, t := range tables {
			if t.name == "photo_part" {
				continue
			}
			if err := copyTable(ctx, from.db, tx, t); err != nil {
				return fmt.Errorf("%s: %w", t.name, err)
			}
		}
		return nil
	})
}

func copyTable(ctx context.Context, from *sql.DB, to *sql.Tx, t table) error {
	rows, err := from.QueryContext(ctx, t.selection())
	if err != nil {
		return err
	}
	defer rows.Close()
	insert, err := to.Prepare(t.insertion())
	if err != nil {
		return err
	}
	defer insert.Close()
	values, places := t.values()
	for rows.Next() {
		if err := rows.Scan(places...); err != nil {
			return err
		}
		if _, err := insert.Exec(values...); err != nil {
			return err
		}
	}
	return rows.Err()
}
