package project

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"flatwright/app/project/delta"
	"flatwright/trace/pattern"
)

// maxChain bounds how many changes stand between two states that are stored
// whole, and so what an undo costs.
const maxChain = 64

// firstName is the name of the state that a project begins with.
const firstName = "new project"

// ErrNothingToUndo and ErrNothingToRedo tell that the history ends here.
var (
	ErrNothingToUndo = errors.New("there is nothing left to undo")
	ErrNothingToRedo = errors.New("there is nothing to do again")
)

// Revision is an entry of the history.
type Revision struct {
	// Number counts the edits; the first entry is what the history begins with.
	Number int64
	// Name is what the caller called the edit.
	Name string
	At   time.Time
	// Note is a sentence where the edit had a consequence that the maker should
	// know of, such as the oldest ones being let go.
	Note string
}

// queryer is a database or a transaction.
type queryer interface {
	QueryRow(query string, args ...any) *sql.Row
	Query(query string, args ...any) (*sql.Rows, error)
}

// row is a revision as it is stored: whole, or as a change of the one before.
type row struct {
	number  int64
	name    string
	at      int64
	whole   bool
	content []byte
	bytes   int
	sha256  []byte
}

// apply returns the state that a row holds, from the one before it. Errors:
// errBroken, wrapped.
func (r row) apply(before []byte) ([]byte, error) {
	if r.bytes < 0 || r.bytes > MaxStateBytes {
		return nil, fmt.Errorf("%w: edit %d claims %d bytes", errBroken, r.number, r.bytes)
	}
	// A change is never longer than the state, or the state is stored.
	state, err := unpack(r.content, MaxStateBytes)
	if err == nil && !r.whole {
		state, err = delta.Apply(before, state, r.bytes)
	}
	if err != nil {
		return nil, fmt.Errorf("%w: edit %d: %w", errBroken, r.number, err)
	}
	if len(state) != r.bytes || !bytes.Equal(sum(state), r.sha256) {
		return nil, fmt.Errorf("%w: edit %d has another checksum", errBroken, r.number)
	}
	return state, nil
}

// wholePart: a change that is longer than this part of the state is stored as
// the state itself, which packed is not much longer.
const wholePart = 4

// rowOf makes a revision of a state. It is whole when whole is asked for, or
// hardly longer.
func rowOf(number int64, name string, at time.Time, before, state []byte, whole bool) (row, error) {
	content := state
	if !whole {
		content = delta.Make(before, state)
		if len(content) > len(state)/wholePart {
			whole, content = true, state
		}
	}
	r := row{number: number, name: cleanName(name), at: at.Unix(), whole: whole, bytes: len(state), sha256: sum(state)}
	var err error
	r.content, err = pack(content)
	return r, err
}

func (r row) insert(tx *sql.Tx) error {
	_, err := tx.Exec("INSERT INTO revision (number, name, at, whole, content, bytes, sha256) VALUES (?, ?, ?, ?, ?, ?, ?)",
		r.number, r.name, r.at, r.whole, r.content, r.bytes, r.sha256)
	return err
}

const rowColumns = "number, name, at, whole, content, bytes, sha256"

// scan reads rowColumns.
func (r *row) scan(from interface{ Scan(...any) error }) error {
	return from.Scan(&r.number, &r.name, &r.at, &r.whole, &r.content, &r.bytes, &r.sha256)
}

// headOf returns the number of the present revision.
func headOf(q queryer) (head int64, err error) {
	err = q.QueryRow("SELECT revision FROM head WHERE id = 1").Scan(&head)
	return head, absent(err, "which edit is the present one")
}

// absent turns the absence of a row into damage.
func absent(err error, what string) error {
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%w: %s is not there", errBroken, what)
	}
	return err
}

// setHead makes a revision the present one.
func setHead(tx *sql.Tx, number int64) error {
	_, err := tx.Exec("INSERT INTO head (id, revision) VALUES (1, ?) ON CONFLICT (id) DO UPDATE SET revision = excluded.revision", number)
	return err
}

