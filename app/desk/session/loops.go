package session

import (
	"iter"

	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// loops goes round the outline of a piece and its openings, numbered as
// pattern.Piece.Loop numbers them.
func loops(p pattern.Piece) iter.Seq2[int, curve.Path] {
	return func(yield func(int, curve.Path) bool) {
		if !yield(pattern.Outer, p.Outline) {
			return
		}
		for k, o := range p.Openings {
			if !yield(k, o) {
				return
			}
		}
	}
}
