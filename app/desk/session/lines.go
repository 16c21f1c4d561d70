package session

import (
	"errors"
	"fmt"
	"math"

	"flatwright/app/desk/view"
	"flatwright/trace/pattern"
)

// ErrNoLine tells that no line inside a piece is selected.
var ErrNoLine = errors.New("no line inside a piece is chosen")

// SelectLine selects a line inside a piece, by its number from 0.
func (s *Session) SelectLine(pieceID string, line int) {
	s.SelectPiece(pieceID)
	if p := s.doc.piece(pieceID); p != nil && line >= 0 && line < len(p.Lines) {
		s.line = line + 1
	}
}

// SelectedLine returns the selected line and its piece; false for none.
func (s *Session) SelectedLine() (pattern.Piece, pattern.InsideLine, bool) {
	p := s.doc.piece(s.pieceID)
	if p == nil || s.edgeID != "" || s.line < 1 || s.line > len(p.Lines) {
		return pattern.Piece{}, pattern.InsideLine{}, false
	}
	return *p, p.Lines[s.line-1], true
}

// LineNumber is the selected line's number in its piece, from 0; -1 for none.
func (s *Session) LineNumber() int {
	if _, _, ok := s.SelectedLine(); !ok {
		return -1
	}
	return s.line - 1
}

// SetLineWork says what is done along the selected line. Refused are a depth
// outside of the sheet, a bend that no groove gives, and a gap that the slit
// cannot be opened to.
func (s *Session) SetLineWork(w pattern.LineWork) error {
	p, l, ok := s.SelectedLine()
	switch {
	case !ok:
		return ErrNoLine
	case l.Work == w:
		return nil
	}
	if err := checkWork(w, p.ThicknessMM); err != nil {
		return err
	}
	line := s.line - 1
	return s.onPattern(Edit{ActionLineWork, p.ID}, func(t *pattern.Pattern) error {
		q, err := t.Piece(p.ID)
		if err != nil {
			return err
		}
		// Copies of the document share their lines.
		q.Lines = append([]pattern.InsideLine(nil), q.Lines...)
		q.Lines[line].Work = w
		return nil
	})
}

func checkWork(w pattern.LineWork, thicknessMM float64) error {
	if w.Kind == pattern.Drawn {
		return nil
	}
	if !(w.DepthMM > 0 && w.DepthMM < thicknessMM) {
		return fmt.Errorf("a cut %.1f mm deep does not stay within a sheet of %.1f mm: choose less", w.DepthMM, thicknessMM)
	}
	var err error
	switch w.Kind {
	case pattern.Groove:
		_, err = pattern.GrooveFor(w.BendDeg, thicknessMM, thicknessMM-w.DepthMM)
	case pattern.Slit:
		_, err = pattern.SlitBendDeg(w.GapMM, w.DepthMM)
	}
	return err
}

// LineAt returns the line inside a piece nearest to a position, at most reach
// away in the space's own unit: its piece and number; false for none.
func (s *Shapes) LineAt(in Space, at view.Point, reach float64) (pieceID string, line int, ok bool) {
	best := math.Inf(1)
	for _, p := range s.Pieces {
		for i, l := range p.Lines {
			if d := distance(l.In(in), at); d <= reach && d < best {
				pieceID, line, best, ok = p.ID, i, d, true
			}
		}
	}
	return pieceID, line, ok
}
