package pattern

import (
	"fmt"

	"flatwright/rectify/mat"
)

// usualTapeDeg is the bevel that a colour of tape is offered to mean where its
// edges have no cut yet.
const usualTapeDeg = 45

// tapes reports colours of tape that run along edges and mean nothing yet.
func (c *checker) tapes() {
	for _, t := range c.p.Tapes {
		edges := c.p.TapedEdges(t.ID)
		if t.Meant || len(edges) == 0 {
			continue
		}
		q, k, err := c.p.FindEdge(edges[0])
		if err != nil {
			continue
		}
		at, err := q.EdgePath(k).PointAtLength(q.EdgeLengthMM(k) / 2)
		if err != nil {
			at = q.nodeAt(q.Edges[k].First)
		}
		c.add(c.unsaid(t, edges, q.ID, at))
	}
}

func (c *checker) unsaid(t Tape, edges []string, piece string, at mat.Point) Finding {
	first, second := c.usualCuts(edges)
	along := "1 edge"
	if n := len(edges); n > 1 {
		along = fmt.Sprintf("%d edges", n)
	}
	return Finding{
		Kind: TapeUnsaid, Severity: Note, Piece: piece, Edge: edges[0], At: at,
		Text:  fmt.Sprintf("%s tape runs along %s and has no meaning yet. Say which cut it stands for.", begins(t.Name), along),
		Mend:  Mend{Kind: MeanTape, Tape: t.ID, Name: t.Name, Deg: first.SignedDeg()},
		Other: Mend{Kind: MeanTape, Tape: t.ID, Name: t.Name, Deg: second.SignedDeg()},
	}
}

// usualCuts are the cut that most of the edges have that are not cut straight,
// or the usual bevel where none is, and the other choice: straight.
func (c *checker) usualCuts(edges []string) (first, second Cut) {
	count := map[Cut]int{}
	first = CutOf(usualTapeDeg)
	for _, id := range edges {
		q, k, err := c.p.FindEdge(id)
		if err != nil {
			continue
		}
		cut := q.Edges[k].Cut
		if cut.Kind == Straight || cut.Varies {
			continue
		}
		if count[cut]++; count[cut] > count[first] {
			first = cut
		}
	}
	return first, Cut{Kind: Straight}
}

// tapeName is how many letters of a tape's name a button has room for.
const tapeName = 12

// tapeLabel is Mend.Label for the meaning of a tape.
func (m Mend) tapeLabel() string {
	name := begins(shortened(m.Name, tapeName))
	switch {
	case m.Deg > 0:
		return fmt.Sprintf("%s means bevel %g°", name, m.Deg)
	case m.Deg < 0:
		return fmt.Sprintf("%s means undercut %g°", name, -m.Deg)
	}
	return fmt.Sprintf("%s means straight", name)
}
