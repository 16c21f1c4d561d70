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
	photo *photo.Photo
	// only is the photograph of a document that has one.
	only    *photo.Photo
	doc     Document
	history history
	version int
	// work is the version of what shapes and lines are made from: everything
	// but the corners.
	work int
	// asPrinted is what was last exported, nil for nothing: undo may lead back to
	// it.
	asPrinted *Document
	// worked tells of edits of the maker's that the history does not reach.
	worked  bool
	edgeID  string
	pieceID string
	// line is the number of the selected line inside the piece, from 1; 0 for
	// none.
	line int
	// also are further selected pieces and edges.
	also []Pick
	// kept are those that stay selected while the keyboard goes on.
	kept []Pick
	// nodes are those that are selected of the piece being reshaped.
	nodes     nodePick
	grips     gripCache
	deviation deviationCache
	// dismissed are pairs of edges that the maker said are no mates.
	dismissed map[[2]string]bool
	shapes    cache[*Shapes]
	lines     cache[[]FoundLine]
	face      cache[lens.Mapping]
	sure      [2]cache[*Field]
	needles   [2]needleCache
	hull      cache[Track]
	plus      cache[float64]
	allFound  cache[[]Finding]
	found     cache[[]Finding]
	mates     cache[[]pattern.Proposal]
	points    cache[[]pattern.Point]
	made      map[string]made
	isPrinted cache[bool]
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
func New() *Session { return &Session{version: 1, work: 1} }

// Photo returns the photograph; nil before one has been opened.
func (s *Session) Photo() *photo.Photo { return s.photo }

// Document returns the present state; its content must not be written to.
func (s *Session) Document() Document { return s.doc }

// Version changes whenever the document does.
func (s *Session) Version() int { return s.version }

// SetPhoto begins anew with a photograph; what was said of the mat
// and of the paper stays, the history goes.
func (s *Session) SetPhoto(p *photo.Photo) {
	stay := forAnotherPhoto(s.doc.Settings)
	*s = Session{photo: p, only: p, version: s.version + 1, work: s.work + 1, doc: Document{Work: Work{Settings: stay}, Print: s.doc.Print.ForAnother()}}
}

// forAnotherPhoto is what stays of the settings for another photograph: the
// camera stood elsewhere, and across may be down.
func forAnotherPhoto(x Settings) Settings {
	x.Raised.CameraHeightMM = 0
	x.Across, x.Down = rectify.Span{}, rectify.Span{}
	if x.ScaleFrom == ByRule {
		x.ScaleFrom = AsPrinted
	}
	return x
}

// replace makes a document the present one and drops a selection that is gone.
func (s *Session) replace(d Document) {
	lines := s.doc.lineCount(s.pieceID)
	s.doc = d
	if s.doc.lineCount(s.pieceID) != lines {
		// The numbers mean other lines now.
		s.line = 0
	}
	if s.photo = s.only; d.Active < len(d.Shots) {
		s.photo = d.Shots[d.Active].Photo
	}
	s.version++
	s.work++
	if _, e := s.doc.edge(s.edgeID); e == nil {
		s.edgeID = ""
	}
	if s.doc.piece(s.pieceID) == nil {
		s.pieceID = ""
	}
	s.keepPicks()
}

// View returns the map between the pieces' upper face and the photograph;
// false before squaring up. For pieces that lie in the mat's plane it is
// MatView.
func (s *Session) View() (lens.Mapping, bool) {
	v := s.face.of(s.work, func() lens.Mapping { return s.doc.viewOf(s.doc.Squared) })
	return v, v != nil
}

// MatView returns the map between the mat and the photograph; false before
// squaring up.
func (s *Session) MatView() (lens.Mapping, bool) {
	if s.doc.Squared == nil || s.doc.Squared.Fit == nil {
		return nil, false
	}
	return s.doc.Squared.Fit, true
}

// viewOf returns the map of the pieces' upper face; nil when there is none.
func viewOf(q *rectify.Squared) lens.Mapping {
	if q == nil || q.Fit == nil {
		return nil
	}
	if m, ok := q.Upper(); ok {
		return m
	}
	return q.Fit
}

