package session

import (
	"fmt"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// onPattern makes an edit of the whole pattern. The edit works on a copy; one
// that fails leaves no step behind.
func (s *Session) onPattern(e Edit, change func(*pattern.Pattern) error) error {
	trial := s.doc.clone()
	if err := change(&trial.Pattern); err != nil {
		return err
	}
	s.edit(e, func(d *Document) { d.Pattern = trial.Pattern })
	return nil
}

// Pair joins two edges in a seam and returns its name. Which way round they
// meet follows from the faces that their pieces show.
func (s *Session) Pair(edgeID, mateID string) (string, error) {
	a, _ := s.doc.edge(edgeID)
	b, _ := s.doc.edge(mateID)
	if a == nil || b == nil {
		return "", fmt.Errorf("pair %s with %s: %w", edgeID, mateID, ErrNoSuchEdge)
	}
	runA, runB := pattern.Facing(edgeID, mateID)
	runB[0].Reversed = a.Face == b.Face
	var id string
	err := s.onPattern(Edit{ActionPair, edgeID}, func(p *pattern.Pattern) (err error) {
		id, err = p.Pair(runA, runB)
		return err
	})
	return id, err
}

// Accept joins a proposal's edges.
func (s *Session) Accept(m pattern.Proposal) error {
	return s.onPattern(Edit{ActionPair, m.A.String()}, func(p *pattern.Pattern) error {
		_, err := p.Accept(m)
		return err
	})
}

// AcceptSure joins the edges of all proposals that are sure, as one step, and
// returns how many.
func (s *Session) AcceptSure() (int, error) {
	n := 0
	err := s.onPattern(Edit{ActionPair, ""}, func(p *pattern.Pattern) error {
		for _, m := range s.Proposals() {
			if !m.Sure {
				continue
			}
			if _, err := p.Accept(m); err != nil {
				return err
			}
			n++
		}
		if n == 0 {
			return ErrNothingSure
		}
		return nil
	})
	return n, err
}

// Proposals returns pairs of edges that look like mates, the surest first. It
// is worked out once for every state of the document.
func (s *Session) Proposals() []pattern.Proposal {
	all := s.mates.of(s.work, func() []pattern.Proposal {
		return s.doc.Pattern.ProposeMates(pattern.MateOptions{})
	})
	if len(s.dismissed) == 0 {
		return all
	}
	var out []pattern.Proposal
	for _, m := range all {
		if !s.dismissed[pairOf(m)] {
			out = append(out, m)
		}
	}
	return out
}

// Dismiss takes a pair of edges off the proposals, until another photograph.
func (s *Session) Dismiss(m pattern.Proposal) {
	if s.dismissed == nil {
		s.dismissed = map[[2]string]bool{}
	}
	s.dismissed[pairOf(m)] = true
}

func pairOf(m pattern.Proposal) [2]string { return [2]string{m.A[0].Edge, m.B[0].Edge} }

// Unpair takes a seam apart.
func (s *Session) Unpair(seamID string) error {
	return s.onPattern(Edit{ActionUnpair, seamID}, func(p *pattern.Pattern) error { return p.Unpair(seamID) })
}

// SelectedSeam returns the seam that the selected edge is part of.
func (s *Session) SelectedSeam() (pattern.Seam, bool) {
	m, ok := s.doc.Pattern.SeamOf(s.edgeID)
	if !ok {
		return pattern.Seam{}, false
	}
	return *m, true
}

// SeamMates returns the edges of the selected edge's seam, itself left out.
func (s *Session) SeamMates() map[string]bool {
	m, ok := s.SelectedSeam()
	if !ok {
		return nil
	}
	out := map[string]bool{}
	for _, run := range []pattern.Run{m.A, m.B} {
		for _, r := range run {
			if r.Edge != s.edgeID {
				out[r.Edge] = true
			}
		}
	}
	return out
}

// Measure measures a seam.
func (s *Session) Measure(seamID string) (pattern.SeamMeasure, error) {
	return s.doc.Pattern.MeasureSeam(seamID)
}

// Joint returns the section of a seam at true thickness, each sheet armMM
// long.
func (s *Session) Joint(m pattern.Seam, armMM float64) (pattern.Joint, error) {
	a, ea := s.doc.edge(m.A[0].Edge)
	b, eb := s.doc.edge(m.B[0].Edge)
	if ea == nil || eb == nil {
		return pattern.Joint{}, fmt.Errorf("seam %s: %w", m.ID, ErrNoSuchEdge)
	}
	return pattern.JointOf(
		pattern.SheetEnd{Cut: ea.Cut, ThicknessMM: a.ThicknessMM},
		pattern.SheetEnd{Cut: eb.Cut, ThicknessMM: b.ThicknessMM}, m.WantDeg, armMM)
}

// TryJoint returns the section that a change of the pattern would give a seam;
// nothing is changed.
func (s *Session) TryJoint(seamID string, armMM float64, change func(*pattern.Pattern) error) (pattern.Joint, error) {
	trial := Session{doc: s.doc.clone()}
	if err := change(&trial.doc.Pattern); err != nil {
		return pattern.Joint{}, err
	}
	for _, m := range trial.doc.Pattern.Seams {
		if m.ID == seamID {
			return trial.Joint(m, armMM)
		}
	}
	return pattern.Joint{}, fmt.Errorf("there is no seam %q", seamID)
}

// ShareTurn bevels both sides of a seam for an interior angle.
func (s *Session) ShareTurn(seamID string, interiorDeg float64) error {
	return s.onPattern(Edit{ActionTurn, seamID}, func(p *pattern.Pattern) error { return p.ShareTurn(seamID, interiorDeg) })
}

// CopyMarks copies the marks without partner from one side of a seam to the
// other, and back.
func (s *Session) CopyMarks(seamID string, how pattern.Transfer) (int, error) {
	n := 0
	err := s.onPattern(Edit{ActionMarks, seamID}, func(p *pattern.Pattern) error {
		for _, fromB := range []bool{false, true} {
			k, err := p.TransferMarks(seamID, fromB, how)
			if err != nil {
				return err
			}
			n += k
		}
		return nil
	})
	return n, err
}

// SpreadMarks sets new marks along a seam.
func (s *Session) SpreadMarks(seamID string, how pattern.Spread) (int, error) {
	n := 0
	err := s.onPattern(Edit{ActionMarks, seamID}, func(p *pattern.Pattern) (err error) {
		n, err = p.SpreadMarks(seamID, how)
		return err
	})
	return n, err
}

// Mend makes the change that a finding offers.
func (s *Session) Mend(m pattern.Mend) error {
	return s.onPattern(Edit{ActionMend, m.Label()}, func(p *pattern.Pattern) error { return p.Apply(m) })
}

// BreakEdge divides an edge at a position on its piece's outline and selects
// the part after it.
func (s *Session) BreakEdge(pieceID string, at curve.Position) error {
	fresh := ""
	err := s.onPattern(Edit{ActionBreak, pieceID}, func(p *pattern.Pattern) (err error) {
		fresh, err = p.BreakAt(pieceID, at)
		return err
	})
	if err == nil {
		s.SelectEdge(fresh)
	}
	return err
}

// BreakEdgeAt divides an edge at the place of its outline nearest to a point.
func (s *Session) BreakEdgeAt(edgeID string, near mat.Point) error {
	q, e := s.doc.edge(edgeID)
	if e == nil {
		return fmt.Errorf("edge %q: %w", edgeID, ErrNoSuchEdge)
	}
	at, err := q.Outline.Nearest(near)
	if err != nil {
		return err
	}
	return s.BreakEdge(q.ID, at.Position)
}

// JoinNext makes one edge of the selected one and the one after it.
func (s *Session) JoinNext() error {
	q, e := s.doc.edge(s.edgeID)
	if e == nil {
		return ErrNoSuchEdge
	}
	next := ""
	for i := range q.Edges {
		if q.Edges[i].ID == e.ID {
			next = q.Edges[(i+1)%len(q.Edges)].ID
		}
	}
	return s.onPattern(Edit{ActionJoin, e.ID}, func(p *pattern.Pattern) error { return p.JoinEdges(s.edgeID, next) })
}

// SetFace says which face of the sheet a piece shows.
func (s *Session) SetFace(pieceID string, face pattern.Face) error {
	return s.editPiece(ActionFace, pieceID, func(p *pattern.Piece) bool {
		changed := p.Face != face
		p.Face = face
		return changed
	})
}

// SetMirrored says whether half of a piece's copies are cut turned over.
func (s *Session) SetMirrored(pieceID string, mirrored bool) error {
	return s.editPiece(ActionMirrored, pieceID, func(p *pattern.Piece) bool {
		changed := p.Mirrored != mirrored
		p.Mirrored = mirrored
		return changed
	})
}

// SetWords gives a piece its material and note.
func (s *Session) SetWords(pieceID, material, note string) error {
	material, note = strings.TrimSpace(material), strings.TrimSpace(note)
	return s.editPiece(ActionWords, pieceID, func(p *pattern.Piece) bool {
		changed := p.Material != material || p.Note != note
		p.Material, p.Note = material, note
		return changed
	})
}

// SetAllowance leaves a strip on along an edge; a width of 0 takes it away.
func (s *Session) SetAllowance(edgeID string, a pattern.Allowance) error {
	if !(a.WidthMM >= 0 && a.WidthMM <= mostAllowanceMM) {
		return fmt.Errorf("an allowance of %g mm is none: choose up to %d mm", a.WidthMM, mostAllowanceMM)
	}
	return s.onPattern(Edit{ActionAllowance, edgeID}, func(p *pattern.Pattern) error {
		q, k, err := p.FindEdge(edgeID)
		if err != nil {
			return err
		}
		q.Edges[k].Allowance = a
		_, err = q.Allowances()
		return err
	})
}

// mostAllowanceMM bounds allowances.
const mostAllowanceMM = 100

// ScalePattern makes the whole pattern larger or smaller.
func (s *Session) ScalePattern(factor float64) error {
	return s.onPattern(Edit{ActionScalePattern, ""}, func(p *pattern.Pattern) error { return p.Scale(factor) })
}

// SetLimits changes what the findings hold the pattern to.
func (s *Session) SetLimits(l pattern.Limits) {
	s.edit(Edit{ActionLimits, ""}, func(d *Document) { d.Pattern.Limits = l })
}

// JoinEdges makes one edge of two neighbours; the first one's name and cut
// stay.
func (s *Session) JoinEdges(keepID, otherID string) error {
	return s.onPattern(Edit{ActionJoin, keepID}, func(p *pattern.Pattern) error { return p.JoinEdges(keepID, otherID) })
}
