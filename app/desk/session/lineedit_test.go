package session_test

import (
	"errors"
	"math"
	"testing"

	"flatwright/app/desk/session"
	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Lines inside a piece are drawn, their nodes dragged and nudged, and taken away,
// each as one step of undo.
func TestLinesInsideByHand(t *testing.T) {
	s := traced(t)
	s.SelectPiece("A")
	was, _ := s.SelectedPiece()
	lines := func() int { p, _ := s.SelectedPiece(); return len(p.Lines) }
	if err := s.AddLine(mat.Point{X: 40, Y: 50}, mat.Point{X: 120, Y: 50}); err != nil {
		t.Fatal(err)
	}
	if s.LineNumber() != 1 || lines() != 2 || s.NextUndo() != (session.Edit{Action: session.ActionAddLine, Target: "A"}) {
		t.Fatalf("line %d of %d, undo of %v", s.LineNumber(), lines(), s.NextUndo())
	}
	s.SelectLineNode(1, 1)
	base, _ := s.SelectedPiece()
	for _, x := range []float64{100, 90, 80} {
		if _, err := s.DragLineNode(base, 1, 1, mat.Point{X: x, Y: 70}, 0); err != nil {
			t.Fatal(err)
		}
	}
	s.EndGesture()
	for range 3 {
		if err := s.NudgeLineNode(mat.Point{Y: 1}); err != nil {
			t.Fatal(err)
		}
	}
	end := func() mat.Point { p, _ := s.SelectedPiece(); return p.Lines[1].Nodes()[1] }
	if end() != (mat.Point{X: 80, Y: 73}) {
		t.Errorf("the end lies at %v", end())
	}
	s.Undo()
	if end() != (mat.Point{X: 80, Y: 70}) {
		t.Errorf("after undo of the nudges the end lies at %v", end())
	}
	if s.Undo(); end() != (mat.Point{X: 120, Y: 50}) {
		t.Errorf("after undo of the drag the end lies at %v", end())
	}
	s.SelectLine("A", 1)
	if err := s.RemoveLine(); err != nil || lines() != 1 {
		t.Errorf("%d lines are left, %v", lines(), err)
	}
	if err := s.RemoveLine(); !errors.Is(err, session.ErrNoLine) {
		t.Errorf("none is chosen: %v", err)
	}
	s.Undo()
	s.Undo()
	if now, _ := s.SelectedPiece(); len(now.Lines) != len(was.Lines) {
		t.Error("undone to the end, there are other lines")
	}
}

// An end goes to nodes, marks and the outline of its piece, and is level or plumb
// with the other end.
func TestLineEndsSnap(t *testing.T) {
	s := traced(t)
	s.SelectPiece("A")
	p, _ := s.SelectedPiece()
	node, mark := p.Outline.Segments[0].P0, p.Marks[0].At
	for _, c := range []struct {
		name string
		at   mat.Point
		want mat.Point
		kind session.SnapKind
	}{
		{"a node", mat.Point{X: node.X + 1, Y: node.Y + 1}, node, session.SnapNode},
		{"a mark", mat.Point{X: mark.X + 1, Y: mark.Y + 1}, mark, session.SnapMark},
		{"level", mat.Point{X: 90, Y: 60.5}, mat.Point{X: 90, Y: 60}, session.SnapGuide},
		{"free", mat.Point{X: 90, Y: 63}, mat.Point{X: 90, Y: 63}, session.SnapNone},
	} {
		got := s.SnapLine(session.OnMat, c.at, []mat.Point{{X: 50, Y: 60}}, 2)
		if got.Kind != c.kind || math.Hypot(got.At.X-c.want.X, got.At.Y-c.want.Y) > 1e-9 {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	edge := s.SnapLine(session.OnMat, mat.Point{X: 60, Y: node.Y + 1.2}, nil, 2)
	if on, err := p.Outline.Nearest(edge.At); err != nil || edge.Kind != session.SnapEdge || on.DistanceMM > 1e-6 {
		t.Errorf("the outline: %+v", edge)
	}
}

// The keyboard goes round the nodes of the outline, those of openings, the marks
// and the ends of lines, and back.
func TestTheKeyboardReachesEveryGrip(t *testing.T) {
	s := traced(t)
	for _, p := range s.Document().Pattern.Pieces {
		s.SelectPiece(p.ID)
		s.ClearNodes()
		n := len(p.Outline.Segments) + len(p.Marks)
		for _, o := range p.Openings {
			n += len(o.Segments)
		}
		for _, l := range p.Lines {
			n += len(l.Nodes())
		}
		seen := map[[3]int]bool{}
		order := make([][3]int, 0, n)
		for range n {
			s.StepNode(1)
			order = append(order, chosen(t, s))
			seen[order[len(order)-1]] = true
		}
		if len(seen) != n {
			t.Errorf("piece %s: %d of %d were reached", p.ID, len(seen), n)
		}
		if s.StepNode(1); chosen(t, s) != order[0] {
			t.Errorf("piece %s: it does not begin anew", p.ID)
		}
		for k := range n {
			if s.StepNode(-1); chosen(t, s) != order[n-1-k] {
				t.Fatalf("piece %s: backwards is another way", p.ID)
			}
		}
	}
}

// chosen is the one selected grip: its kind, loop and number.
func chosen(t *testing.T, s *session.Session) [3]int {
	t.Helper()
	var out [][3]int
	for _, g := range s.Grips() {
		if g.Selected {
			out = append(out, [3]int{int(g.Kind), g.Loop, g.Node})
		}
	}
	if len(out) != 1 {
		t.Fatalf("%d grips are selected", len(out))
	}
	return out[0]
}

// What is nudged after another grip was chosen is a step of its own; nudges of
// the same one are one step, and so are those around choosing it again.
func TestAnotherGripIsAnotherStep(t *testing.T) {
	type grip struct {
		name   string
		choose func(s *session.Session, k int)
		nudge  func(s *session.Session) error
		at     func(p pattern.Piece, k int) mat.Point
	}
	down := mat.Point{Y: 1}
	for _, g := range []grip{
		{
			"nodes",
			func(s *session.Session, k int) { s.SelectNode(pattern.Outer, k, false) },
			func(s *session.Session) error { return s.NudgeNodes(down) },
			func(p pattern.Piece, k int) mat.Point { return p.Outline.Segments[k].P0 },
		},
		{
			"line nodes",
			func(s *session.Session, k int) { s.SelectLineNode(0, k) },
			func(s *session.Session) error { return s.NudgeLineNode(down) },
			func(p pattern.Piece, k int) mat.Point { return p.Lines[0].Nodes()[k] },
		},
		{
			"marks",
			func(s *session.Session, k int) { s.SelectMark(k) },
			func(s *session.Session) error { return s.NudgeMark(mat.Point{X: 1, Y: 1}) },
			func(p pattern.Piece, k int) mat.Point { return p.Marks[k].At },
		},
	} {
		s := traced(t)
		s.SelectPiece("A")
		was, _ := s.SelectedPiece()
		for _, k := range []int{0, 0, 1, 1} {
			g.choose(s, k)
			if err := g.nudge(s); err != nil {
				t.Fatal(err)
			}
		}
		moved, _ := s.SelectedPiece()
		s.Undo()
		now, _ := s.SelectedPiece()
		if g.at(now, 0) != g.at(moved, 0) || g.at(now, 1) != g.at(was, 1) {
			t.Errorf("%s: one undo leaves %v and %v", g.name, g.at(now, 0), g.at(now, 1))
		}
		s.Undo()
		if now, _ := s.SelectedPiece(); g.at(now, 0) != g.at(was, 0) || s.NextUndo().Action != session.ActionTrace {
			t.Errorf("%s: two undos leave %v", g.name, g.at(now, 0))
		}
		// Two chosen together are another step than one.
		if g.name == "nodes" {
			g.choose(s, 0)
			_ = g.nudge(s)
			s.SelectNode(pattern.Outer, 1, true)
			_ = g.nudge(s)
			s.Undo()
			if now, _ := s.SelectedPiece(); g.at(now, 0).Y != g.at(was, 0).Y+1 || g.at(now, 1) != g.at(was, 1) {
				t.Errorf("together: one undo leaves %v and %v", g.at(now, 0), g.at(now, 1))
			}
		}
	}
}

// Undo and redo, which change what the numbers of lines and marks mean, leave
// none of them chosen.
func TestUndoLetsGoOfNumbersThatMeanOthers(t *testing.T) {
	s := traced(t)
	s.SelectPiece("A")
	if err := s.AddLine(mat.Point{X: 40, Y: 50}, mat.Point{X: 120, Y: 50}); err != nil {
		t.Fatal(err)
	}
	s.SelectLineNode(0, 1)
	if err := s.RemoveLine(); err != nil {
		t.Fatal(err)
	}
	s.SelectLineNode(0, 1)
	for _, step := range []func() (session.Edit, bool){s.Undo, s.Redo, s.Undo, s.Undo} {
		step()
		if _, _, ok := s.SelectedLineNode(); ok || s.LineNumber() >= 0 {
			t.Errorf("line %d stays chosen", s.LineNumber())
		}
		s.SelectLineNode(0, 1)
	}
	if err := s.AddNode(mat.Point{X: 80, Y: 70}); err != nil {
		t.Fatal(err)
	}
	s.SelectLineNode(0, 1)
	if s.Undo(); len(s.Grips()) == 0 {
		t.Fatal("no grips")
	}
	if _, node, ok := s.SelectedLineNode(); ok {
		t.Errorf("node %d, which is another, stays chosen", node)
	}
	s.SelectMark(0)
	if err := s.RemoveMark(); err != nil {
		t.Fatal(err)
	}
	s.SelectMark(0)
	s.Undo()
	if k, ok := s.SelectedMark(); ok {
		t.Errorf("mark %d, which is another, stays chosen", k)
	}
}
