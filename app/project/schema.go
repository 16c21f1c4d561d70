package project

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
)

// Extension ends the names of project files.
const Extension = ".flatwright"

// applicationID marks an SQLite file as a project, "FLWR" in ASCII
// (PRAGMA application_id; sqlite.org, "Database File Format", 1.3.17).
const applicationID = 0x464C5752

// Version is that of the schema, kept in PRAGMA user_version.
const Version = 1

// table is one of a project's tables and what a reader of a damaged file must
// know of it.
type table struct {
	name string
	// key is the column that numbers the rows, and columns are the others.
	key     string
	columns string
	create  string
}

// form is one version of the schema: its tables, and the statements that make
// the version before into it.
type form struct {
	tables []table
	change []string
}

// forms are all versions, the first being version 1. A file of an older one is
// changed step by step.
var forms = schema{{tables: []table{
	{"photo", "id", "name, sha256, bytes, added, settings", `CREATE TABLE photo (
	id INTEGER PRIMARY KEY,
	name TEXT NOT NULL,
	sha256 BLOB NOT NULL,
	bytes INTEGER NOT NULL,
	added INTEGER NOT NULL,
	settings TEXT NOT NULL
) STRICT`},
	{"photo_part", "id", "data", `CREATE TABLE photo_part (
	id INTEGER PRIMARY KEY,
	data BLOB NOT NULL
) STRICT`},
	{"revision", "number", "name, at, whole, content, bytes, sha256", `CREATE TABLE revision (
	number INTEGER PRIMARY KEY,
	name TEXT NOT NULL,
	at INTEGER NOT NULL,
	whole INTEGER NOT NULL,
	content BLOB NOT NULL,
	bytes INTEGER NOT NULL,
	sha256 BLOB NOT NULL
) STRICT`},
	{"head", "id", "revision", `CREATE TABLE head (
	id INTEGER PRIMARY KEY CHECK (id = 1),
	revision INTEGER NOT NULL
) STRICT`},
	{"setting", "id", "key, value", `CREATE TABLE setting (
	id INTEGER PRIMARY KEY,
	key TEXT NOT NULL UNIQUE,
	value TEXT NOT NULL
) STRICT`},
}}}

// schema is a run of versions; a variable only so that tests can lengthen it.
type schema []form

func (s schema) version() int { return len(s) }

// tables are those of the newest version.
func (s schema) tables() []table { return s[len(s)-1].tables }

// createIn makes the tables of the newest version in an empty database.
func (s schema) createIn(ctx context.Context, db *sql.DB) error {
	statements := []string{"BEGIN IMMEDIATE", fmt.Sprintf("PRAGMA application_id = %d", applicationID)}
	for _, t := range s.tables() {
		statements = append(statements, t.create)
	}
	statements = append(statements, fmt.Sprintf("PRAGMA user_version = %d", s.version()), "COMMIT")
	return execute(ctx, db, statements)
}

// execute runs statements one after the other; the pool has one connection, so
// that they may be a transaction.
func execute(ctx context.Context, db *sql.DB, statements []string) error {
	for _, x := range statements {
		if _, err := db.ExecContext(ctx, x); err != nil {
			return fmt.Errorf("%.40s: %w", x, err)
		}
	}
	return nil
}

// NewerError tells that a file was written by a newer program.
type NewerError struct {
	Path    string
	Version int
}

// Error is a sentence.
func (e *NewerError) Error() string {
	return fmt.Sprintf("%s was written by a newer Flatwright (version %d of the file, this program knows up to %d); bring this program up to date. The file was left as it is", e.Path, e.Version, Version)
}

// errAltered tells that a file has tables that we did not make.
var errAltered = errors.New("its tables are not those of a project")

// versionOf reads the version, 0 when the mark is not there.
func versionOf(ctx context.Context, db *sql.DB) (int, error) {
	var id, version int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return 0, err
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return 0, err
	}
	if id != applicationID {
		return 0, errAltered
	}
	return version, nil
}

// verify makes sure that a file's tables are word for word those of its
// version, and that nothing else is there. A stranger's file could hold views
// and triggers that run when a table is read or written.
func (f form) verify(ctx context.Context, db *sql.DB) error {
	have, err := objects(ctx, db)
	if err != nil {
		return err
	}
	for _, t := range f.tables {
		switch text, ok := have[t.name]; {
		case !ok:
			return fmt.Errorf("%w: %s is missing", errAltered, t.name)
		case text != t.create:
			return fmt.Errorf("%w: %s differs", errAltered, t.name)
		}
		delete(have, t.name)
	}
	for name := range have {
		return fmt.Errorf("%w: %s does not belong there", errAltered, cleanName(name))
	}
	return nil
}

// objects lists what a database holds by name, with the text that made it;
// what is no table gets a text that no table has. Indexes that SQLite makes
// for a table's own constraints are left out.
func objects(ctx context.Context, db *sql.DB) (map[string]string, error) {
	rows, err := db.QueryContext(ctx, "SELECT type, name, coalesce(sql, '') FROM sqlite_schema LIMIT 1000")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	have := map[string]string{}
	for rows.Next() {
		var kind, name, text string
		if err := rows.Scan(&kind, &name, &text); err != nil {
			return nil, err
		}
		if kind == "index" && text == "" && strings.HasPrefix(name, "sqlite_autoindex_") {
			continue
		}
		if kind != "table" {
			text = kind
		}
		have[name] = text
	}
	return have, rows.Err()
}