// stateAt puts a revision's state together: from the last one that is whole
// over the changes since.
func stateAt(q queryer, number int64) ([]byte, error) {
	var first int64
	if err := q.QueryRow("SELECT number FROM revision WHERE whole <> 0 AND number <= ? ORDER BY number DESC LIMIT 1", number).Scan(&first); err != nil {
		return nil, absent(err, fmt.Sprintf("a whole state before edit %d", number))
	}
	rows, err := q.Query("SELECT "+rowColumns+" FROM revision WHERE number BETWEEN ? AND ? ORDER BY number LIMIT ?", first, number, maxChain+1)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var state []byte
	var last int64
	for rows.Next() {
		var r row
		if err := r.scan(rows); err != nil {
			return nil, err
		}
		if state, err = r.apply(state); err != nil {
			return nil, err
		}
		last = r.number
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	if last != number {
		return nil, fmt.Errorf("%w: edit %d is not there", errBroken, number)
	}
	return state, nil
}

// Commit makes a pattern the present state, as one edit of the history; the
// work stays as it was. See CommitState.
func (p *Project) Commit(name string, to pattern.Pattern) (Revision, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now, err := p.state()
	if err != nil {
		return Revision{}, err
	}
	return p.commit(name, State{Pattern: to, Work: now.Work})
}

// CommitState makes a state the present one, as one edit of the history under
// a name for the words beside undo. What had been undone can no longer be done
// again. A state equal to the present one is no edit. When it returns without
// an error, the edit is on the disk; with *NotStoredError it is in memory, and
// everything goes on. Errors else: *LimitError, and what is wrong with the
// pattern or the work; nothing has changed then.
func (p *Project) CommitState(name string, to State) (Revision, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.commit(name, to)
}

func (p *Project) commit(name string, to State) (Revision, error) {
	state, err := to.encode()
	if err != nil {
		return Revision{}, err
	}
	if bytes.Equal(state, p.current) {
		return p.revision(p.head)
	}
	whole, err := p.needsWhole()
	if err != nil {
		return Revision{}, err
	}
	r, err := rowOf(p.head+1, name, p.clock(), p.current, state, whole)
	if err != nil {
		return Revision{}, err
	}
	done := Revision{Number: r.number, Name: r.name, At: time.Unix(r.at, 0)}
	err = p.write(func(tx *sql.Tx) error {
		if _, err := tx.Exec("DELETE FROM revision WHERE number >= ?", r.number); err != nil {
			return err
		}
		if err := r.insert(tx); err != nil {
			return err
		}
		if err := setHead(tx, r.number); err != nil {
			return err
		}
		done.Note, err = trim(tx, r.number)
		return err
	})
	if err != nil && !inMemory(err) {
		return Revision{}, err
	}
	p.head, p.current = r.number, state
	return done, err
}

// needsWhole tells whether the next revision is to be stored whole: the chain
// of changes is long, or takes more room than the state that it began with.
func (p *Project) needsWhole() (bool, error) {
	var n int
	var whole, changes int64
	err := p.active().db.QueryRow(`SELECT count(*), coalesce(sum(CASE WHEN whole THEN length(content) END), 0),
		coalesce(sum(CASE WHEN NOT whole THEN length(content) END), 0) FROM revision
		WHERE number BETWEEN (SELECT number FROM revision WHERE whole <> 0 AND number <= ?1 ORDER BY number DESC LIMIT 1) AND ?1`,
		p.head).Scan(&n, &whole, &changes)
	if err == nil || p.memory != nil {
		return n == 0 || n >= maxChain || changes > whole, err
	}
	// What cannot be asked is answered the safe way; the write that follows
	// finds the file out of reach as well, and the work goes on in memory.
	return true, nil
}

// trim lets the oldest revisions go when there are too many, and says so.
func trim(tx *sql.Tx, number int64) (string, error) {
	var first, keep int64
	if err := tx.QueryRow("SELECT min(number) FROM revision").Scan(&first); err != nil {
		return "", err
	}
	if number-first < MaxRevisions+maxChain {
		return "", nil
	}
	if err := tx.QueryRow("SELECT coalesce(max(number), 0) FROM revision WHERE whole <> 0 AND number <= ?", number-MaxRevisions).Scan(&keep); err != nil {
		return "", err
	}
	if keep <= first {
		return "", nil
	}
	if _, err := tx.Exec("DELETE FROM revision WHERE number < ?", keep); err != nil {
		return "", err
	}
	return fmt.Sprintf("The history holds %d edits; the oldest %d were let go.", MaxRevisions, keep-first), nil
}

// Undo goes back by one edit and returns the state that this brings back. On
// *NotStoredError the state counts too. Errors else: ErrNothingToUndo; an edit
// that is damaged, then nothing has changed.
func (p *Project) Undo() (State, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.move(undoTo, ErrNothingToUndo)
}

// Redo goes forward again by one edit that was undone. Errors: as Undo,
// ErrNothingToRedo.
func (p *Project) Redo() (State, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.move(redoTo, ErrNothingToRedo)
}

// What Undo and Redo go to.
const (
	undoTo = "SELECT max(number) FROM revision WHERE number < ?"
	redoTo = "SELECT min(number) FROM revision WHERE number > ?"
)

func (p *Project) move(query string, end error) (State, error) {
	number, state, err := p.neighbour(query, end)
	if err != nil && code(err) != 0 && p.memory == nil && !damaged(err) {
		// The file is out of reach: the history was copied into memory if it
		// could be.
		if moved := p.toMemory(err); moved != nil {
			return State{}, moved
		}
		number, state, err = p.neighbour(query, end)
	}
	if err != nil {
		return State{}, trouble(err)
	}
	s, err := decodeState(state)
	if err != nil {
		return State{}, err
	}
	err = p.write(func(tx *sql.Tx) error { return setHead(tx, number) })
	if err != nil && !inMemory(err) {
		return State{}, err
	}
	p.head, p.current = number, state
	return s, err
}

// neighbour finds the revision beside the present one, and its state.
func (p *Project) neighbour(query string, end error) (int64, []byte, error) {
	db := p.active().db
	var number sql.NullInt64
	if err := db.QueryRow(query, p.head).Scan(&number); err != nil {
		return 0, nil, err
	}
	if !number.Valid {
		return 0, nil, end
	}
	state, err := stateAt(db, number.Int64)
	return number.Int64, state, err
}
