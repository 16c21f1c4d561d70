package session

import (
	"fmt"
	"slices"

	"flatwright/trace/pattern"
)

// key tells a finding from others: what changes, even in a number, is another
// one.
func (f Finding) key() string {
	return fmt.Sprintf("%d %s %s %.2f %s", f.Kind, f.PieceID, f.SeamID, f.MM, f.Text)
}

func (s *Session) allFindings() []Finding { return s.allFound.of(s.work, s.findings) }

// unseen returns the findings that the maker has not taken as seen.
func (s *Session) unseen() []Finding {
	return slices.DeleteFunc(slices.Clone(s.allFindings()), s.seen)
}

func (s *Session) seen(f Finding) bool {
	return f.Severity < pattern.Fault && slices.Contains(s.doc.Seen, f.key())
}

// TakeAsSeen takes a finding off the list until it changes. A fault stays.
func (s *Session) TakeAsSeen(f Finding) {
	if f.Severity >= pattern.Fault || s.seen(f) {
		return
	}
	s.edit(Edit{ActionSeen, ""}, func(d *Document) { d.Seen = append(d.Seen, f.key()) })
}

// SeenFindings counts the findings that are not shown for having been seen.
func (s *Session) SeenFindings() int { return len(s.allFindings()) - len(s.Findings()) }

// ShowSeen lists all findings again.
func (s *Session) ShowSeen() {
	if len(s.doc.Seen) > 0 {
		s.edit(Edit{ActionSeen, ""}, func(d *Document) { d.Seen = nil })
	}
}

// SetRim says that an edge stays open, as a part of the form's rim.
func (s *Session) SetRim(edgeID string, rim bool) error {
	_, e := s.doc.edge(edgeID)
	if e == nil {
		return fmt.Errorf("edge %q: %w", edgeID, ErrNoSuchEdge)
	}
	if e.Rim == rim {
		return nil
	}
	s.edit(Edit{ActionRim, edgeID}, func(d *Document) {
		_, e := d.edge(edgeID)
		e.Rim = rim
	})
	return nil
}
