package project

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// store is one database: a file's, or one in memory.
type store struct{ db *sql.DB }

// access says how a file is opened.
type access string

const (
	// reading never changes the file, writing never makes one.
	reading access = "reading"
	writing access = "writing"
	// building fills a file that nobody knows of yet: it is forced to the disk
	// once, when it is whole.
	building access = "building"
	// rescuing is reading, also where a table's own description is damaged.
	rescuing access = "rescuing"
)

// Results of SQLite that are asked for elsewhere.
const (
	codeReadOnly   = sqlite3.SQLITE_READONLY
	codeCannotOpen = sqlite3.SQLITE_CANTOPEN
)

// mode is the URI's, and pragmas are what a kind of access has of its own.
func (a access) mode() string {
	if a == reading || a == rescuing {
		return "ro"
	}
	return "rw"
}

// pragmas are given to the driver, which runs them in the order of the
// alphabet. Those of rescuing must not make SQLite read the file before
// writable_schema has told it to be lenient.
func (a access) pragmas() []string {
	switch a {
	case writing:
		return append([]string{"journal_mode(DELETE)", "synchronous(EXTRA)", "cache_size(-4000)"}, safety...)
	case building:
		return append([]string{"journal_mode(OFF)", "synchronous(OFF)", "cache_size(-4000)"}, safety...)
	case rescuing:
		return append([]string{"writable_schema(1)"}, safety...)
	}
	return append([]string{"cache_size(-4000)"}, safety...)
}

// safety are the pragmas of every connection: SQLite's own advice for files
// from strangers (sqlite.org, "Defense Against The Dark Arts", 1.1).
//
// For writing there is a rollback journal, not a write-ahead log: between edits
// the project is one file, which may be copied or lie on a network drive, where
// the log's shared memory does not work (sqlite.org, "Write-Ahead Logging", 1).
// An edit is a transaction: the pages it changes are first saved in the
// journal, and the journal is forced to the disk before the file is touched.
// Whoever opens the file after a crash finds the journal and puts the pages
// back. EXTRA also forces the folder after the journal is gone, so that an edit
// that was reported as stored is not taken back by a loss of power (sqlite.org,
// "PRAGMA synchronous").
var safety = []string{"busy_timeout(5000)", "temp_store(MEMORY)", "cell_size_check(1)", "trusted_schema(0)", "mmap_size(0)"}

// maxValueBytes bounds a row: a part of a photograph, or a whole state that
// does not become shorter by packing.
const maxValueBytes = MaxStateBytes + 1<<20

// openStore opens a database file.
func openStore(ctx context.Context, path string, how access) (*store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/…
	}
	q := url.Values{"mode": {how.mode()}, "_txlock": {"immediate"}, "_pragma": how.pragmas()}
	if how != rescuing {
		q.Set("_defensive", "1")
	}
	u := url.URL{Scheme: "file", Path: path}
	return connect(ctx, "file:"+u.EscapedPath()+"?"+q.Encode())
}

// memoryStore returns an empty project in memory.
func memoryStore(ctx context.Context, s schema) (*store, error) {
	q := url.Values{"_txlock": {"immediate"}, "_pragma": safety}
	m, err := connect(ctx, "file::memory:?"+q.Encode())
	if err != nil {
		return nil, err
	}
	if err := s.createIn(ctx, m.db); err != nil {
		return nil, errors.Join(err, m.close())
	}
	return m, nil
}

// connect makes the one connection that a store has.
func connect(ctx context.Context, dsn string) (*store, error) {
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	db.SetConnMaxLifetime(0)
	c, err := db.Conn(ctx)
	if err == nil {
		_, err = sqlite.Limit(c, sqlite3.SQLITE_LIMIT_LENGTH, maxValueBytes)
		err = errors.Join(err, c.Close())
	}
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return &store{db: db}, nil
}

func (s *store) close() error {
	if s == nil {
		return nil
	}
	return s.db.Close()
}

// transact runs an operation whole or not at all.
func (s *store) transact(op func(*sql.Tx) error) error {
	tx, err := s.db.Begin()
	if err != nil {
		return err
	}
	if err := op(tx); err != nil {
		// What went wrong first is what is told; a rollback after it can fail as
		// well, and is done anyway when the file is opened next.
		_ = tx.Rollback()
		return err
	}
	return tx.Commit()
}

// code returns SQLite's primary result code, 0 for other errors.
func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code() & 0xff
	}
	return 0
}

// damaged tells errors that speak of a broken file.
func damaged(err error) bool {
	c := code(err)
	return c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB || c == sqlite3.SQLITE_FORMAT ||
		errors.Is(err, errBroken) || errors.Is(err, errAltered)
}

// trouble says in a clause what an error of the database means.
func trouble(err error) error {
	what := ""
	switch code(err) {
	case 0:
		return err
	case sqlite3.SQLITE_FULL:
		what = "the disk is full"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		what = "it must not be written to"
	case sqlite3.SQLITE_CANTOPEN:
		what = "it cannot be reached or its folder must not be written to"
	case sqlite3.SQLITE_IOERR:
		what = "the disk did not do what was asked of it; it may be full, or gone"
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		what = "another program is writing to it"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT:
		what = "it is damaged"
	case sqlite3.SQLITE_TOOBIG:
		what = "a part of it is larger than can be"
	case sqlite3.SQLITE_INTERRUPT:
		what = "it was stopped"
	default:
		return err
	}
	return &troubleError{what, err}
}

// troubleError is an error of the database in plain words.
type troubleError struct {
	what string
	err  error
}

// Error is the plain words; the database's own follow for whoever mends it.
func (e *troubleError) Error() string { return fmt.Sprintf("%s (%v)", e.what, e.err) }

// Unwrap returns the database's error.
func (e *troubleError) Unwrap() error { return e.err }
