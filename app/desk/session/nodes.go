package session

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"

	"flatwright/app/desk/view"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
	"flatwright/trace/reshape"
)

// Errors of reshaping, each with what to do.
var (
	ErrNoPiece  = errors.New("no piece is chosen: click one first")
	ErrNoNodes  = errors.New("no node is chosen: click one, or press Tab")
	ErrTwoNodes = errors.New("a stretch lies between two nodes: choose both with Shift, or choose an edge")
)

// nodePick is which nodes of a piece are selected.
type nodePick struct {
	piece string
	loop  int
	nodes []int
	// kept are those that stay selected while the keyboard goes on.
	kept []int
	// mark is the selected mark, from 1; 0 for none.
	mark int
	// line is the line inside the piece of which a node is selected, from 1, and
	// end the node; 0 for none.
	line, end int
	// count is how many there were of what is selected: nodes of the loop, marks,
	// or nodes of the lines inside.
	count int
}

// countIn is how many there are in a piece of what is selected. Where it changes
// the numbers mean others.
func (n nodePick) countIn(p pattern.Piece) int {
	switch {
	case n.mark > 0:
		return len(p.Marks)
	case n.line > 0:
		// A line more or less is told from a node more or less.
		const line = 1 << 20
		total := 0
		for _, l := range p.Lines {
			total += line + len(l.Nodes())
		}
		return total
	}
	return nodeCount(p, n.loop)
}

// chooseNodes selects nodes. What is moved next is a step of its own when it is
// something else.
func (s *Session) chooseNodes(p pattern.Piece, n nodePick) {
	n.count = n.countIn(p)
	if !reflect.DeepEqual(n, s.nodes) {
		s.EndGesture()
	}
	s.nodes = n
}

func nodeCount(p pattern.Piece, loop int) int {
	path, err := p.Loop(loop)
	if err != nil {
		return 0
	}
	return len(path.Segments)
}

// SelectNode selects a node of the selected piece; with more set it goes into
// the selection or out of it.
func (s *Session) SelectNode(loop, node int, more bool) {
	p, ok := s.SelectedPiece()
	if !ok || node < 0 || node >= nodeCount(p, loop) {
		s.ClearNodes()
		return
	}
	if n := s.nodes; !more || n.piece != p.ID || n.loop != loop || n.mark > 0 || n.line > 0 {
		s.chooseNodes(p, nodePick{piece: p.ID, loop: loop, nodes: []int{node}})
		return
	}
	nodes := slices.Clone(s.nodes.nodes)
	if i := slices.Index(nodes, node); i >= 0 {
		nodes = slices.Delete(nodes, i, i+1)
	} else {
		nodes = append(nodes, node)
	}
	n := s.nodes
	n.nodes = nodes
	s.chooseNodes(p, n)
}

// SelectNodesIn selects the nodes of the selected piece within a rectangle, of
// the loop that has most of them there.
func (s *Session) SelectNodesIn(in Space, r view.Rect) {
	by := map[int][]int{}
	best := pattern.Outer
	for _, g := range s.Grips() {
		at := g.In(in)
		if g.Kind != GripNode || len(at) == 0 || !r.Contains(at[0]) {
			continue
		}
		by[g.Loop] = append(by[g.Loop], g.Node)
		if len(by[g.Loop]) > len(by[best]) {
			best = g.Loop
		}
	}
	s.ClearNodes()
	for _, k := range by[best] {
		s.SelectNode(best, k, true)
	}
}

// StepNode selects the next node of the selected piece, or the one before: round
// its outline, then its openings, its registration marks and the lines inside.
func (s *Session) StepNode(by int) {
	p, ok := s.SelectedPiece()
	if !ok {
		return
	}
	all, at := s.stops(p), -1
	for i, x := range all {
		if s.isAt(x) {
			at = i
		}
	}
	if len(all) == 0 {
		return
	}
	next := 0
	if at >= 0 {
		next = wrap(at, by, len(all))
	}
	s.stopAt(all[next])
}

