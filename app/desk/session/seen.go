package session

import (
	"fmt"
	"slices"

	"flatwright/trace/pattern"
)

// placeMM is how far apart, at least, two places are at which the tracing says
// the same.
const placeMM = 10

// key tells a finding from others: what changes, even in a number, is another
// one. What the tracing says names no piece, so its place tells which it is.
func (f Finding) key() string {
	if f.Kind == FromTracing {
		return fmt.Sprintf("%d %d %.0f %.0f %s", f.Kind, f.Shot, f.At.X/placeMM, f.At.Y/placeMM, f.Text)
	}
	return f.placelessKey()
}

// placelessKey is the key as an older program wrote it for all findings.
func (f Finding) placelessKey() string {
	return fmt.Sprintf("%d %s %s %.2f %s", f.Kind, f.PieceID, f.SeamID, f.MM, f.Text)
}

func (s *Session) allFindings() []Finding { return s.allFound.of(s.work, s.findings) }

// unseen returns the findings that the maker has not taken as seen.
func (s *Session) unseen() []Finding {
	return slices.DeleteFunc(slices.Clone(s.allFindings()), s.seen)
}

func (s *Session) seen(f Finding) bool {
	return f.Severity < pattern.Fault && (slices.Contains(s.doc.Seen, f.key()) || slices.Contains(s.doc.Seen, f.placelessKey()))
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
