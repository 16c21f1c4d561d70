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
// to: the nearest target within reach along the outline, else where the outline
// is level or plumb with one within half of it, else the nearest place. What is
// close by across a narrow piece is far along its outline.
func markSnap(outline curve.Path, to mat.Point, targets []Snapped, reachMM float64) Snapped {
	on, err := outline.Nearest(to)
	if err != nil {
		return Snapped{At: to}
	}
	best, near := Snapped{At: on.At}, reachMM
	if reachMM <= 0 {
		return best
	}
	s := reachAround(outline, on.Position, reachMM+onItMM)
	for _, x := range targets {
		if mm, ok := s.alongMM(x.At); x.Kind != SnapGuide && ok && mm <= near {
			best, near = x, mm
		}
	}
	if best.Kind != SnapNone {
		return best
	}
	near = reachMM / 2
	for _, x := range targets {
		if _, close := s.alongMM(x.At); x.Kind != SnapGuide || close {
			continue
		}
		for _, across := range []mat.Point{{X: 1}, {Y: 1}} {
			at, ok := s.squareTo(on.At, x.At, across, near)
			if mm, within := s.alongMM(at); ok && within && mm <= near {
				best, near = Snapped{At: at, Kind: SnapGuide, Guides: []mat.Point{x.At}}, mm
			}
		}
	}
	return best
}

// reached is the stretch of an outline within reach of a place on it.
type reached struct {
	path curve.Path
	// placeMM is how far from its start the place lies.
	placeMM float64
}

// reachAround is the stretch within reach of a place, at most half the outline to
// either side.
func reachAround(outline curve.Path, at curve.Position, reachMM float64) reached {
	n := len(outline.Segments)
	if outline.Closed {
		reachMM = math.Min(reachMM, outline.Length()/2)
	}
	before, after := outline.Segments[at.Segment].Split(at.T)
	ahead, behind := []curve.Segment{after}, []curve.Segment{before.Reverse()}
	for k := 1; k < n; k++ {
		if i := at.Segment + k; i < n || outline.Closed {
			ahead = append(ahead, outline.Segments[i%n])
		}
		if i := at.Segment - k; i >= 0 || outline.Closed {
			behind = append(behind, outline.Segments[(i+n)%n].Reverse())
		}
	}
	if outline.Closed {
		ahead, behind = append(ahead, before), append(behind, after.Reverse())
	}
	back, on := beginning(behind, reachMM), beginning(ahead, reachMM)
	way := curve.Path{Segments: back}.Reverse()
	return reached{path: curve.Path{Segments: append(way.Segments, on...)}, placeMM: way.Length()}
}

// beginning returns the start of a run of segments, so long or as long as it is.
func beginning(run []curve.Segment, mm float64) (out []curve.Segment) {
	const least, toleranceMM = 1e-9, 1e-7
	lengthMM := 0.0
	for _, g := range run {
		l := g.Length(toleranceMM)
		if l < least {
			continue
		}
		if lengthMM+l <= mm {
			out, lengthMM = append(out, g), lengthMM+l
			continue
		}
		if at, err := (curve.Path{Segments: []curve.Segment{g}}).PositionAt(mm - lengthMM); err == nil && at.T > 0 {
			g, _ = g.Split(at.T)
			out = append(out, g)
		}
		break
	}
	return out
}

// onItMM is how far off an outline a point counts as one of it.
const onItMM = 0.01

// alongMM returns how far along the outline a point of it lies from the place;
// false when it is beyond reach.
func (s reached) alongMM(q mat.Point) (mm float64, ok bool) {
	on, err := s.path.Nearest(q)
	if err != nil || on.DistanceMM > onItMM {
		return 0, false
	}
	return math.Abs(s.path.LengthTo(on.Position) - s.placeMM), true
}

// squareToMM is how exactly a place is level or plumb with another.
const squareToMM = 1e-4

// squareTo returns the place within reach at which the outline is as far along a
// direction as a point: Newton's steps along the tangent. False where that lies
// more than nearMM further along than the place begun from, where the outline
// runs across the direction by less than 17 degrees, as one that is level all
// along with a point, or not at all.
func (s reached) squareTo(from, with, along mat.Point, nearMM float64) (mat.Point, bool) {
	const steps, least = 12, 0.3
	at := from
	if math.Abs((with.X-at.X)*along.X+(with.Y-at.Y)*along.Y) > nearMM {
		return at, false
	}
	for range steps {
		miss := (with.X-at.X)*along.X + (with.Y-at.Y)*along.Y
		on, err := s.path.Nearest(at)
		if err != nil {
			return at, false
		}
		t := s.path.Segments[on.Segment].Tangent(on.T)
		run := t.X*along.X + t.Y*along.Y
		if math.Abs(run) < least {
			return at, false
		}
		if math.Abs(miss) < squareToMM && on.DistanceMM < squareToMM {
			return on.At, true
		}
		miss = (with.X-on.At.X)*along.X + (with.Y-on.At.Y)*along.Y
		at = mat.Point{X: on.At.X + t.X*miss/run, Y: on.At.Y + t.Y*miss/run}
	}
	return at, false
}