// stops are the grips that the keyboard goes round.
func (s *Session) stops(p pattern.Piece) []Grip {
	var out []Grip
	for loop, path := range loops(p) {
		for k := range path.Segments {
			out = append(out, Grip{Kind: GripNode, Loop: loop, Node: k})
		}
	}
	for k := range p.Marks {
		out = append(out, Grip{Kind: GripMark, Node: k})
	}
	for i, l := range p.Lines {
		for k := range l.Nodes() {
			out = append(out, Grip{Kind: GripLine, Loop: i, Node: k})
		}
	}
	return out
}

// isAt reports whether a stop is what was selected last.
func (s *Session) isAt(x Grip) bool {
	n := s.nodes
	switch {
	case n.piece != s.pieceID:
		return false
	case x.Kind == GripMark:
		return n.mark == x.Node+1
	case x.Kind == GripLine:
		return n.line == x.Loop+1 && n.end == x.Node
	}
	return n.loop == x.Loop && len(n.nodes) > 0 && n.nodes[len(n.nodes)-1] == x.Node
}

// stopAt selects a stop; nodes of the same loop that are kept stay selected.
func (s *Session) stopAt(x Grip) {
	switch x.Kind {
	case GripMark:
		s.SelectMark(x.Node)
		return
	case GripLine:
		s.SelectLineNode(x.Loop, x.Node)
		return
	}
	kept := s.nodes.kept
	if x.Loop != s.nodes.loop {
		kept = nil
	}
	s.SelectNode(x.Loop, x.Node, false)
	s.nodes.kept = kept
	for _, k := range kept {
		if k != x.Node {
			s.nodes.nodes = append([]int{k}, s.nodes.nodes...)
		}
	}
}

// KeepNode keeps the last selected node while the keyboard goes on.
func (s *Session) KeepNode() {
	if n := len(s.nodes.nodes); n > 0 {
		s.nodes.kept = append(slices.Clone(s.nodes.kept), s.nodes.nodes[n-1])
	}
}

// HandleOf returns a handle of the last selected node; false where there is
// none.
func (s *Session) HandleOf(kind GripKind) (Grip, bool) {
	loop, nodes := s.SelectedNodes()
	for _, g := range s.Grips() {
		if len(nodes) > 0 && g.Kind == kind && g.Loop == loop && g.Node == nodes[len(nodes)-1] {
			return g, true
		}
	}
	return Grip{}, false
}

// SelectedNodes returns the selected nodes and their loop; none when no piece
// is being reshaped.
func (s *Session) SelectedNodes() (loop int, nodes []int) {
	if s.nodes.piece != s.pieceID {
		return pattern.Outer, nil
	}
	return s.nodes.loop, s.nodes.nodes
}

// reshapedLoop returns the selected nodes, their loop by number, and its path.
func (s *Session) reshapedLoop() (loop int, nodes []int, path curve.Path, err error) {
	p, ok := s.SelectedPiece()
	loop, nodes = s.SelectedNodes()
	if !ok || len(nodes) == 0 {
		return loop, nodes, path, ErrNoNodes
	}
	path, err = p.Loop(loop)
	return loop, nodes, path, err
}

// ClearNodes selects no node.
func (s *Session) ClearNodes() { s.chooseNodes(pattern.Piece{}, nodePick{}) }

// reshaped makes an edit of the selected piece that nothing else is touched by.
func (s *Session) reshaped(a Action, change func(p *pattern.Piece) error) error {
	id := s.pieceID
	if s.doc.piece(id) == nil {
		return ErrNoPiece
	}
	return s.onPattern(Edit{a, id}, func(t *pattern.Pattern) error {
		p, err := t.Piece(id)
		if err != nil {
			return err
		}
		return change(p)
	})
}

// drag is reshaped as part of a gesture, worked out from the piece as it was
// when the gesture began.
func (s *Session) drag(a Action, base pattern.Piece, change func(p *pattern.Piece) error) error {
	next := base
	next.Edges = slices.Clone(base.Edges)
	if err := change(&next); err != nil {
		return err
	}
	if s.doc.piece(base.ID) == nil {
		return ErrNoPiece
	}
	s.gesture(Edit{a, base.ID}, func(d *Document) { *d.piece(base.ID) = next })
	return nil
}

// DragNodes moves the selected nodes by d mm from where they were in base, as
// part of a drag that EndGesture ends.
func (s *Session) DragNodes(base pattern.Piece, d mat.Point) error {
	loop, nodes := s.SelectedNodes()
	if len(nodes) == 0 {
		return ErrNoNodes
	}
	return s.drag(ActionMoveNode, base, func(p *pattern.Piece) error { return p.MoveNodes(loop, d, nodes...) })
}