// Solution is a photograph squared up, and traced when Traced is not nil.
// Without it the old pattern comes along when Along is set, else it goes.
type Solution struct {
	Squared *rectify.Squared
	Traced  *trace.Traced
	Along   bool
	// By and With are the way and the settings it was worked out with, Options
	// what these came to.
	By      Means
	With    Settings
	Options rectify.Options
}

// SetSquared takes in a photograph squared up from its lines with the present
// settings; see Take.
func (s *Session) SetSquared(q *rectify.Squared) {
	s.Take(Solution{Squared: q, With: s.doc.Settings})
}

// Take takes a solution in as one step of undo, together with the setting that
// it follows from. What was said of the old pieces is carried over to the new
// ones.
func (s *Session) Take(x Solution) Carried {
	var kept Carried
	next := s.doc.clone()
	switch old, _ := s.View(); {
	case x.Traced != nil:
		next, kept = next.retraced(x.Traced, old, x.Squared)
		kept.Repaired = s.repaired()
	case x.Along:
		next, kept.Along = next.along(x.Squared)
		if !kept.Along {
			next = next.withoutOwn()
		}
	default:
		next = next.withoutOwn()
	}
	next.layClear()
	e := Edit{Action: ActionSquareUp}
	if last := s.NextUndo(); s.history.open && s.doc.Settings == x.With && last.Action.ofSettings() {
		e = last
	} else {
		s.EndGesture()
	}
	s.do(e, func(d *Document) {
		d.Squared, d.SolvedBy, d.Solved, d.SolvedWith = x.Squared, x.By, x.With, x.Options
		d.takeTraced(next)
	})
	s.work = s.version
	return kept
}

// SetTraced takes a traced pattern in; what was said of the old pieces is
// carried over to the new ones.
func (s *Session) SetTraced(t *trace.Traced) Carried {
	v, _ := s.View()
	next, kept := s.doc.clone().retraced(t, v, s.doc.Squared)
	next.layClear()
	kept.Repaired = s.repaired()
	s.edit(Edit{Action: ActionTrace}, func(d *Document) { d.takeTraced(next) })
	return kept
}

// takeTraced takes what was made of what another document's photograph shows, where
// it lies, and what of it was seen.
func (d *Document) takeTraced(from Document) {
	d.Traced, d.Pattern, d.From, d.Place = from.Traced, from.Pattern, from.From, from.Place
	d.Measured, d.Seen = from.Measured, from.Seen
}

// repaired reports whether outlines, marks or lines were repaired by hand since
// they were traced.
func (s *Session) repaired() bool {
	for i := len(s.history.undo) - 1; i >= 0; i-- {
		switch a := s.history.undo[i].edit.Action; {
		case a == ActionTrace || a == ActionAddPhoto:
			return false
		case a >= ActionLeaveOut && a <= ActionComplete && a != ActionMirrorCopy,
			a >= ActionMoveMark && a <= ActionRemoveMark, a >= ActionAddLine && a <= ActionRemoveLine:
			return true
		}
	}
	return false
}

// MarkPrinted notes that a version was exported, which is forgotten when it is not
// the present one.
func (s *Session) MarkPrinted(version int) {
	s.asPrinted, s.isPrinted = nil, cache[bool]{}
	if version == s.version {
		now := s.doc
		s.asPrinted = &now
	}
}

// ErrNoSuchEdge and ErrNoSuchPiece tell that an ID is not in the pattern.
var (
	ErrNoSuchEdge  = errors.New("no such edge")
	ErrNoSuchPiece = errors.New("no such piece")
)

// ErrNothingSure tells that no pair of edges is sure enough to be joined
// without being looked at.
var ErrNothingSure = errors.New("no two edges are sure to be mates: pair them by hand, or mark them before the form is cut")

// ErrNotSquaredUp tells that a photograph has to be squared up first.
var ErrNotSquaredUp = errors.New("the photograph is not squared up yet: square it up first")

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
