package session

import (
	"errors"
	"fmt"
	"strings"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/pattern"
)

// Session is one photograph being worked on.
type Session struct {
	photo   *photo.Photo
	doc     Document
	history history
	version int
	// work is the version of what shapes and lines are made from: everything
	// but the corners.
	work int
	// printed is the version that was last exported, -1 for none.
	printed int
	edgeID  string
	pieceID string
	shapes  cache[*Shapes]
	lines   cache[[]FoundLine]
	plus    cache[float64]
	found   cache[[]Finding]
	made    map[string]made
}

// cache keeps a value made from one version of the document.
type cache[T any] struct {
	version int
	value   T
}

// of returns the kept value, or makes it anew when the document has changed.
func (c *cache[T]) of(version int, make func() T) T {
	if c.version != version {
		c.version, c.value = version, make()
	}
	return c.value
}

// New returns a session without a photograph.
func New() *Session { return &Session{version: 1, work: 1, printed: -1} }

// Photo returns the photograph; nil before one has been opened.
func (s *Session) Photo() *photo.Photo { return s.photo }

// Document returns the present state; its content must not be written to.
func (s *Session) Document() Document { return s.doc }

// Version changes whenever the document does.
func (s *Session) Version() int { return s.version }

// SetPhoto begins anew with a photograph; the pitch stays, the history goes.
func (s *Session) SetPhoto(p *photo.Photo) {
	*s = Session{photo: p, version: s.version + 1, work: s.work + 1, printed: -1, doc: Document{PitchMM: s.doc.PitchMM}}
}

// replace makes a document the present one and drops a selection that is gone.
func (s *Session) replace(d Document) {
	s.doc = d
	s.version++
	s.work++
	if _, e := s.doc.edge(s.edgeID); e == nil {
		s.edgeID = ""
	}
	if s.doc.piece(s.pieceID) == nil {
		s.pieceID = ""
	}
}

// View returns the map between mat and photograph; false before squaring up.
func (s *Session) View() (lens.Mapping, bool) {
	if s.doc.Squared == nil || s.doc.Squared.Fit == nil {
		return nil, false
	}
	return s.doc.Squared.Fit, true
}

// SetPitch chooses the distance between the mat's lines. A photograph that was
// squared up with another pitch has to be squared up again.
func (s *Session) SetPitch(mm float64) {
	if mm == s.doc.PitchMM || !(mm > 0) {
		return
	}
	s.edit(Edit{Action: ActionPitch}, func(d *Document) {
		d.PitchMM = mm
		d.Squared, d.Traced, d.Pattern = nil, nil, pattern.Pattern{}
	})
}

// SetSquared takes a solved photograph in; what was traced through the old
// solution goes.
func (s *Session) SetSquared(q *rectify.Squared) {
	s.edit(Edit{Action: ActionSquareUp}, func(d *Document) {
		d.Squared, d.Traced, d.Pattern = q, nil, pattern.Pattern{}
	})
}

// SetTraced takes a traced pattern in.
func (s *Session) SetTraced(t *trace.Traced) {
	s.edit(Edit{Action: ActionTrace}, func(d *Document) {
		d.Traced, d.Pattern = t, t.Pattern
	})
}

// MarkPrinted notes that a version was exported.
func (s *Session) MarkPrinted(version int) { s.printed = version }

// ErrNoSuchEdge and ErrNoSuchPiece tell that an ID is not in the pattern.
var (
	ErrNoSuchEdge  = errors.New("no such edge")
	ErrNoSuchPiece = errors.New("no such piece")
)

// SetCut gives an edge a cut. It refuses what pattern.Cut.Validate refuses.
func (s *Session) SetCut(edgeID string, cut pattern.Cut) error {
	_, e := s.doc.edge(edgeID)
	if e == nil {
		return fmt.Errorf("edge %q: %w", edgeID, ErrNoSuchEdge)
	}
	if cut.Kind == pattern.Straight {
		cut.AngleDeg = 0
	}
	if err := cut.Validate(); err != nil {
		return fmt.Errorf("edge %s: %w", edgeID, err)
	}
	if e.Cut == cut {
		return nil
	}
	s.edit(Edit{ActionCut, edgeID}, func(d *Document) {
		_, e := d.edge(edgeID)
		e.Cut = cut
	})
	return nil
}

// SetThickness gives a piece its material's thickness in mm.
func (s *Session) SetThickness(pieceID string, mm float64) error {
	return s.editPiece(ActionThickness, pieceID, func(p *pattern.Piece) bool {
		changed := p.ThicknessMM != mm
		p.ThicknessMM = mm
		return changed
	})
}

// SetThicknessOfAll gives every piece one thickness in mm as one edit.
func (s *Session) SetThicknessOfAll(mm float64) {
	s.edit(Edit{ActionThickness, ""}, func(d *Document) {
		for i := range d.Pattern.Pieces {
			d.Pattern.Pieces[i].ThicknessMM = mm
		}
	})
}

// SetName names a piece.
func (s *Session) SetName(pieceID, name string) error {
	name = strings.TrimSpace(name)
	return s.editPiece(ActionName, pieceID, func(p *pattern.Piece) bool {
		changed := p.Name != name
		p.Name = name
		return changed
	})
}

// SetQuantity says how many of a piece are cut, at least one.
func (s *Session) SetQuantity(pieceID string, n int) error {
	return s.editPiece(ActionQuantity, pieceID, func(p *pattern.Piece) bool {
		changed := p.Quantity != max(n, 1)
		p.Quantity = max(n, 1)
		return changed
	})
}

// editPiece changes one piece; a change that changes nothing is no step.
func (s *Session) editPiece(a Action, id string, change func(*pattern.Piece) bool) error {
	p := s.doc.piece(id)
	if p == nil {
		return fmt.Errorf("piece %q: %w", id, ErrNoSuchPiece)
	}
	if trial := *p; !change(&trial) {
		return nil
	}
	s.edit(Edit{a, id}, func(d *Document) { change(d.piece(id)) })
	return nil
}

// StartWithPitch sets the pitch without a step of undo, before there is work.
func (s *Session) StartWithPitch(mm float64) {
	s.doc.PitchMM = mm
	s.version++
}