// DragHandle moves a handle to a place, as DragNodes. Free lets it turn by
// itself.
func (s *Session) DragHandle(base pattern.Piece, g Grip, to mat.Point, free bool) error {
	return s.drag(ActionMoveHandle, base, func(p *pattern.Piece) error {
		return p.MoveHandle(g.Loop, g.Node, g.Kind == GripAfter, to, free)
	})
}

// NudgeNodes moves the selected nodes by d mm; a run of nudges is one step.
func (s *Session) NudgeNodes(d mat.Point) error {
	p, ok := s.SelectedPiece()
	if !ok {
		return ErrNoPiece
	}
	return s.DragNodes(p, d)
}

// AddNode adds a node to the selected piece where one of its outlines is
// nearest to a point, and selects it.
func (s *Session) AddNode(near mat.Point) error {
	p, ok := s.SelectedPiece()
	if !ok {
		return ErrNoPiece
	}
	loop, at, err := nearestLoop(p, near)
	if line, offMM := nearestLine(p, near); line >= 0 && (err != nil || offMM < at.DistanceMM) {
		return s.addLineNode(line, near)
	}
	if err != nil {
		return err
	}
	node := 0
	err = s.reshaped(ActionAddNode, func(p *pattern.Piece) (err error) {
		node, err = p.AddNode(loop, at.Position)
		return err
	})
	if err == nil {
		s.SelectNode(loop, node, false)
	}
	return err
}

// nearestLoop returns the place of a piece's outlines nearest to a point.
func nearestLoop(p pattern.Piece, near mat.Point) (loop int, best curve.Place, err error) {
	best.DistanceMM = math.Inf(1)
	for k, path := range loops(p) {
		at, err := path.Nearest(near)
		if err == nil && at.DistanceMM < best.DistanceMM {
			loop, best = k, at
		}
	}
	if math.IsInf(best.DistanceMM, 1) {
		return 0, best, fmt.Errorf("piece %s has no outline", p.ID)
	}
	return loop, best, nil
}

// AddNodeBetween adds a node in the middle of the stretch after the last
// selected node; at the end of a line inside, of the one before it.
func (s *Session) AddNodeBetween() error {
	if line, node, chosen := s.SelectedLineNode(); chosen {
		p, _ := s.SelectedPiece()
		segments := p.Lines[line].Path.Segments
		return s.addLineNode(line, segments[min(node, len(segments)-1)].Eval(0.5))
	}
	_, nodes, path, err := s.reshapedLoop()
	if err != nil {
		return err
	}
	return s.AddNode(path.Segments[nodes[len(nodes)-1]].Eval(0.5))
}

// RemoveNodes takes the selected nodes out. It fails, changing nothing, at a
// node at which two edges meet.
func (s *Session) RemoveNodes() error {
	loop, nodes := s.SelectedNodes()
	if len(nodes) == 0 {
		return ErrNoNodes
	}
	from := slices.Sorted(slices.Values(nodes))
	slices.Reverse(from)
	return s.reshaped(ActionRemoveNode, func(p *pattern.Piece) error {
		for _, k := range from {
			if err := p.RemoveNode(loop, k); err != nil {
				return err
			}
		}
		return nil
	})
}

// ToggleNodes makes the selected nodes smooth, or corners when they are smooth
// all.
func (s *Session) ToggleNodes() error {
	loop, nodes, path, err := s.reshapedLoop()
	if err != nil {
		return err
	}
	smooth := !slices.ContainsFunc(nodes, func(k int) bool { return !reshape.IsSmooth(path, k) })
	if smooth {
		return s.reshaped(ActionCornerNode, func(p *pattern.Piece) error { return eachNode(nodes, loop, p.CornerNode) })
	}
	return s.reshaped(ActionSmoothNode, func(p *pattern.Piece) error { return eachNode(nodes, loop, p.SmoothNode) })
}

func eachNode(nodes []int, loop int, do func(loop, node int) error) error {
	for _, k := range nodes {
		if err := do(loop, k); err != nil {
			return err
		}
	}
	return nil
}
