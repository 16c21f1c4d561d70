package project

import (
	"bytes"
	"time"
)

// Before returns the state that Undo would bring back, without doing so.
// Errors: ErrNothingToUndo, or an edit that is damaged.
func (p *Project) Before() (State, error) { return p.beside(undoTo, ErrNothingToUndo) }

// After returns the state that Redo would bring back, without doing so. Errors:
// as Before, ErrNothingToRedo.
func (p *Project) After() (State, error) { return p.beside(redoTo, ErrNothingToRedo) }

func (p *Project) beside(query string, end error) (State, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	_, b, err := p.neighbour(query, end)
	if err != nil {
		return State{}, trouble(err)
	}
	return decodeState(b)
}

// Holds reports whether a state is the present one. Errors: what is wrong with
// the state.
func (p *Project) Holds(s State) (bool, error) {
	b, err := s.encode()
	if err != nil {
		return false, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	return bytes.Equal(b, p.current), nil
}

// Current returns the present state. Errors: only where a file was made by
// another program on purpose.
func (p *Project) Current() (State, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.state()
}

func (p *Project) state() (State, error) { return decodeState(p.current) }

// Encoded returns the present state's bytes, as they are stored.
func (p *Project) Encoded() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return bytes.Clone(p.current)
}

// History returns all edits, the oldest first, and the place of the present
// one among them: those after it have been undone. The first is what the
// history begins with, and cannot be undone.
func (p *Project) History() (list []Revision, at int, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	rows, err := p.active().db.Query("SELECT number, name, at FROM revision ORDER BY number LIMIT ?", 2*MaxRevisions)
	if err != nil {
		return nil, 0, trouble(err)
	}
	defer rows.Close()
	for rows.Next() {
		r, err := scanRevision(rows)
		if err != nil {
			return nil, 0, trouble(err)
		}
		if r.Number == p.head {
			at = len(list)
		}
		list = append(list, r)
	}
	return list, at, trouble(rows.Err())
}

func (p *Project) revision(number int64) (Revision, error) {
	r, err := scanRevision(p.active().db.QueryRow("SELECT number, name, at FROM revision WHERE number = ?", number))
	return r, trouble(err)
}

func scanRevision(from interface{ Scan(...any) error }) (Revision, error) {
	var r Revision
	var at int64
	err := from.Scan(&r.Number, &r.Name, &at)
	r.Name, r.At = cleanName(r.Name), time.Unix(at, 0)
	return r, err
}
