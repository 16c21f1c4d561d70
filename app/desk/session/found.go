package session

import (
	"math"
	"slices"

	"flatwright/trace/pattern"
)

// shotShowing is the photograph that shows the place of a finding: that of the
// piece it names, or else of the piece of its seam, or of any, whose outline is
// nearest to the place.
func (d *Document) shotShowing(f Finding) int {
	if f.PieceID != "" {
		return d.shotOf(f.PieceID)
	}
	of, nearMM := "", math.Inf(1)
	for _, p := range d.Pattern.Pieces {
		if f.SeamID != "" && !d.inSeam(p, f.SeamID) {
			continue
		}
		if at, err := p.Outline.Nearest(f.At); err == nil && at.DistanceMM < nearMM {
			of, nearMM = p.ID, at.DistanceMM
		}
	}
	return d.shotOf(of)
}

// inSeam reports whether a seam joins an edge of a piece.
func (d *Document) inSeam(p pattern.Piece, seamID string) bool {
	own := func(r pattern.EdgeRef) bool {
		return slices.ContainsFunc(p.Edges, func(e pattern.Edge) bool { return e.ID == r.Edge })
	}
	return slices.ContainsFunc(d.Pattern.Seams, func(m pattern.Seam) bool {
		return m.ID == seamID && (slices.ContainsFunc(m.A, own) || slices.ContainsFunc(m.B, own))
	})
}

// Shows reports whether the photograph looked at shows the place of a finding.
func (s *Session) Shows(f Finding) bool { return f.Shot == s.doc.Active }
