package session

import (
	"slices"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Touched reports whether anything was done that is worth keeping: the maker's
// own edits, or how the pattern is printed.
func (s *Session) Touched() bool {
	return s.Worked() || slices.ContainsFunc(s.history.undo, func(x step) bool { return x.edit.Action.ofPrint() })
}

// Worked reports whether the pattern carries the maker's own edits, printed or
// not.
func (s *Session) Worked() bool {
	return s.worked || slices.ContainsFunc(s.history.undo, func(x step) bool { return x.edit.Action >= ActionCut && !x.edit.Action.ofPrint() })
}

// ComesAlong reports whether the present pattern is to come along with a new
// solution as it is: the maker has worked on it, and its pieces do not stand
// higher or lower now, so that their outlines are where they were in the
// photograph.
func (s *Session) ComesAlong() bool {
	return s.HasOwn() && s.Worked() && s.doc.Raised == s.doc.Solved.Raised
}

// along returns what was traced as another solution of the same photograph
// sees it: every point goes through the photograph. False when one is not on
// the mat of the new solution.
func (d Document) along(q *rectify.Squared) (Document, bool) {
	from, to := d.viewOf(d.Squared), d.viewOf(q)
	if from == nil || to == nil {
		return d, false
	}
	m := mover{from: from, to: to, ok: true, only: d.shown}
	p := m.pattern(d.Pattern)
	var t *trace.Traced
	if d.Traced != nil {
		copied := *d.Traced
		copied.Pattern = m.pattern(d.Traced.Pattern)
		copied.Problems = slices.Clone(d.Traced.Problems)
		for i := range copied.Problems {
			copied.Problems[i].At = m.point(copied.Problems[i].At)
		}
		t = &copied
	}
	d.Traced, d.Pattern = t, p
	return d, m.ok
}

// withoutOwn is the document without the pieces of the photograph looked at.
func (d Document) withoutOwn() Document {
	own, _ := d.apart()
	var ids []string
	for _, p := range own.Pieces {
		ids = append(ids, p.ID)
	}
	d.Traced = nil
	if len(ids) == len(d.Pattern.Pieces) {
		d.Pattern = pattern.Pattern{}
		return d
	}
	_ = d.Pattern.Remove(ids...)
	return d
}

// mover takes points of one solution to another through the photograph.
type mover struct {
	from, to lens.Mapping
	ok       bool
	// only tells which pieces are moved.
	only func(pieceID string) bool
}

func (m *mover) point(p mat.Point) mat.Point {
	out, ok := m.to.ToMat(photo.Point(m.from.ToPhoto(p)))
	m.ok = m.ok && ok
	return out
}

// path moves the ends and handles of a path. A map that is not affine bends a
// curve a little otherwise than its handles say; between two solutions of one
// photograph that is below a micrometre.
func (m *mover) path(p curve.Path) curve.Path {
	out := curve.Path{Closed: p.Closed, Segments: slices.Clone(p.Segments)}
	for i := range out.Segments {
		s := &out.Segments[i]
		s.P0, s.P1, s.P2, s.P3 = m.point(s.P0), m.point(s.P1), m.point(s.P2), m.point(s.P3)
	}
	// Neighbours share their ends to the last bit.
	for i := 1; i < len(out.Segments); i++ {
		out.Segments[i].P0 = out.Segments[i-1].P3
	}
	return out
}

func (m *mover) pattern(p pattern.Pattern) pattern.Pattern {
	p = Document{Pattern: p}.clone().Pattern
	for i := range p.Pieces {
		x := &p.Pieces[i]
		if m.only != nil && !m.only(x.ID) {
			continue
		}
		x.Outline = m.path(x.Outline)
		x.Openings = slices.Clone(x.Openings)
		for k := range x.Openings {
			x.Openings[k] = m.path(x.Openings[k])
		}
		x.Lines = slices.Clone(x.Lines)
		for k := range x.Lines {
			x.Lines[k].Path = m.path(x.Lines[k].Path)
		}
		x.Marks = slices.Clone(x.Marks)
		for k := range x.Marks {
			x.Marks[k].At, x.Marks[k].In = m.point(x.Marks[k].At), m.point(x.Marks[k].In)
		}
	}
	return p
}
