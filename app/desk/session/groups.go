package session

import (
	"slices"
	"strings"

	"flatwright/rectify/mat"
	"flatwright/trace/pattern"
)

// Group is a kind of finding: those of one group are told of in like words and
// may be dealt with together.
type Group struct {
	Kind FindingKind
	// Rule is the rule's kind.
	Rule pattern.FindingKind
	// Words are what the tracing says, without its numbers.
	Words string
}

// Group returns the group that a finding belongs to.
func (f Finding) Group() Group {
	g := Group{Kind: f.Kind, Rule: f.Rule}
	if f.Kind == FromTracing {
		g.Words = strings.Join(strings.FieldsFunc(f.Text, func(r rune) bool { return r >= '0' && r <= '9' }), "#")
	}
	return g
}

// mendOf returns the mend of a kind that a finding offers; none for another one.
func (f Finding) mendOf(kind pattern.MendKind) pattern.Mend {
	for _, m := range []pattern.Mend{f.Mend, f.Other} {
		if m.Kind == kind {
			return m
		}
	}
	return pattern.Mend{}
}

// sameMend tells a mend from others of its kind: two edges that are joined are the
// same pair from either side.
func sameMend(m pattern.Mend) pattern.Mend {
	if m.Kind == pattern.JoinMates && m.Sides[0].Edge > m.Sides[1].Edge {
		m.Sides[0], m.Sides[1] = m.Sides[1], m.Sides[0]
	}
	if m.Kind == pattern.JoinMates {
		m.Sides[0].Reversed, m.Sides[1].Reversed = false, false
	}
	return m
}

// CountMends returns how many different mends of a kind the findings of a group
// offer.
func (s *Session) CountMends(g Group, kind pattern.MendKind) int {
	return len(mendsOf(s.Findings(), g, kind))
}

func mendsOf(found []Finding, g Group, kind pattern.MendKind) []pattern.Mend {
	var out []pattern.Mend
	for _, f := range found {
		m := sameMend(f.mendOf(kind))
		if m.Kind == kind && f.Group() == g && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return out
}

// MendAll makes every mend of a kind that the findings of a group offer, as one
// step named by label. What a mend leaves is looked at before the next: edges may
// have other names then. It returns how many were made and, when some could not be,
// why the first could not; when none could be nothing is changed.
func (s *Session) MendAll(g Group, kind pattern.MendKind, label string) (made int, failed error) {
	trial := s.doc.clone()
	x := mending{find: s.rulesUnseen, of: &trial.Pattern, group: g, kind: kind}
	for range mendsOf(s.Findings(), g, kind) {
		if !x.next() {
			break
		}
	}
	made, failed = len(x.made), x.failed
	if made > 0 {
		s.edit(Edit{ActionMend, label}, func(d *Document) { d.Pattern = trial.Pattern })
	}
	return made, failed
}

// mending is the work of making all mends of a kind.
type mending struct {
	find  func(pattern.Pattern) []Finding
	of    *pattern.Pattern
	group Group
	kind  pattern.MendKind
	made  []mended
	// failed is why the first mend that could not be made was not.
	failed error
}

// mended is a mend and the place that it was made for. A seam is mended once,
// wherever it is told of.
type mended struct {
	mend pattern.Mend
	at   mat.Point
}

// next makes the first mend that can be made and was not yet; false for none.
func (x *mending) next() bool {
	for _, f := range x.find(*x.of) {
		this := mended{sameMend(f.mendOf(x.kind)), f.At}
		if this.mend.Seam != "" {
			this.at = mat.Point{}
		}
		if this.mend.Kind != x.kind || f.Group() != x.group || slices.Contains(x.made, this) {
			continue
		}
		err := x.of.Apply(f.mendOf(x.kind))
		if err == nil {
			x.made = append(x.made, this)
			return true
		}
		if x.failed == nil {
			x.failed = err
		}
	}
	return false
}

// rulesUnseen are what the rules have against a pattern and the maker has not
// taken as seen.
func (s *Session) rulesUnseen(p pattern.Pattern) []Finding {
	return slices.DeleteFunc(ruled(p), s.seen)
}

// TakeAllAsSeen takes the findings of a group off the list until they change, as
// one step. Faults stay.
func (s *Session) TakeAllAsSeen(g Group) {
	var keys []string
	for _, f := range s.Findings() {
		if f.Group() == g && f.Severity < pattern.Fault {
			keys = append(keys, f.key())
		}
	}
	if len(keys) > 0 {
		s.edit(Edit{ActionSeen, ""}, func(d *Document) { d.Seen = append(d.Seen, keys...) })
	}
}
