package project

import (
	"fmt"

	"flatwright/trace/pattern"
)

// What a project holds at most. Beyond, an addition is refused with a
// sentence; only the history is trimmed, at its oldest end.
const (
	// MaxPhotos bounds the photographs, and MaxPhotoBytes each one's file.
	MaxPhotos     = 200
	MaxPhotoBytes = 512 << 20
	// MaxPieces and MaxNodes bound the pattern: nodes are the ends of segments
	// of outlines, openings and inside lines.
	MaxPieces = 2000
	MaxNodes  = 500_000
	// MaxStateBytes bounds one state as it is written: pattern and work.
	MaxStateBytes = 64 << 20
	// MaxRevisions bounds the edits that undo reaches back over.
	MaxRevisions = 100_000
	// MaxSettings bounds the settings, and MaxSettingBytes each one, and those
	// of each photograph.
	MaxSettings     = 100
	MaxSettingBytes = 4 << 20
	// MaxNameRunes bounds the names of photographs and edits; longer ones are
	// cut off.
	MaxNameRunes = 200
)

// LimitError tells that something is more than a project can hold.
type LimitError struct {
	// What is what there is too much of, and Most how much there may be.
	What string
	Most int
	Got  int
}

// Error is a sentence.
func (e *LimitError) Error() string {
	return fmt.Sprintf("a project holds at most %d %s, and here are %d; divide the work over two projects", e.Most, e.What, e.Got)
}

// checkPattern holds a pattern to the limits.
func checkPattern(p pattern.Pattern) error {
	if n := len(p.Pieces); n > MaxPieces {
		return &LimitError{What: "pieces", Most: MaxPieces, Got: n}
	}
	nodes := 0
	for i := range p.Pieces {
		q := &p.Pieces[i]
		nodes += len(q.Outline.Segments)
		for _, o := range q.Openings {
			nodes += len(o.Segments)
		}
		for _, l := range q.Lines {
			nodes += len(l.Path.Segments)
		}
	}
	if nodes > MaxNodes {
		return &LimitError{What: "nodes", Most: MaxNodes, Got: nodes}
	}
	return nil
}
