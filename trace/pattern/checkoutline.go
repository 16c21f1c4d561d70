package pattern

import (
	"fmt"
	"slices"

	"flatwright/rectify/mat"
)

// outline looks for what a tracing leaves in an outline that no knife should
// follow: spikes, and edges too short to be cut.
func (c *checker) outline(p *Piece) {
	var spiky []string
	if on(c.limits.SpikeMM) {
		spiky = c.spikes(p)
	}
	if on(c.limits.SliverMM) {
		c.slivers(p, spiky)
	}
}

// spikes reports spikes and returns the edges that go with them.
func (c *checker) spikes(p *Piece) (edges []string) {
	for _, s := range p.spikes(c.limits.SpikeMM) {
		t, err := p.trim(s.trim)
		if err != nil || !t.small() || c.p.anySeam(t.gone) {
			continue
		}
		c.add(Finding{
			Kind: OutlineFault, Severity: Note, Piece: p.ID, At: s.tip, AmountMM: s.longMM,
			Text: fmt.Sprintf("The outline of piece %s runs out and back in a spike %.1f mm long and no wider than %d mm. Without it %s%s.",
				p.ID, s.longMM, spikeWideMM, t.words(), marksGo(t.marks)),
			Mend: Mend{Kind: DropSpike, Piece: p.ID, At: s.tip},
		})
		edges = append(edges, t.gone...)
	}
	return edges
}

// anySeam tells whether one of the edges is in a seam.
func (p *Pattern) anySeam(edges []string) bool {
	for _, id := range edges {
		if _, taken := p.SeamOf(id); taken {
			return true
		}
	}
	return false
}

func marksGo(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "; the registration mark on it goes too"
	}
	return fmt.Sprintf("; the %d registration marks on it go too", n)
}

// slivers reports edges too short to be cut, but for those of spikes.
func (c *checker) slivers(p *Piece, spiky []string) {
	const fewest = 4
	for k, e := range p.Edges {
		long := p.EdgeLengthMM(k)
		if _, taken := c.p.SeamOf(e.ID); long >= c.limits.SliverMM || taken || len(p.Edges) < fewest || slices.Contains(spiky, e.ID) {
			continue
		}
		t, err := p.trim(p.sliver(k))
		if err != nil || !t.small() {
			continue
		}
		c.add(Finding{
			Kind: OutlineFault, Severity: Note, Piece: p.ID, Edge: e.ID, At: p.nodeAt(e.First), AmountMM: long,
			Text: fmt.Sprintf("Edge %s is only %.1f mm long, a sliver that no knife follows. Without it %s%s.", e.ID, long, t.words(), marksGo(t.marks)),
			Mend: Mend{Kind: DropSliver, Piece: p.ID, Edge: e.ID},
		})
	}
}

// loopFault says of an outline that crosses itself how large the loop is, and
// offers to cut it off while it can be a fault of the tracing.
func (p *Piece) loopFault() (text string, lengthMM float64, m Mend) {
	x, ok := p.loop()
	if !ok {
		return "", 0, Mend{}
	}
	t, err := p.trim(x)
	if err != nil {
		return "", 0, Mend{}
	}
	if !t.small() {
		return fmt.Sprintf("The loop is %.1f mm round and %.1f %% of the piece, too much for a fault of the tracing. Trace the piece again, or leave it out.",
			t.lengthMM, 100*max(-t.areaPart, t.areaPart)), t.lengthMM, Mend{}
	}
	return fmt.Sprintf("The loop is %.1f mm round. Without it %s%s.", t.lengthMM, t.words(), marksGo(t.marks)),
		t.lengthMM, Mend{Kind: CutLoop, Piece: p.ID}
}

// cleaned makes the mends of an outline; false for another one.
func (p *Pattern) cleaned(m Mend) (done bool, err error) {
	switch m.Kind {
	case CutLoop, DropSpike, DropSliver, FindEdges:
	default:
		return false, nil
	}
	q, err := p.Piece(m.Piece)
	if err != nil {
		return true, err
	}
	if m.Kind == FindEdges {
		return true, p.findEdges(q)
	}
	x, err := q.trimOf(m)
	if err != nil {
		return true, err
	}
	t, err := q.trim(x)
	if err != nil {
		return true, err
	}
	return true, p.take(t)
}

// trimOf returns what a mend takes off an outline.
func (p *Piece) trimOf(m Mend) (trim, error) {
	switch m.Kind {
	case CutLoop:
		if x, ok := p.loop(); ok {
			return x, nil
		}
		return trim{}, fmt.Errorf("the outline of piece %s does not cross itself", p.ID)
	case DropSliver:
		if k := p.edgeIndex(m.Edge); k >= 0 && len(p.Edges) > 1 {
			return p.sliver(k), nil
		}
		return trim{}, fmt.Errorf("piece %s has no edge %q to take out", p.ID, m.Edge)
	}
	for _, s := range p.spikes(0) {
		if gap(s.tip, m.At) < tapeEndMM {
			return s.trim, nil
		}
	}
	return trim{}, fmt.Errorf("the outline of piece %s has no spike at (%.1f, %.1f) mm", p.ID, m.At.X, m.At.Y)
}

// findEdges divides a piece's outline at its corners anew.
func (p *Pattern) findEdges(q *Piece) error {
	fresh := q.Translate(mat.Point{})
	if err := EdgesFromCorners(&fresh); err != nil {
		return err
	}
	var gone []string
	for _, e := range q.Edges {
		if fresh.edgeIndex(e.ID) < 0 {
			gone = append(gone, e.ID)
		}
	}
	*q = fresh
	p.dropEdges(gone)
	return nil
}

// cleanLabel is Mend.Label for the mends of an outline.
func (m Mend) cleanLabel() string {
	switch m.Kind {
	case CutLoop:
		return fmt.Sprintf("Cut the loop of piece %s off", m.Piece)
	case DropSpike:
		return fmt.Sprintf("Cut the spike of piece %s off", m.Piece)
	case DropSliver:
		return fmt.Sprintf("Take edge %s out", m.Edge)
	case FindEdges:
		return fmt.Sprintf("Find the edges of %s again", m.Piece)
	}
	return m.repairLabel()
}
