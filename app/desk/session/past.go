package session

import (
	"reflect"
	"slices"

	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
	"flatwright/trace/writing"
)

// Step is one step of the history, and the document that it led to.
type Step struct {
	// Serial tells steps apart and grows along the history.
	Serial int64
	Edit   Edit
	After  Document
}

// Past is the history as it can be kept: the steps that can be undone, the
// oldest first, then those that can be done again, the next first.
type Past struct {
	Done, Undone []Step
	Now          Document
	// Open tells that the last step done still takes further changes.
	Open bool
	// Only is the photograph of a document that has no Shots.
	Only *photo.Photo
}

// Past returns the history. What is in it must not be written to.
func (s *Session) Past() Past {
	p := Past{Now: s.doc, Only: s.only, Open: s.history.open}
	for i, x := range s.history.undo {
		after := s.doc
		if i+1 < len(s.history.undo) {
			after = s.history.undo[i+1].before
		}
		p.Done = append(p.Done, Step{x.serial, x.edit, after})
	}
	for _, x := range slices.Backward(s.history.redo) {
		p.Undone = append(p.Undone, Step{x.serial, x.edit, x.before})
	}
	return p
}

// InGesture reports whether the last step still takes further changes.
func (s *Session) InGesture() bool { return s.history.open }

// PutBefore puts an older step before all others: an edit, and the document
// that undoing it leads to. It returns the step's serial.
func (s *Session) PutBefore(e Edit, before Document) int64 {
	h := &s.history
	h.first--
	h.undo = slices.Insert(h.undo, 0, step{e, before, h.first})
	return h.first
}

// PutAfter puts a step behind all others that can be done again.
func (s *Session) PutAfter(e Edit, after Document) int64 {
	h := &s.history
	h.last++
	h.redo = slices.Insert(h.redo, 0, step{e, after, h.last})
	return h.last
}

// Resume begins with a document that was kept; only is its photograph when it
// has no Shots, else their first. Worked tells that it carries the maker's own
// edits, which the history need not reach.
func (s *Session) Resume(only *photo.Photo, d Document, worked bool) {
	*s = Session{only: only, version: s.version, work: s.work, worked: worked}
	s.replace(d)
}

// Printed reports whether the document is as it was last exported.
func (s *Session) Printed() bool {
	return s.isPrinted.of(s.version, func() bool {
		return s.asPrinted != nil && reflect.DeepEqual(*s.asPrinted, s.doc)
	})
}

// All returns the work on every photograph of a document; only is the
// photograph of one that has no Shots.
func (d Document) All(only *photo.Photo) []Shot {
	if len(d.Shots) == 0 {
		d.Shots, d.Active = []Shot{{Photo: only}}, 0
	}
	d.Shots = slices.Clone(d.Shots)
	d.stash()
	return d.Shots
}

// Assembled is a document of the work on photographs, of which one is looked
// at, and what was made of them.
func Assembled(shots []Shot, active int, p pattern.Pattern, from map[string]Origin, seen []string) Document {
	d := Document{Shots: shots, Pattern: p, From: from, Seen: seen}
	if len(shots) == 0 {
		return d
	}
	d.look(max(0, min(active, len(shots)-1)))
	if len(shots) == 1 {
		d.Shots = nil
	}
	return d
}

// Unsolved is a photograph whose solution is not at hand, only what it was
// solved with.
type Unsolved struct {
	Photo *photo.Photo
	With  rectify.Options
}

// solvedBefore reports whether options are those of a solution.
func solvedBefore(o rectify.Options) bool { return o.PitchMM > 0 || o.Rectangle != nil }

// Unsolved returns what has to be solved again before the document is whole.
func (s *Session) Unsolved() []Unsolved {
	var out []Unsolved
	for _, x := range s.doc.All(s.only) {
		if x.Squared == nil && x.Photo != nil && solvedBefore(x.SolvedWith) {
			out = append(out, Unsolved{x.Photo, x.SolvedWith})
		}
	}
	return out
}

// FillIn puts solutions found again into the document and into the history;
// found returns nil for those that it does not know. That is no edit.
func (s *Session) FillIn(found func(*photo.Photo, rectify.Options) *rectify.Squared) {
	printed := s.Printed()
	now := s.doc
	now.fillIn(s.only, found)
	for _, stack := range [][]step{s.history.undo, s.history.redo} {
		for i := range stack {
			stack[i].before.fillIn(s.only, found)
		}
	}
	s.replace(now)
	if printed {
		s.MarkPrinted(s.version)
	}
}

func (d *Document) fillIn(only *photo.Photo, found func(*photo.Photo, rectify.Options) *rectify.Squared) {
	p := only
	if d.Active < len(d.Shots) {
		p = d.Shots[d.Active].Photo
	}
	if d.Squared == nil && solvedBefore(d.SolvedWith) {
		d.Squared = found(p, d.SolvedWith)
	}
	d.Shots = slices.Clone(d.Shots)
	for i := range d.Shots {
		if x := &d.Shots[i]; x.Squared == nil && solvedBefore(x.SolvedWith) {
			x.Squared = found(x.Photo, x.SolvedWith)
		}
	}
}

// WithoutWriting returns the photographs whose pieces were traced, but of which
// no pictures of writing are at hand.
func (s *Session) WithoutWriting() map[*photo.Photo]bool {
	out := map[*photo.Photo]bool{}
	for _, x := range s.doc.All(s.only) {
		if x.Traced != nil && x.Traced.Writing == nil {
			out[x.Photo] = true
		}
	}
	return out
}

// TakeWriting takes pictures of writing into what was traced in a photograph,
// when that was as many pieces. That is no edit.
func (s *Session) TakeWriting(p *photo.Photo, w []writing.Block, pieces int) {
	give := func(t *trace.Traced) *trace.Traced {
		if t == nil || len(t.Pattern.Pieces) != pieces {
			return t
		}
		next := *t
		next.Writing = w
		return &next
	}
	s.doc.Shots = slices.Clone(s.doc.Shots)
	for i := range s.doc.Shots {
		if s.doc.Shots[i].Photo == p {
			s.doc.Shots[i].Traced = give(s.doc.Shots[i].Traced)
		}
	}
	if s.photo == p {
		s.doc.Traced = give(s.doc.Traced)
	}
	printed := s.Printed()
	if s.version++; printed {
		s.MarkPrinted(s.version)
	}
}
