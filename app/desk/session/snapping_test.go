package session_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// offMM is how far a place lies off the nearest node, mark or line of what a
// drag can snap to in a piece, by kind.
func offMM(p pattern.Piece, kind session.SnapKind, at mat.Point) float64 {
	off := math.Inf(1)
	try := func(q mat.Point) { off = math.Min(off, math.Hypot(q.X-at.X, q.Y-at.Y)) }
	switch kind {
	case session.SnapNode:
		for loop := pattern.Outer; loop < len(p.Openings); loop++ {
			path, _ := p.Loop(loop)
			for _, g := range path.Segments {
				try(g.P0)
			}
		}
	case session.SnapMark:
		for _, m := range p.Marks {
			try(m.At)
		}
	case session.SnapEdge:
		if q, err := p.Outline.Nearest(at); err == nil {
			try(q.At)
		}
		for _, l := range p.Lines {
			if q, err := l.Path.Nearest(at); err == nil {
				try(q.At)
			}
		}
	}
	return off
}

// In the photograph of one of several a drag snaps to what that photograph shows
// and to nothing else, whatever lies at the same place of the pattern. The flat
// view shows all.
func TestADragSnapsToWhatIsSeen(t *testing.T) {
	s := two(t)
	all := s.Document().Pattern.Pieces
	rapid.Check(t, func(t *rapid.T) {
		s.LookAt(rapid.IntRange(0, 1).Draw(t, "photograph"))
		s.SelectPiece(all[rapid.IntRange(0, len(all)-1).Draw(t, "selected")].ID)
		// Beside something that a drag could snap to.
		p := all[rapid.IntRange(0, len(all)-1).Draw(t, "piece")]
		path, _ := p.Loop(rapid.IntRange(pattern.Outer, len(p.Openings)-1).Draw(t, "loop"))
		g := path.Segments[rapid.IntRange(0, len(path.Segments)-1).Draw(t, "segment")]
		at := g.Eval(rapid.SampledFrom([]float64{0, 0.5, 0.8}).Draw(t, "along"))
		at.X, at.Y = at.X+rapid.Float64Range(-3, 3).Draw(t, "x"), at.Y+rapid.Float64Range(-3, 3).Draw(t, "y")
		x := s.Snap(session.InPhoto, at, 2)
		if x.Kind == session.SnapNone {
			return
		}
		if selected, _ := s.SelectedPiece(); x.Kind == session.SnapGuide {
			if !s.Shown(selected.ID) {
				t.Fatalf("%v is level with piece %s, which is not seen", at, selected.ID)
			}
			return
		}
		off := math.Inf(1)
		for _, p := range all {
			if s.Shown(p.ID) {
				off = math.Min(off, offMM(p, x.Kind, x.At))
			}
		}
		if off > 1e-6 {
			t.Fatalf("%v snaps to %+v, %g mm off all that is seen of that kind", at, x, off)
		}
	})
}

// What another photograph shows is snapped to in the flat view only: its nodes,
// its marks and its edges.
func TestTheFlatViewSnapsToAll(t *testing.T) {
	s := two(t) // the second photograph, of E to H, is looked at
	s.SelectPiece("A")
	first, _ := s.SelectedPiece()
	if err := s.AddMark(first.Outline.Segments[1].Eval(0.4)); err != nil {
		t.Fatal(err)
	}
	a, _ := s.SelectedPiece()
	s.SelectPiece("E")
	for kind, at := range map[session.SnapKind]mat.Point{
		session.SnapNode: a.Outline.Segments[0].P0,
		session.SnapMark: a.Marks[len(a.Marks)-1].At,
		session.SnapEdge: a.Outline.Segments[1].Eval(0.75),
	} {
		near := mat.Point{X: at.X + 0.2, Y: at.Y + 0.3}
		if x := s.Snap(session.OnMat, near, 1); x.Kind != kind {
			t.Errorf("in the flat view %v snaps to %+v, not to kind %d", near, x, kind)
		}
		if x := s.Snap(session.InPhoto, near, 1); x.Kind != session.SnapNone && x.Kind != session.SnapGuide {
			t.Errorf("in the second photograph %v snaps to %+v of the first", near, x)
		}
		s.LookAt(0)
		if x := s.Snap(session.InPhoto, near, 1); x.Kind != kind {
			t.Errorf("in the first photograph %v snaps to %+v, not to kind %d", near, x, kind)
		}
		s.LookAt(1)
	}
	// Nor is a line drawn in a photograph drawn to a piece that lies elsewhere.
	s.SelectPiece("A")
	near := mat.Point{X: a.Outline.Segments[0].P0.X + 0.3, Y: a.Outline.Segments[0].P0.Y}
	if x := s.SnapLine(session.InPhoto, near, nil, 1); x.Kind != session.SnapNone {
		t.Errorf("a line in the second photograph snaps to %+v of the first", x)
	}
	if x := s.SnapLine(session.OnMat, near, nil, 1); x.Kind != session.SnapNode {
		t.Errorf("a line in the flat view snaps to %+v", x)
	}
}
