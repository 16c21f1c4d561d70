package session

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"

	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/align"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Shot is one photograph of a pattern made from several, and the work on it.
type Shot struct {
	Photo *photo.Photo
	Work
}

// Origin tells where a piece came from.
type Origin struct {
	// Shots are the photographs it was traced in, from 0.
	Shots []int
	// Elsewhere: it does not lie where the photograph shows it, as a mirrored
	// copy.
	Elsewhere bool
}

// ErrOtherPhoto refuses work on a piece that the photograph looked at does not
// show.
var ErrOtherPhoto = errors.New("the photograph shown does not show this piece where it lies: look at the photograph it came from, or reshape it by its nodes in the flat view")

// placed is a map of a photograph whose mat lies elsewhere in the pattern's
// frame.
type placed struct {
	lens.Mapping
	there, back curve.Transform
}

func (p placed) ToPhoto(at mat.Point) photo.Point { return p.Mapping.ToPhoto(p.back.Apply(at)) }

func (p placed) ToMat(at photo.Point) (mat.Point, bool) {
	m, ok := p.Mapping.ToMat(at)
	return p.there.Apply(m), ok
}

// back is the way back from a rigid motion.
func back(m curve.Transform) curve.Transform {
	return curve.Transform{
		A: m.A, B: m.D, C: -(m.A*m.C + m.D*m.F),
		D: m.B, E: m.E, F: -(m.B*m.C + m.E*m.F),
	}
}

// motion is a place as a motion: the zero value is none.
func motion(place curve.Transform) curve.Transform {
	if place == (curve.Transform{}) {
		return curve.Transform{A: 1, E: 1}
	}
	return place
}

// viewOf is the map of the pieces' upper face as it lies in the pattern's
// frame; nil when there is none.
func (d *Document) viewOf(q *rectify.Squared) lens.Mapping {
	v := viewOf(q)
	if v == nil || d.Place == (curve.Transform{}) {
		return v
	}
	return placed{v, d.Place, back(d.Place)}
}

// stash puts the work on the photograph looked at beside that on the others.
func (d *Document) stash() {
	if d.Active < len(d.Shots) {
		d.Shots[d.Active].Work = d.Work
	}
}

// look takes up the work on a photograph.
func (d *Document) look(k int) { d.Active, d.Work = k, d.Shots[k].Work }

// AddPhoto adds a photograph to the pattern and looks at it. What was said of
// the mat stays.
func (s *Session) AddPhoto(p *photo.Photo) {
	if s.photo == nil {
		s.SetPhoto(p)
		return
	}
	s.EndGesture()
	s.edit(Edit{ActionAddPhoto, p.Name}, func(d *Document) {
		if len(d.Shots) == 0 {
			d.Shots = []Shot{{Photo: s.photo}}
		}
		d.stash()
		d.Shots = append(d.Shots, Shot{Photo: p, Work: Work{Settings: forAnotherPhoto(d.Settings)}})
		d.look(len(d.Shots) - 1)
	})
}

// LookAt looks at another photograph of the pattern. That is no edit.
func (s *Session) LookAt(k int) {
	if k < 0 || k >= len(s.doc.Shots) || k == s.doc.Active {
		return
	}
	s.EndGesture()
	next, printed := s.doc.clone(), s.Printed()
	next.stash()
	next.look(k)
	s.replace(next)
	if printed {
		s.MarkPrinted(s.version)
	}
}

// Photos returns all photographs and which of them is looked at.
func (s *Session) Photos() (all []*photo.Photo, active int) {
	if s.photo == nil {
		return nil, 0
	}
	if len(s.doc.Shots) == 0 {
		return []*photo.Photo{s.photo}, 0
	}
	for _, x := range s.doc.Shots {
		all = append(all, x.Photo)
	}
	return all, s.doc.Active
}

// Origin returns where a piece came from.
func (s *Session) Origin(pieceID string) Origin { return s.doc.origin(pieceID) }

func (d *Document) origin(pieceID string) Origin {
	if o, ok := d.From[pieceID]; ok {
		return o
	}
	return Origin{Shots: []int{0}}
}

// Shown reports whether the photograph looked at shows a piece where it lies.
func (s *Session) Shown(pieceID string) bool { return s.doc.shown(pieceID) }

