package project

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// unixStart stands for a time that is not known.
var unixStart = time.Unix(0, 0)

// openTimeout bounds the opening of a file, whatever is in it.
const openTimeout = 2 * time.Minute

// maxFileBytes bounds what is taken for a project.
const maxFileBytes = (MaxPhotos + 1) * MaxPhotoBytes

// Create makes a project's file. Errors: *FileError, also when there is a file
// of that name.
func Create(ctx context.Context, path string) (*Project, error) {
	if _, err := os.Lstat(path); err == nil {
		return nil, &FileError{Path: path, Op: "saved", Err: errors.New("there is a file of that name already; choose another name, or open that one")}
	}
	p, err := New()
	if err != nil {
		return nil, err
	}
	if err := p.SaveAs(ctx, path); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return p, nil
}

// Open opens a project for editing. What keeps it from being edited, other
// than another program, does not keep it from being opened: Stored then says
// why edits stay in memory. A file of an older version is changed to this one,
// with a copy of what it was beside. What a damaged file has lost, Missing
// says; the file itself is left as it is. Errors: *InUseError, *NewerError,
// *FileError.
func Open(ctx context.Context, path string) (*Project, error) {
	return openIn(ctx, path, true, forms)
}

// OpenReadOnly opens a project to look at it, also while another program edits
// it: as it is at this moment. Edits stay in memory. Errors: *NewerError,
// *FileError.
func OpenReadOnly(ctx context.Context, path string) (*Project, error) {
	return openIn(ctx, path, false, forms)
}

// errAsked is the reason of a project that was opened to be read.
var errAsked = errors.New("it was opened for reading only")

func openIn(ctx context.Context, path string, edit bool, s schema) (*Project, error) {
	ctx, cancel := context.WithTimeout(ctx, openTimeout)
	defer cancel()
	p := &Project{shown: path, forms: s, clock: time.Now}
	err := p.open(ctx, edit)
	if err == nil {
		return p, nil
	}
	err = errors.Join(err, p.Close())
	var used *InUseError
	var newer *NewerError
	if errors.As(err, &used) || errors.As(err, &newer) {
		return nil, err
	}
	if !errors.Is(err, errNothing) {
		err = trouble(err)
	}
	return nil, &FileError{Path: path, Op: "opened", Err: err}
}

func (p *Project) open(ctx context.Context, edit bool) error {
	real, err := filepath.EvalSymlinks(p.shown)
	if err == nil {
		p.path, err = filepath.Abs(real)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("there is no such file")
	}
	if err == nil {
		err = p.recognise()
	}
	if err != nil {
		return err
	}
	p.reason = errAsked
	if edit {
		if p.reason, err = p.reserve(); err != nil {
			return err
		}
	}
	if p.reason == nil {
		sweep(p.path)
		if err = p.openFile(ctx); errors.Is(err, errNotChanged) {
			p.reason, err = err, p.file.close()
		}
	}
	if err == nil && p.reason != nil {
		err = p.openCopy(ctx)
	}
	if damaged(err) {
		return p.openDamaged(ctx, err)
	}
	return err
}

// recognise looks at a file's first bytes, before any of it is trusted.
func (p *Project) recognise() error {
	// Not opened before it is known to be a file: a pipe would wait for ever.
	info, err := os.Stat(p.path)
	if err != nil {
		return err
	}
	switch {
	case info.IsDir():
		return errors.New("it is a folder")
	case !info.Mode().IsRegular():
		return errors.New("it is not an ordinary file")
	case info.Size() == 0:
		return errors.New("it is empty")
	case info.Size() > maxFileBytes:
		return fmt.Errorf("it is %d GB long, more than a project can be", info.Size()>>30)
	}
	p.identity = info
	f, err := os.Open(p.path)
	if err != nil {
		return err
	}
	defer f.Close()
	// Places in the header: sqlite.org, "Database File Format", 1.3.
	head := make([]byte, 100)
	if _, err := io.ReadFull(f, head); err != nil || string(head[:16]) != "SQLite format 3\x00" {
		return errors.New("it is no project of Flatwright, or its beginning is destroyed")
	}
	if binary.BigEndian.Uint32(head[68:]) != applicationID {
		return errors.New("it is a database of another program, no project of Flatwright")
	}
	return nil
}

// reserve makes sure that nobody else edits the file, and finds out whether it
// can be written to; a reason why not is no error.
func (p *Project) reserve() (reason, err error) {
	p.lock, err = take(p.path)
	var used *InUseError
	if errors.As(err, &used) {
		used.Path = p.shown
		return nil, used
	}
	if err != nil {
		return fmt.Errorf("nothing can be written in its folder (%w)", err), nil
	}
	f, err := os.OpenFile(p.path, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("the file must not be written to (%w)", err), nil
	}
	return nil, f.Close()
}

