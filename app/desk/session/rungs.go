package session

import (
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/find"
	"flatwright/trace/pattern"
)

// Stage is one of the six rungs of the job.
type Stage uint8

// The rungs in the maker's order.
const (
	StagePhotograph Stage = iota
	StageSquareUp
	StageTrace
	StageMarkUp
	StageCheck
	StagePrint
	Stages
)

// State is how far a rung is.
type State uint8

// The states of a rung.
const (
	NotYet State = iota
	NeedsYou
	Done
)

// State returns how far a rung is.
func (s *Session) State(st Stage) State {
	pieces := len(s.doc.Pattern.Pieces) > 0
	switch st {
	case StagePhotograph:
		return doneWhen(s.photo != nil, true)
	case StageSquareUp:
		return doneWhen(s.doc.Squared != nil && !s.Stale(), s.photo != nil)
	case StageTrace:
		return doneWhen(pieces, s.doc.Squared != nil)
	case StageMarkUp:
		return doneWhen(pieces && s.allThick(), pieces)
	case StageCheck:
		return doneWhen(pieces && len(s.Findings()) == 0, pieces)
	case StagePrint:
		return doneWhen(pieces && s.Printed(), pieces)
	}
	return NotYet
}

func doneWhen(done, ready bool) State {
	switch {
	case done:
		return Done
	case ready:
		return NeedsYou
	}
	return NotYet
}

// allThick reports whether every piece has a thickness.
func (s *Session) allThick() bool {
	for _, p := range s.doc.Pattern.Pieces {
		if p.ThicknessMM <= 0 {
			return false
		}
	}
	return true
}

// LeaningCuts counts the edges that are bevelled or undercut.
func (s *Session) LeaningCuts() int {
	n := 0
	for _, p := range s.doc.Pattern.Pieces {
		for _, e := range p.Edges {
			if e.Cut.Kind == pattern.Bevel || e.Cut.Kind == pattern.Undercut {
				n++
			}
		}
	}
	return n
}

// PlusMinusMM returns the accuracy that counts: the worst over the pieces'
// nodes, or at the middle of the lines read while there are no pieces. False
// before squaring up.
func (s *Session) PlusMinusMM() (float64, bool) {
	if s.doc.Squared == nil || s.doc.Squared.Fit == nil {
		return 0, false
	}
	return s.plus.of(s.work, s.plusMinus), true
}

// PlusMinusAt returns two standard errors of a place, in mm; false before
// squaring up.
func (s *Session) PlusMinusAt(at mat.Point) (float64, bool) {
	if q := s.doc.Squared; q != nil && q.Fit != nil {
		return q.PlusMinusMM(back(motion(s.doc.Place)).Apply(at)), true
	}
	return 0, false
}

func (s *Session) plusMinus() float64 {
	q := s.doc.Squared
	if len(s.doc.Pattern.Pieces) == 0 {
		b := s.GridBounds()
		return q.PlusMinusMM(mat.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2})
	}
	worst := 0.0
	for _, p := range s.doc.Pattern.Pieces {
		for _, g := range p.Outline.Segments {
			worst = math.Max(worst, s.doc.plusMinusOf(p.ID, g.P0))
		}
	}
	return worst
}

// FindingKind tells findings apart.
type FindingKind uint8

const (
	// FromTracing is something the tracing wants the maker to hear.
	FromTracing FindingKind = iota
	// FromRules is something the trade's rules have against the pattern.
	FromRules
	// Uncertain is a piece of which the map is not sure to the limit.
	Uncertain
)

// UncertainMM is the "±" from which a piece is reported.
const UncertainMM = 0.3

// Finding is something to look at before printing.
type Finding struct {
	Kind FindingKind
	// Rule is the kind of rule that it is from, empty for none.
	Rule    pattern.FindingKind
	At      mat.Point
	PieceID string
	// EdgeID is the edge it is about, empty when it is about the piece.
	EdgeID string
	// Text is a sentence; empty for Uncertain.
	Text string
	// MM is the size of the finding where it has one.
	MM float64
	// SeamID, Mend and Other, a second way to mend it, are the rule's own and
	// may be none; what the tracing says and what is uncertain counts as a
	// warning.
	SeamID   string
	Severity pattern.Severity
	Mend     pattern.Mend
	Other    pattern.Mend
	// Shot is the photograph that shows the place, from 0; NoShot for none.
	Shot int
}

// Findings returns what to look at before printing. It is worked out once for
// every state of the document.
func (s *Session) Findings() []Finding { return s.found.of(s.work, s.unseen) }

func (s *Session) findings() []Finding {
	var out []Finding
	for k, t := range s.doc.allTraced() {
		for _, p := range t.Problems {
			out = append(out, fromTracing(k, p))
		}
	}
	out = append(out, ruled(s.doc.Pattern)...)
	for _, p := range s.doc.Pattern.Pieces {
		if f, ok := s.uncertain(p); ok {
			out = append(out, f)
		}
	}
	for i, f := range out {
		if f.Kind != FromTracing {
			out[i].Shot = s.doc.shotShowing(f)
		}
	}
	slices.SortStableFunc(out, func(a, b Finding) int { return int(b.Severity) - int(a.Severity) })
	return out
}

// fromTracing is what the tracing of a photograph said.
func fromTracing(shot int, p find.Problem) Finding {
	return Finding{Kind: FromTracing, At: p.At, Shot: shot, Text: p.Text, Severity: pattern.Warning}
}

// ruled is what the trade's rules have against a pattern.
func ruled(p pattern.Pattern) []Finding {
	var out []Finding
	for _, f := range pattern.Check(p) {
		out = append(out, Finding{
			Kind: FromRules, Rule: f.Kind, At: f.At, PieceID: f.Piece, EdgeID: f.Edge, SeamID: f.Seam,
			Text: f.Text, MM: f.AmountMM, Severity: f.Severity, Mend: f.Mend, Other: f.Other,
		})
	}
	return out
}

// uncertain tells the place of a piece where the map is least sure, when that
// is worse than UncertainMM.
func (s *Session) uncertain(p pattern.Piece) (Finding, bool) {
	worst := Finding{Kind: Uncertain, PieceID: p.ID, MM: UncertainMM, Severity: pattern.Warning}
	found := false
	for _, g := range p.Outline.Segments {
		if mm := s.doc.plusMinusOf(p.ID, g.P0); mm > worst.MM {
			worst.MM, worst.At, found = mm, g.P0, true
		}
	}
	return worst, found
}