func (d *Document) shown(pieceID string) bool { return d.shotOf(pieceID) == d.Active }

// NoShot is what no photograph shows where it lies in the pattern.
const NoShot = -1

// shotOf is the photograph that shows a piece where it lies, NoShot for none.
func (d *Document) shotOf(pieceID string) int {
	if o := d.origin(pieceID); !o.Elsewhere && len(o.Shots) > 0 {
		return o.Shots[0]
	}
	return NoShot
}

// setOrigin notes where pieces came from.
func (d *Document) setOrigin(o Origin, ids ...string) {
	d.From = maps.Clone(d.From)
	if d.From == nil {
		d.From = map[string]Origin{}
	}
	for _, id := range ids {
		d.From[id] = o
	}
}

// squaredOf returns the solution that a piece was traced with, and the way from
// the pattern's frame to its mat.
func (d *Document) squaredOf(pieceID string) (*rectify.Squared, curve.Transform) {
	o := d.origin(pieceID)
	if len(o.Shots) == 0 || o.Shots[0] == d.Active || o.Shots[0] >= len(d.Shots) {
		return d.Squared, back(motion(d.Place))
	}
	x := d.Shots[o.Shots[0]]
	return x.Squared, back(motion(x.Place))
}

// plusMinusOf is "±" at a point of a piece.
func (d *Document) plusMinusOf(pieceID string, at mat.Point) float64 {
	q, to := d.squaredOf(pieceID)
	if q == nil || q.Fit == nil || d.origin(pieceID).Elsewhere {
		return 0
	}
	return q.PlusMinusMM(to.Apply(at))
}

// allTraced goes through what the tracing said of every photograph, in their
// order.
func (d *Document) allTraced() iter.Seq2[int, *trace.Traced] {
	return func(yield func(int, *trace.Traced) bool) {
		for k, x := range d.All(nil) {
			if x.Traced != nil && !yield(k, x.Traced) {
				return
			}
		}
	}
}

// Part is what came of one photograph: its solution, and the nodes of its
// pieces on its own mat, at which its accuracy is asked for.
type Part struct {
	Squared *rectify.Squared
	Nodes   []mat.Point
}

// Parts returns every photograph's part of the pattern, in order; of
// photographs that are squared up.
func (s *Session) Parts() []Part {
	var out []Part
	for k, x := range s.doc.All(s.only) {
		if x.Squared == nil {
			continue
		}
		part, to := Part{Squared: x.Squared}, back(motion(x.Place))
		for _, p := range s.doc.Pattern.Pieces {
			if s.doc.shotOf(p.ID) == k {
				for _, g := range p.Outline.Segments {
					part.Nodes = append(part.Nodes, to.Apply(g.P0))
				}
			}
		}
		out = append(out, part)
	}
	return out
}

// HasOwn reports whether the pattern has pieces of the photograph looked at.
func (s *Session) HasOwn() bool {
	return slices.ContainsFunc(s.doc.Pattern.Pieces, func(p pattern.Piece) bool { return s.doc.shown(p.ID) })
}

// apart divides the pattern into the pieces that the photograph looked at shows
// and the rest. Seams between both are with the rest.
func (d *Document) apart() (own, rest pattern.Pattern) {
	own, rest = d.Pattern, d.Pattern
	own.Pieces, rest.Pieces, own.Seams, rest.Seams = nil, nil, nil, nil
	mine := map[string]bool{}
	for _, p := range d.Pattern.Pieces {
		if !d.shown(p.ID) {
			rest.Pieces = append(rest.Pieces, p)
			continue
		}
		own.Pieces = append(own.Pieces, p)
		for _, e := range p.Edges {
			mine[e.ID] = true
		}
	}
	for _, m := range d.Pattern.Seams {
		other := func(r pattern.EdgeRef) bool { return !mine[r.Edge] }
		if slices.ContainsFunc(m.A, other) || slices.ContainsFunc(m.B, other) {
			rest.Seams = append(rest.Seams, m)
		} else {
			own.Seams = append(own.Seams, m)
		}
	}
	return own, rest
}

