package session

import (
	"strings"

	"flatwright/trace/pattern"
)

// onTape is onPattern for an edit of one colour of tape, named by its word.
func (s *Session) onTape(id string, change func(*pattern.Pattern) error) error {
	name := id
	if t, err := s.doc.Pattern.Tape(id); err == nil {
		name = t.Name
	}
	return s.onPattern(Edit{ActionTape, name}, change)
}

// SetTapeMeaning gives every edge along a tape a cut.
func (s *Session) SetTapeMeaning(id string, c pattern.Cut) error {
	if c.Kind == pattern.Straight {
		c.AngleDeg = 0
	}
	if t, err := s.doc.Pattern.Tape(id); err == nil && t.Meant && t.Cut == c {
		return nil
	}
	return s.onTape(id, func(p *pattern.Pattern) error { return p.SetTapeMeaning(id, c) })
}

// ForgetTapeMeaning takes a tape's meaning back; the edges keep their cuts.
func (s *Session) ForgetTapeMeaning(id string) error {
	if t, err := s.doc.Pattern.Tape(id); err == nil && !t.Meant {
		return nil
	}
	return s.onTape(id, func(p *pattern.Pattern) error { return p.ForgetTapeMeaning(id) })
}

// RenameTape gives a tape the maker's word; an empty one changes nothing.
func (s *Session) RenameTape(id, name string) error {
	name = strings.TrimSpace(name)
	if t, err := s.doc.Pattern.Tape(id); err == nil && (name == "" || t.Name == name) {
		return nil
	}
	return s.onTape(id, func(p *pattern.Pattern) error { return p.RenameTape(id, name) })
}

// MergeTapes makes one tape of two colours that are the same; the first keeps
// its name.
func (s *Session) MergeTapes(keepID, otherID string) error {
	return s.onTape(keepID, func(p *pattern.Pattern) error { return p.MergeTapes(keepID, otherID) })
}

// RemoveTape says that a colour is not a tape; its edges keep their cuts.
func (s *Session) RemoveTape(id string) error {
	return s.onTape(id, func(p *pattern.Pattern) error { return p.RemoveTape(id) })
}

// SetEdgeTape says by hand which tape runs along an edge, an empty ID for
// none.
func (s *Session) SetEdgeTape(edgeID, tapeID string) error {
	if _, e := s.doc.edge(edgeID); e == nil || e.Tape == tapeID {
		return nil
	}
	return s.onTape(tapeID, func(p *pattern.Pattern) error { return p.SetEdgeTape(edgeID, tapeID) })
}

// tapesFound are the edges along which the tracing found a tape: one that has
// none now was taken off by the maker.
func tapesFound(d Document) map[string]bool {
	out := map[string]bool{}
	if d.Traced == nil {
		return out
	}
	for _, q := range d.Traced.Pattern.Pieces {
		for _, e := range q.Edges {
			out[e.ID] = e.Tape != ""
		}
	}
	return out
}

// giveTapes takes over what the maker said of the tapes. A colour found anew
// is the old one that most of its edges had; colours that were made one are
// made one again, and one that was said to be no tape is dropped.
func (c *carrier) giveTapes(old pattern.Pattern, next *pattern.Pattern, found map[string]bool) {
	votes := map[string]map[string]int{}
	for _, q := range old.Pieces {
		for _, e := range q.Edges {
			_, now := (&Document{Pattern: *next}).edge(c.edges[e.ID])
			if now == nil || now.Tape == "" || e.Tape == "" && !found[e.ID] {
				continue
			}
			if votes[now.Tape] == nil {
				votes[now.Tape] = map[string]int{}
			}
			votes[now.Tape][e.Tape]++
		}
	}
	same := map[string]string{}
	for _, t := range append([]pattern.Tape(nil), next.Tapes...) {
		if len(votes[t.ID]) == 0 {
			continue
		}
		was, err := old.Tape(most(votes[t.ID]))
		if err != nil {
			_ = next.RemoveTape(t.ID)
			continue
		}
		if kept, twice := same[was.ID]; twice {
			_ = next.MergeTapes(kept, t.ID)
			continue
		}
		same[was.ID] = t.ID
	}
	for was, now := range same {
		t, _ := old.Tape(was)
		for i := range next.Tapes {
			if x := &next.Tapes[i]; x.ID == now {
				x.Name, x.Meant, x.Cut = t.Name, t.Meant, t.Cut
			}
		}
	}
	c.giveEdgeTapes(old, next, same, found)
}

// giveEdgeTapes repeats what was said by hand of single edges.
func (c *carrier) giveEdgeTapes(old pattern.Pattern, next *pattern.Pattern, same map[string]string, found map[string]bool) {
	d := &Document{Pattern: *next}
	for _, q := range old.Pieces {
		for _, e := range q.Edges {
			if _, now := d.edge(c.edges[e.ID]); now != nil && (e.Tape == "" && found[e.ID] || same[e.Tape] != "") {
				now.Tape = same[e.Tape]
			}
		}
	}
}

// most returns the key that was counted most often, the first in order of
// those equally often.
func most(votes map[string]int) string {
	best, n := "", 0
	for k, v := range votes {
		if v > n || v == n && k < best {
			best, n = k, v
		}
	}
	return best
}
