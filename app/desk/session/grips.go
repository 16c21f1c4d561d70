package session

import (
	"fmt"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
	"flatwright/trace/reshape"
)

// GripKind tells nodes and the handles before and after them.
type GripKind uint8

// The kinds of grips.
const (
	GripNode GripKind = iota
	GripBefore
	GripAfter
	// GripMark is a registration mark; Node counts the marks.
	GripMark
	// GripLine is a node of a line inside the piece; Loop counts the lines.
	GripLine
)

// Grip is a thing of the selected piece's outlines that can be dragged.
type Grip struct {
	Track
	Kind GripKind
	// Loop is the outline (pattern.Outer) or an opening; Node counts its nodes.
	Loop, Node int
	At         mat.Point
	Corner     bool
	Selected   bool
}

type gripCache struct {
	version int
	piece   string
	pick    string
	grips   []Grip
}

// Grips returns the nodes of the selected piece, and the handles of those that
// are selected and of their neighbours' facing sides.
func (s *Session) Grips() []Grip {
	p, ok := s.SelectedPiece()
	if !ok {
		return nil
	}
	key := fmt.Sprint(s.nodes)
	if c := s.grips; c.version == s.version && c.piece == p.ID && c.pick == key {
		return c.grips
	}
	b := s.builderFor(p.ID)
	var out []Grip
	for loop, path := range loops(p) {
		out = append(out, s.gripsOf(b, p.ID, loop, path)...)
	}
	for k, m := range p.Marks {
		out = append(out, Grip{
			Track: b.track([]mat.Point{middleOf(m)}), Kind: GripMark, Loop: pattern.Outer, Node: k, At: m.At,
			Selected: s.nodes.piece == p.ID && s.nodes.mark == k+1,
		})
	}
	line, node, onLine := s.SelectedLineNode()
	for i, l := range p.Lines {
		for k, q := range l.Nodes() {
			out = append(out, Grip{Track: b.track([]mat.Point{q}), Kind: GripLine, Loop: i, Node: k, At: q, Selected: onLine && i == line && k == node})
		}
	}
	s.grips = gripCache{s.version, p.ID, key, out}
	return out
}

// LastGrip returns the node, mark or node of a line that was selected last; false
// for none.
func (s *Session) LastGrip() (Grip, bool) {
	_, nodes := s.SelectedNodes()
	for _, g := range s.Grips() {
		if g.Selected && (g.Kind != GripNode || g.Node == nodes[len(nodes)-1]) {
			return g, true
		}
	}
	return Grip{}, false
}

// middleOf is where a mark is taken hold of: at its end it would hide nodes.
func middleOf(m pattern.Mark) mat.Point {
	return mat.Point{X: (m.At.X + m.In.X) / 2, Y: (m.At.Y + m.In.Y) / 2}
}

// builderFor is the builder of a piece's shapes.
func (s *Session) builderFor(pieceID string) builder {
	b := builder{toleranceMM: flattenToleranceMM}
	if s.doc.shown(pieceID) {
		b.view, _ = s.View()
	}
	return b
}

func (s *Session) gripsOf(b builder, pieceID string, loop int, path curve.Path) []Grip {
	n := len(path.Segments)
	var out []Grip
	put := func(kind GripKind, node int, at mat.Point, selected bool) {
		out = append(out, Grip{
			Track: b.track([]mat.Point{at}), Kind: kind, Loop: loop, Node: node, At: at,
			Corner: !reshape.IsSmooth(path, node), Selected: selected,
		})
	}
	for i, seg := range path.Segments {
		chosen := s.nodeSelected(pieceID, loop, i)
		if !seg.Line && (chosen || s.nodeSelected(pieceID, loop, (i+1)%n)) {
			put(GripAfter, i, seg.P1, false)
			put(GripBefore, (i+1)%n, seg.P2, false)
		}
	}
	for i, seg := range path.Segments {
		put(GripNode, i, seg.P0, s.nodeSelected(pieceID, loop, i))
	}
	return out
}

func (s *Session) nodeSelected(piece string, loop, node int) bool {
	return s.nodes.piece == piece && s.nodes.loop == loop && slices.Contains(s.nodes.nodes, node)
}
