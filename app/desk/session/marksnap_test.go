package session_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// marked is the practice pattern with edge A1 paired with C1, of which C1 has a
// mark, and piece A chosen.
func marked(t *testing.T) (*session.Session, pattern.Piece) {
	t.Helper()
	s := traced(t)
	if _, err := s.Pair("A1", "C1"); err != nil {
		t.Fatal(err)
	}
	s.SelectPiece("C")
	c, _ := s.SelectedPiece()
	m, err := c.MarkAt(0, 11, 6)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.AddMark(m.At); err != nil {
		t.Fatal(err)
	}
	s.SelectPiece("A")
	p, _ := s.SelectedPiece()
	return s, p
}

// A dragged mark goes to where its mate's would meet it, to nodes, to the middle
// of its edge, and level or plumb with others, each within reach and not beyond.
func TestDraggedMarksSnap(t *testing.T) {
	s, p := marked(t)
	all := s.Document().Pattern
	facing, err := all.FacingMarks("A")
	if err != nil || len(facing) != 1 {
		t.Fatalf("%d marks face A, %v", len(facing), err)
	}
	half, err := p.MarkAt(0, p.EdgeLengthMM(0)/2, 6)
	if err != nil {
		t.Fatal(err)
	}
	targets := s.MarkTargets(0)
	node := p.Outline.Segments[0].P0
	for _, c := range []struct {
		name string
		near mat.Point
		want mat.Point
		kind session.SnapKind
		of   string
	}{
		{"the mate's mark", facing[0].At, facing[0].At, session.SnapMark, "C1"},
		{"the middle", half.At, half.At, session.SnapMiddle, "A1"},
		{"a node", node, node, session.SnapNode, ""},
	} {
		for _, off := range []mat.Point{{X: 0.9}, {X: -0.9, Y: 0.5}, {Y: -30}} {
			to := mat.Point{X: c.near.X + off.X, Y: c.near.Y + off.Y}
			got, err := s.DragMark(p, 0, to, targets, 1)
			if err != nil || got.Kind != c.kind || got.Of != c.of || math.Hypot(got.At.X-c.want.X, got.At.Y-c.want.Y) > 1e-9 {
				t.Errorf("%s: dragged to %v it went to %+v, %v", c.name, to, got, err)
			}
			now, _ := s.SelectedPiece()
			if d := math.Hypot(now.Marks[0].At.X-c.want.X, now.Marks[0].At.Y-c.want.Y); d > 1e-6 {
				t.Errorf("%s: the mark lies %.6f mm from it", c.name, d)
			}
			s.EndGesture()
		}
		if got, err := s.DragMark(p, 0, mat.Point{X: c.near.X + 1.5, Y: c.near.Y}, targets, 1); err != nil || got.Kind == c.kind {
			t.Errorf("%s: beyond reach it went to %+v, %v", c.name, got, err)
		}
	}
}

// Where a mark is level or plumb with a node or another mark it is so exactly,
// on the outline, and lies no further off than half the reach.
func TestDraggedMarksSnapLevelAndPlumb(t *testing.T) {
	s, p := marked(t)
	targets := s.MarkTargets(0)
	const reach = 2.0
	across, err := p.Outline.Nearest(mat.Point{X: 30, Y: p.Marks[1].At.Y})
	if err != nil {
		t.Fatal(err)
	}
	level := p.Outline.LengthTo(across.Position)
	anywhere := rapid.OneOf(rapid.Float64Range(0, p.Outline.Length()), rapid.Float64Range(level-reach, level+reach))
	guided := 0
	rapid.Check(t, func(r *rapid.T) {
		at, err := p.Outline.PositionAt(anywhere.Draw(r, "along"))
		if err != nil {
			r.Fatal(err)
		}
		to := p.Outline.Eval(at)
		got, err := s.DragMark(p, 0, to, targets, reach)
		if err != nil {
			r.Fatal(err)
		}
		d := math.Hypot(got.At.X-to.X, got.At.Y-to.Y)
		if on, err := p.Outline.Nearest(got.At); err != nil || on.DistanceMM > 1e-3 || d > reach+1e-9 {
			r.Errorf("it went to %+v, %.4f mm off the outline", got, on.DistanceMM)
		}
		if got.Kind != session.SnapGuide {
			return
		}
		guided++
		g := got.Guides[0]
		if off := math.Min(math.Abs(g.X-got.At.X), math.Abs(g.Y-got.At.Y)); off > 1e-3 || d > reach/2 {
			r.Errorf("%v is neither level nor plumb with %v, or %.2f mm away", got.At, g, d)
		}
	})
	if guided == 0 {
		t.Error("no mark was level or plumb with another")
	}
}

// On a strap 4 mm wide a mark stays on its side, whatever lies across from it;
// round the end it goes where the way along the outline is short.
func TestDraggedMarksStayOnTheirSide(t *testing.T) {
	s := session.New()
	strap := pattern.Piece{ID: "A", Quantity: 1, Outline: curve.Polygon(
		mat.Point{X: 20, Y: 50}, mat.Point{X: 220, Y: 50}, mat.Point{X: 220, Y: 54}, mat.Point{X: 103, Y: 54}, mat.Point{X: 20, Y: 54})}
	strap.Marks = []pattern.Mark{{At: mat.Point{X: 60, Y: 50}, In: mat.Point{X: 60, Y: 53}}}
	if err := pattern.EdgesFromCorners(&strap); err != nil {
		t.Fatal(err)
	}
	s.SetTraced(&trace.Traced{Pattern: pattern.Pattern{Pieces: []pattern.Piece{strap}}})
	s.SelectPiece("A")
	p, _ := s.SelectedPiece()
	targets := s.MarkTargets(0)
	const reach = 8.0
	for _, c := range []struct {
		name string
		to   mat.Point
		want mat.Point
		kind session.SnapKind
	}{
		{"across from a node", mat.Point{X: 103.5, Y: 49}, mat.Point{X: 103, Y: 50}, session.SnapGuide},
		{"across from nothing", mat.Point{X: 150, Y: 51}, mat.Point{X: 150, Y: 50}, session.SnapNone},
		{"the middle of its own side", mat.Point{X: 124, Y: 49}, mat.Point{X: 120, Y: 50}, session.SnapMiddle},
		{"a node of the other side, there", mat.Point{X: 100, Y: 55}, mat.Point{X: 103, Y: 54}, session.SnapNode},
		{"a corner of its end", mat.Point{X: 215, Y: 49}, mat.Point{X: 220, Y: 50}, session.SnapNode},
		{"round the first node", mat.Point{X: 18, Y: 51.6}, mat.Point{X: 20, Y: 52}, session.SnapMiddle},
	} {
		got, err := s.DragMark(p, 0, c.to, targets, reach)
		if err != nil || got.Kind != c.kind || math.Hypot(got.At.X-c.want.X, got.At.Y-c.want.Y) > 1e-6 {
			t.Errorf("%s: dragged to %v it went to %+v, %v", c.name, c.to, got, err)
		}
		s.EndGesture()
	}
}

// With the arrows a mark goes where it is sent.
func TestNudgedMarksDoNotSnap(t *testing.T) {
	s, p := marked(t)
	s.SelectMark(0)
	if err := s.NudgeMark(mat.Point{X: 0.1}); err != nil {
		t.Fatal(err)
	}
	now, _ := s.SelectedPiece()
	if d := now.Marks[0].At.X - p.Marks[0].At.X; math.Abs(d-0.1) > 1e-3 {
		t.Errorf("an arrow moved the mark by %.4f mm", d)
	}
}