// retraced is the document with newly traced pieces in the place of those of
// the photograph looked at.
func (d Document) retraced(t *trace.Traced, oldView lens.Mapping, q *rectify.Squared) (Document, Carried) {
	own, rest := d.apart()
	if len(rest.Pieces) == 0 && d.Place == (curve.Transform{}) && d.Active == 0 {
		next, kept := carry(d, t.Pattern, oldView, viewOf(q))
		d.Traced, d.Pattern, d.From = t, next, nil
		return d, kept
	}
	if d.Place == (curve.Transform{}) && d.Active > 0 {
		d.Place = curve.Translation(rest.Below(t.Pattern))
	}
	all := rest
	letters := all.Append(t.Pattern, motion(d.Place))
	t = lettered(t, all, len(rest.Pieces), letters, motion(d.Place))
	before := d
	before.Pattern = own
	next, kept := carry(before, t.Pattern, oldView, d.viewOf(q))
	d.Pattern = next
	d.Pattern.Pieces = append(slices.Clone(rest.Pieces), next.Pieces...)
	slices.SortStableFunc(d.Pattern.Pieces, func(a, b pattern.Piece) int {
		return cmp.Or(cmp.Compare(len(a.ID), len(b.ID)), cmp.Compare(a.ID, b.ID))
	})
	d.Pattern.Seams = append(d.stillThere(rest.Seams, &kept), named(next.Seams, rest.Seams)...)
	d.Traced = t
	var ids []string
	for _, p := range next.Pieces {
		ids = append(ids, p.ID)
	}
	d.setOrigin(Origin{Shots: []int{d.Active}}, ids...)
	return d, kept
}

// lettered is what was traced under the letters and at the place that it has in
// the whole pattern.
func lettered(t *trace.Traced, all pattern.Pattern, from int, letters map[string]string, place curve.Transform) *trace.Traced {
	out := *t
	out.Pattern = all
	out.Pattern.Pieces = all.Pieces[from:]
	out.Pattern.Seams = nil
	out.Problems = slices.Clone(t.Problems)
	for i := range out.Problems {
		out.Problems[i].At = place.Apply(out.Problems[i].At)
	}
	return &out
}

// stillThere is the seams whose edges all are in the pattern; the others are
// told as lost.
func (d *Document) stillThere(seams []pattern.Seam, kept *Carried) []pattern.Seam {
	var out []pattern.Seam
	for _, m := range seams {
		gone := func(r pattern.EdgeRef) bool { _, e := d.edge(r.Edge); return e == nil }
		if slices.ContainsFunc(m.A, gone) || slices.ContainsFunc(m.B, gone) {
			kept.LostSeams = append(kept.LostSeams, m.ID)
			continue
		}
		out = append(out, m)
	}
	return out
}

// named gives seams names that others do not have.
func named(seams, others []pattern.Seam) []pattern.Seam {
	used := map[string]bool{}
	for _, m := range others {
		used[m.ID] = true
	}
	out := slices.Clone(seams)
	for i := range out {
		for k := 1; used[out[i].ID]; k++ {
			out[i].ID = fmt.Sprintf("s%d", k)
		}
		used[out[i].ID] = true
	}
	return out
}

// JoinParts makes one piece of two parts of it by shared points, mm of the
// pattern; see pattern.Pattern.JoinParts.
func (s *Session) JoinParts(id string, a []mat.Point, otherID string, b []mat.Point) (pattern.Parted, error) {
	var out pattern.Parted
	trial := s.doc.clone()
	out, err := trial.Pattern.JoinParts(id, a, otherID, b)
	if err != nil {
		return out, err
	}
	moved, err := trial.Pattern.LayApart(id)
	if err != nil {
		return out, err
	}
	s.edit(Edit{ActionJoinPhotos, id + ", " + otherID}, func(d *Document) {
		o, p := d.origin(id), d.origin(otherID)
		shots := slices.Clone(o.Shots)
		for _, k := range p.Shots {
			if !slices.Contains(shots, k) {
				shots = append(shots, k)
			}
		}
		d.Pattern = trial.Pattern
		d.setOrigin(Origin{Shots: shots, Elsewhere: o.Elsewhere || moved}, id)
	})
	s.forgetMeasured(id)
	s.SelectPiece(id)
	return out, nil
}

// TryParts tells how far shared points would miss each other.
func (s *Session) TryParts(a, b []mat.Point) (align.Fit, error) { return align.Rigid(b, a) }