// openFile opens the file for editing.
func (p *Project) openFile(ctx context.Context) (err error) {
	if p.file, err = openStore(ctx, p.path, writing); err != nil {
		return err
	}
	version, err := p.check(ctx)
	if err != nil {
		return err
	}
	if version < p.forms.version() {
		if err := p.migrate(ctx, version); err != nil {
			return err
		}
	}
	return p.load()
}

// openCopy opens the file for reading: everything but the photographs is taken
// into memory.
func (p *Project) openCopy(ctx context.Context) (err error) {
	p.file, err = openStore(ctx, p.path, reading)
	var version int
	if err == nil {
		version, err = p.check(ctx)
	}
	if err == nil && version < p.forms.version() || unfinished(err) {
		// An edit that was cut short must be taken back, and an old version
		// changed, where there is leave to write.
		version, err = p.privately(ctx)
	}
	if err == nil && version < p.forms.version() {
		err = p.forms.upgrade(ctx, p.file.db, version)
	}
	if err != nil {
		return err
	}
	if p.memory, err = memoryStore(ctx, p.forms); err != nil {
		return err
	}
	if err := copyRows(ctx, p.file, p.memory, p.forms.tables()); err != nil {
		return err
	}
	return p.load()
}

// check holds the open file to what a project must be.
func (p *Project) check(ctx context.Context) (version int, err error) {
	db := p.file.db
	if version, err = versionOf(ctx, db); err != nil {
		return 0, err
	}
	if version > p.forms.version() {
		return 0, &NewerError{Path: p.shown, Version: version}
	}
	if version < 1 {
		return 0, fmt.Errorf("%w: there is no version %d of it", errAltered, version)
	}
	if err := p.forms[version-1].verify(ctx, db); err != nil {
		return 0, err
	}
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&verdict); err != nil {
		return 0, err
	}
	if verdict != "ok" {
		return 0, fmt.Errorf("%w: %s", errBroken, cleanName(verdict))
	}
	return version, nil
}

// load reads the present state, and holds what is stored to the bounds.
func (p *Project) load() (err error) {
	db := p.active().db
	if p.head, err = headOf(db); err != nil {
		return err
	}
	if p.current, err = stateAt(db, p.head); err != nil {
		return err
	}
	if _, err := p.state(); err != nil {
		return err
	}
	_, err = photosOf(db)
	return err
}

// migrate changes a file of an older version, and leaves a copy of what it was
// beside it.
func (p *Project) migrate(ctx context.Context, version int) error {
	if _, err := backUp(ctx, p.file.db, p.path, version); err != nil {
		return fmt.Errorf("%w (%w)", errNotChanged, trouble(err))
	}
	return p.forms.upgrade(ctx, p.file.db, version)
}

// errNotChanged is the reason of a project that must stay of an older version.
var errNotChanged = errors.New("the file is of an older version, and no copy could be made beside it before it is changed")

// backUp writes a copy of a file beside it under a name that is free.
func backUp(ctx context.Context, db *sql.DB, path string, version int) (string, error) {
	ext := filepath.Ext(path)
	base := path[:len(path)-len(ext)]
	for n := 1; ; n++ {
		name := fmt.Sprintf("%s (version %d)%s", base, version, ext)
		if n > 1 {
			name = fmt.Sprintf("%s (version %d, %d)%s", base, version, n, ext)
		}
		if _, err := os.Lstat(name); err == nil && n < 1000 {
			continue
		}
		fresh, err := freshName(name)
		if err != nil {
			return "", err
		}
		if _, err = db.ExecContext(ctx, "VACUUM INTO ?", fresh); err == nil {
			err = settle(fresh, name)
		}
		if err != nil {
			return "", errors.Join(err, removeIfThere(fresh))
		}
		return name, nil
	}
}

// upgrade changes a database step by step to the newest version, all at once.
func (s schema) upgrade(ctx context.Context, db *sql.DB, version int) error {
	statements := []string{"BEGIN IMMEDIATE"}
	for _, f := range s[version:] {
		statements = append(statements, f.change...)
	}
	statements = append(statements, fmt.Sprintf("PRAGMA user_version = %d", s.version()), "COMMIT")
	if err := execute(ctx, db, statements); err != nil {
		_, undone := db.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		return errors.Join(fmt.Errorf("it could not be brought from version %d to %d: %w", version, s.version(), trouble(err)), undone)
	}
	return s[len(s)-1].verify(ctx, db)
}
