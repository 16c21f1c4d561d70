package session

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// SnapKind is what a dragged point was drawn to.
type SnapKind uint8

// The kinds of snapping, the strongest first.
const (
	SnapNone SnapKind = iota
	SnapNode
	SnapMark
	// SnapMiddle is the middle of an edge.
	SnapMiddle
	SnapEdge
	SnapGuide
)

// Snapped is where a dragged point goes.
type Snapped struct {
	At   mat.Point
	Kind SnapKind
	// Of is the edge that a middle or a mark belongs to, where that is known.
	Of string
	// Guides lead from the points that the place is level with or plumb with.
	Guides []mat.Point
}

// Snap returns the place next to a point of the mat that a drag in a space goes
// to, at most reachMM off: a node or mark first, then an edge of another piece,
// then where it is level or plumb with a node of the selected piece. The nodes
// that are dragged do not count, nor do pieces that the space does not show.
func (s *Session) Snap(in Space, at mat.Point, reachMM float64) Snapped {
	seen := s.seenIn(in)
	if x, ok := s.snapPoint(seen, at, reachMM); ok {
		return x
	}
	if x, ok := s.snapEdge(seen, at, reachMM); ok {
		return x
	}
	return s.snapGuide(in, at, reachMM)
}

// seenIn returns the pieces that a space shows.
func (s *Session) seenIn(in Space) []pattern.Piece {
	return slices.DeleteFunc(slices.Clone(s.doc.Pattern.Pieces), func(p pattern.Piece) bool { return !s.seesPiece(in, p.ID) })
}

// seesPiece reports whether a space shows a piece: the flat view shows all.
func (s *Session) seesPiece(in Space, pieceID string) bool {
	return in == OnMat || s.doc.shown(pieceID)
}

// snapPoint looks for nodes and marks.
func (s *Session) snapPoint(seen []pattern.Piece, at mat.Point, reachMM float64) (Snapped, bool) {
	best, found := Snapped{At: at}, false
	try := func(q mat.Point, k SnapKind) {
		if d := math.Hypot(q.X-at.X, q.Y-at.Y); d <= reachMM {
			best, reachMM, found = Snapped{At: q, Kind: k}, d, true
		}
	}
	for _, p := range seen {
		for loop, path := range loops(p) {
			for i, g := range path.Segments {
				if !s.nodeSelected(p.ID, loop, i) {
					try(g.P0, SnapNode)
				}
			}
		}
		for _, m := range p.Marks {
			if p.ID != s.pieceID {
				try(m.At, SnapMark)
			}
		}
	}
	return best, found
}

// snapEdge looks for the outlines of other pieces and for pen lines.
func (s *Session) snapEdge(seen []pattern.Piece, at mat.Point, reachMM float64) (Snapped, bool) {
	best, found := Snapped{At: at}, false
	for _, p := range seen {
		if b := p.Outline.Bounds(); b.DistanceMM(at) > reachMM {
			continue
		}
		if p.ID != s.pieceID {
			if q, err := p.Outline.Nearest(at); err == nil && q.DistanceMM <= reachMM {
				best, reachMM, found = Snapped{At: q.At, Kind: SnapEdge}, q.DistanceMM, true
			}
		}
		for _, l := range p.Lines {
			if q, err := l.Path.Nearest(at); err == nil && q.DistanceMM <= reachMM {
				best, reachMM, found = Snapped{At: q.At, Kind: SnapEdge}, q.DistanceMM, true
			}
		}
	}
	return best, found
}

// snapGuide makes a point level and plumb with nodes of the selected piece.
func (s *Session) snapGuide(in Space, at mat.Point, reachMM float64) Snapped {
	p, ok := s.SelectedPiece()
	if !ok || !s.seesPiece(in, p.ID) {
		return Snapped{At: at}
	}
	var with []mat.Point
	for i, g := range p.Outline.Segments {
		if !s.nodeSelected(p.ID, pattern.Outer, i) {
			with = append(with, g.P0)
		}
	}
	return levelWith(at, with, reachMM)
}

// levelWith makes a point level and plumb with the nearest of others that are so
// within half of the reach.
func levelWith(at mat.Point, with []mat.Point, reachMM float64) Snapped {
	out := Snapped{At: at}
	nearX, nearY := reachMM/2, reachMM/2
	var level, plumb *mat.Point
	for _, q := range with {
		if d := math.Abs(q.X - at.X); d <= nearX {
			plumb, nearX = &q, d
		}
		if d := math.Abs(q.Y - at.Y); d <= nearY {
			level, nearY = &q, d
		}
	}
	if plumb != nil {
		out.At.X, out.Kind, out.Guides = plumb.X, SnapGuide, append(out.Guides, *plumb)
	}
	if level != nil {
		out.At.Y, out.Kind, out.Guides = level.Y, SnapGuide, append(out.Guides, *level)
	}
	return out
}

func distanceMM(p, q mat.Point) float64 { return math.Hypot(q.X-p.X, q.Y-p.Y) }
