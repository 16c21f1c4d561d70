package session

import (
	"slices"

	"flatwright/app/desk/view"
)

// Pick is a selected piece, and the edge of it that was meant where one was.
type Pick struct{ Piece, Edge string }

// Picks returns everything selected, what was selected first at the head.
func (s *Session) Picks() []Pick {
	if s.pieceID == "" {
		return nil
	}
	now := Pick{s.pieceID, s.edgeID}
	out := slices.DeleteFunc(slices.Clone(s.kept), func(x Pick) bool { return x == now })
	return append(append(out, now), s.also...)
}

// KeepPick keeps what is selected while the keyboard goes on to the next: both
// are selected then. What is kept already is let go.
func (s *Session) KeepPick() {
	if s.pieceID == "" {
		return
	}
	now := Pick{s.pieceID, s.edgeID}
	if i := slices.Index(s.kept, now); i >= 0 {
		s.kept = slices.Delete(slices.Clone(s.kept), i, i+1)
		return
	}
	s.kept = append(slices.Clone(s.kept), now)
}

// SelectedPieces returns the IDs of all selected pieces, each once.
func (s *Session) SelectedPieces() []string {
	var out []string
	for _, x := range s.Picks() {
		if !slices.Contains(out, x.Piece) {
			out = append(out, x.Piece)
		}
	}
	return out
}

// IsPicked reports whether a piece, or an edge when its ID is not empty, is
// selected.
func (s *Session) IsPicked(x Pick) bool { return slices.Contains(s.Picks(), x) }

// TogglePick takes a piece or an edge into the selection, or out of it.
func (s *Session) TogglePick(x Pick) {
	if s.doc.piece(x.Piece) == nil {
		return
	}
	all := s.Picks()
	if i := slices.Index(all, x); i >= 0 {
		all = slices.Delete(all, i, i+1)
	} else {
		all = append(all, x)
	}
	s.pick(all)
}

// pick selects all of these.
func (s *Session) pick(all []Pick) {
	s.pieceID, s.edgeID, s.line, s.also, s.kept = "", "", 0, nil, nil
	if len(all) > 0 {
		s.pieceID, s.edgeID, s.also = all[0].Piece, all[0].Edge, slices.Clone(all[1:])
	}
}

// SelectPieces selects pieces; further ones when more is set.
func (s *Session) SelectPieces(ids []string, more bool) {
	var all []Pick
	if more {
		all = s.Picks()
	}
	for _, id := range ids {
		if x := (Pick{Piece: id}); s.doc.piece(id) != nil && !slices.Contains(all, x) {
			all = append(all, x)
		}
	}
	s.pick(all)
}

// SelectAll selects every piece.
func (s *Session) SelectAll() {
	var all []Pick
	for _, p := range s.doc.Pattern.Pieces {
		all = append(all, Pick{Piece: p.ID})
	}
	s.pick(all)
}

// keepPicks drops what is not in the pattern any more.
func (s *Session) keepPicks() {
	gone := func(x Pick) bool {
		if _, e := s.doc.edge(x.Edge); e == nil && x.Edge != "" {
			return true
		}
		return s.doc.piece(x.Piece) == nil
	}
	s.also = slices.DeleteFunc(slices.Clone(s.also), gone)
	s.kept = slices.DeleteFunc(slices.Clone(s.kept), gone)
	if s.pieceID == "" && len(s.also) > 0 {
		s.pick(s.also)
	}
	if p := s.doc.piece(s.nodes.piece); p == nil || s.nodes.count != s.nodes.countIn(*p) {
		s.nodes = nodePick{}
	}
}

// PiecesIn returns the IDs of the pieces whose outline lies all within a
// rectangle of a space.
func (s *Shapes) PiecesIn(in Space, r view.Rect) []string {
	var out []string
	for _, p := range s.Pieces {
		b := view.Bounds(p.Outline.In(in))
		if !b.Empty() && b.Min.X >= r.Min.X && b.Min.Y >= r.Min.Y && b.Max.X <= r.Max.X && b.Max.Y <= r.Max.Y {
			out = append(out, p.ID)
		}
	}
	return out
}
