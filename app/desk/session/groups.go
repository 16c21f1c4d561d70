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
// step named by label. What a mend leaves is looked at before another one is made
// that concerns the same pieces: edges may have other names then. It returns how
// many were made and, when fewer were than are offered, why the first of the rest
// could not; when none could be nothing is changed.
func (s *Session) MendAll(g Group, kind pattern.MendKind, label string) (made int, failed error) {
	trial := s.doc.clone()
	x := mending{find: s.rulesUnseen, of: &trial.Pattern, group: g, kind: kind, most: s.CountMends(g, kind)}
	x.all()
	if len(x.made) > 0 {
		s.edit(Edit{ActionMend, label}, func(d *Document) { d.Pattern = trial.Pattern })
	}
	return len(x.made), x.failed
}

// mending is the work of making all mends of a kind, so many at the most.
type mending struct {
	find  func(pattern.Pattern) []Finding
	of    *pattern.Pattern
	group Group
	kind  pattern.MendKind
	most  int
	made  []mended
	// failed is why the first mend of the last look that could not be made was not.
	failed error
}

// mended is a mend and the place that it was made for. A seam is mended once,
// wherever it is told of.
type mended struct {
	mend pattern.Mend
	at   mat.Point
}

// all looks at the pattern again and again until there is nothing left to mend.
func (x *mending) all() {
	for len(x.made) < x.most && x.look() > 0 {
	}
	if len(x.made) == x.most {
		x.failed = nil
	}
}

// look makes the mends that one look at the pattern offers and that concern
// different things, and returns how many. A look takes long: it measures all
// pieces and seams.
func (x *mending) look() (n int) {
	x.failed = nil
	was, busy := *x.of, map[string]bool{}
	for _, f := range x.find(was) {
		concerned := concerns(was, f, x.kind)
		if len(x.made) == x.most || slices.ContainsFunc(concerned, func(id string) bool { return busy[id] }) || !x.try(f) {
			continue
		}
		n++
		for _, id := range concerned {
			busy[id] = true
		}
	}
	return n
}

// try makes the mend that a finding offers, if it is one of these and was not made
// yet.
func (x *mending) try(f Finding) bool {
	this := mended{sameMend(f.mendOf(x.kind)), f.At}
	if this.mend.Seam != "" {
		this.at = mat.Point{}
	}
	if this.mend.Kind != x.kind || f.Group() != x.group || slices.Contains(x.made, this) {
		return false
	}
	if err := x.of.Apply(f.mendOf(x.kind)); err != nil {
		if x.failed == nil {
			x.failed = err
		}
		return false
	}
	x.made = append(x.made, this)
	return true
}

// concerns returns the IDs of what a finding and its mend of a kind are about: the
// pieces, of two edges that are joined only these.
func concerns(p pattern.Pattern, f Finding, kind pattern.MendKind) []string {
	m := f.mendOf(kind)
	if kind == pattern.JoinMates {
		return []string{m.Sides[0].Edge, m.Sides[1].Edge}
	}
	out := []string{f.PieceID, m.Piece}
	of := func(edge string) {
		if q, _, err := p.FindEdge(edge); err == nil {
			out = append(out, q.ID)
		}
	}
	of(f.EdgeID)
	of(m.Edge)
	for _, s := range p.Seams {
		if s.ID == f.SeamID || s.ID == m.Seam || slices.Contains(m.Seams[:], s.ID) {
			for _, r := range slices.Concat(s.A, s.B) {
				of(r.Edge)
			}
		}
	}
	return slices.DeleteFunc(out, func(id string) bool { return id == "" })
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
