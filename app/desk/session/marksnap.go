package session

import (
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// MarkTargets returns what a mark of the selected piece is drawn to while it is
// dragged: where the marks across its seams would meet it, the nodes of the
// outline and the middles of its edges. Those of kind SnapGuide are the nodes
// and further marks that it can be level or plumb with.
func (s *Session) MarkTargets(mark int) []Snapped {
	p, ok := s.SelectedPiece()
	if !ok {
		return nil
	}
	var out []Snapped
	facing, _ := s.doc.Pattern.FacingMarks(p.ID) // the piece is there
	for _, f := range facing {
		out = append(out, Snapped{At: f.At, Kind: SnapMark, Of: f.Edge})
	}
	for k := range p.Edges {
		if m, err := p.MarkAt(k, p.EdgeLengthMM(k)/2, pattern.MarkMM); err == nil {
			out = append(out, Snapped{At: m.At, Kind: SnapMiddle, Of: p.Edges[k].ID})
		}
	}
	for _, g := range p.Outline.Segments {
		out = append(out, Snapped{At: g.P0, Kind: SnapNode}, Snapped{At: g.P0, Kind: SnapGuide})
	}
	for k, m := range p.Marks {
		if k != mark {
			out = append(out, Snapped{At: m.At, Kind: SnapGuide})
		}
	}
	return out
}

// markSnap returns the place on an outline that a mark dragged to a point goes
// to: the nearest target within reach, else where the outline is level or plumb
// with one within half of it, else the nearest place.
func markSnap(outline curve.Path, to mat.Point, targets []Snapped, reachMM float64) Snapped {
	on, err := outline.Nearest(to)
	if err != nil {
		return Snapped{At: to}
	}
	best, near := Snapped{At: on.At}, reachMM
	for _, x := range targets {
		if d := math.Hypot(x.At.X-on.At.X, x.At.Y-on.At.Y); x.Kind != SnapGuide && d <= near {
			best, near = x, d
		}
	}
	if best.Kind != SnapNone || reachMM <= 0 {
		return best
	}
	near = reachMM / 2
	for _, x := range targets {
		if x.Kind != SnapGuide || math.Hypot(x.At.X-on.At.X, x.At.Y-on.At.Y) <= reachMM {
			continue
		}
		for _, across := range []mat.Point{{X: 1}, {Y: 1}} {
			if at, ok := squareTo(outline, on.At, x.At, across); ok && math.Hypot(at.X-on.At.X, at.Y-on.At.Y) <= near {
				near = math.Hypot(at.X-on.At.X, at.Y-on.At.Y)
				best = Snapped{At: at, Kind: SnapGuide, Guides: []mat.Point{x.At}}
			}
		}
	}
	return best
}

// squareToMM is how exactly a place is level or plumb with another.
const squareToMM = 1e-4

// squareTo returns the place on an outline near to another at which it is as far
// along a direction as a point: Newton's steps along the tangent. False where it
// runs across that direction by less than 17 degrees, or not at all.
func squareTo(outline curve.Path, from, with, along mat.Point) (mat.Point, bool) {
	const steps, least = 12, 0.3
	at := from
	for range steps {
		miss := (with.X-at.X)*along.X + (with.Y-at.Y)*along.Y
		on, err := outline.Nearest(at)
		if err != nil {
			return at, false
		}
		if math.Abs(miss) < squareToMM && on.DistanceMM < squareToMM {
			return on.At, true
		}
		t := outline.Segments[on.Segment].Tangent(on.T)
		run := t.X*along.X + t.Y*along.Y
		if math.Abs(run) < least {
			return at, false
		}
		miss = (with.X-on.At.X)*along.X + (with.Y-on.At.Y)*along.Y
		at = mat.Point{X: on.At.X + t.X*miss/run, Y: on.At.Y + t.Y*miss/run}
	}
	return at, false
}
