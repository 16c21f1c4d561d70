package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Tolerances of Validate, in mm.
const (
	joinToleranceMM = 1e-6
	markToleranceMM = 1.0
)

// Validate returns everything that is wrong with a pattern, with its place;
// nothing when all of these hold:
//  1. piece IDs are there and unique, and so are edge IDs;
//  2. outlines and openings are closed, finite chains without gaps, enclose
//     an area and do not cross themselves;
//  3. openings lie inside their outline and apart from each other;
//  4. the edges cover the outline once, in order;
//  5. cuts are valid, and aslant only in sheet of a known thickness;
//  6. marks meet the outline within 1 mm;
//  7. quantities are at least 1, thicknesses not negative, faces known;
//  8. the other face can be made.
func Validate(p Pattern) []Finding {
	v := validator{ids: map[string]bool{}, edges: map[string]bool{}}
	for i := range p.Pieces {
		v.piece(&p.Pieces[i], i)
	}
	return v.found
}

type validator struct {
	found      []Finding
	ids, edges map[string]bool
	p          *Piece
}

func (v *validator) say(edge string, at mat.Point, format string, args ...any) {
	v.found = append(v.found, Finding{Kind: Faulty, Severity: Fault, Piece: v.p.ID, Edge: edge, At: at, Text: fmt.Sprintf(format, args...)})
}

func (v *validator) piece(p *Piece, number int) {
	v.p = p
	if p.ID == "" {
		v.say("", p.nodeAt(0), "Piece number %d has no letter. Give it one.", number+1)
	} else if v.ids[p.ID] {
		v.say("", p.nodeAt(0), "Two pieces are called %s. Rename one.", p.ID)
	}
	v.ids[p.ID] = true
	before := len(v.found)
	v.path(p.Outline, -1)
	for i, o := range p.Openings {
		v.path(o, i)
	}
	v.coverage()
	v.numbers()
	if len(v.found) > before {
		return
	}
	v.openings()
	v.marks()
	if _, f := OtherFace(*p); len(f) > 0 {
		v.found = append(v.found, f...)
	}
}

// path checks the outline, or the opening of a number from 0.
func (v *validator) path(c curve.Path, opening int) {
	what := "The outline"
	if opening >= 0 {
		what = fmt.Sprintf("Opening %d", opening+1)
	}
	n := len(c.Segments)
	if n == 0 || !c.Closed {
		v.say("", v.p.nodeAt(0), "%s of piece %s is not closed. Trace the piece again.", what, v.p.ID)
		v.drop(opening)
		return
	}
	for i, s := range c.Segments {
		for _, q := range []mat.Point{s.P0, s.P1, s.P2, s.P3} {
			if !onMat(q.X) || !onMat(q.Y) {
				v.say("", mat.Point{}, "%s of piece %s has a node at (%g, %g) mm, which is no place on a mat. Trace the piece again.", what, v.p.ID, q.X, q.Y)
				v.drop(opening)
				return
			}
		}
		next := c.Segments[(i+1)%n].P0
		if gap := math.Hypot(next.X-s.P3.X, next.Y-s.P3.Y); gap > joinToleranceMM {
			v.say("", s.P3, "%s of piece %s has a gap of %.3f mm. Close it.", what, v.p.ID, gap)
			v.drop(opening)
			return
		}
	}
	if math.Abs(c.Area()) < 1e-6 {
		v.say("", c.Segments[0].P0, "%s of piece %s encloses nothing. Remove it.", what, v.p.ID)
		v.drop(opening)
		return
	}
	if x, found := c.SelfCrossing(otherFaceToleranceMM); found {
		v.say("", x.At, "%s of piece %s crosses itself at (%.1f, %.1f) mm. Move the nodes there apart.", what, v.p.ID, x.At.X, x.At.Y)
		v.crossing(opening)
	}
}

func (v *validator) coverage() {
	n := len(v.p.Outline.Segments)
	sum := 0
	for i, e := range v.p.Edges {
		if e.ID == "" || v.edges[e.ID] {
			v.say(e.ID, v.p.nodeAt(e.First), "The edge name %q of piece %s is empty or used twice. Rename it.", e.ID, v.p.ID)
		}
		v.edges[e.ID] = true
		if e.First < 0 || e.First >= n || e.Count < 1 || e.Count > n {
			v.say(e.ID, v.p.nodeAt(0), "Edge %s of piece %s lies outside its outline of %d segments. Find the edges again.", e.ID, v.p.ID, n)
			v.mend(Mend{Kind: FindEdges, Piece: v.p.ID})
			return
		}
		next := v.p.Edges[(i+1)%len(v.p.Edges)]
		if (e.First+e.Count)%n != next.First%n {
			v.say(e.ID, v.p.nodeAt(e.First), "Edge %s of piece %s does not end where %s begins: at node %d, not at node %d. Find the edges again.", e.ID, v.p.ID, next.ID, (e.First+e.Count)%n+1, next.First%n+1)
			v.mend(Mend{Kind: FindEdges, Piece: v.p.ID})
			return
		}
		sum += e.Count
	}
	if sum != n {
		v.say("", v.p.nodeAt(0), "The edges of piece %s cover %d of %d segments. Find the edges again.", v.p.ID, sum, n)
		v.mend(Mend{Kind: FindEdges, Piece: v.p.ID})
	}
}

func (v *validator) numbers() {
	p := v.p
	if p.Quantity < 1 {
		v.say("", p.nodeAt(0), "Piece %s is wanted %d times. Ask for at least one.", p.ID, p.Quantity)
		v.mend(Mend{Kind: CutOne, Piece: p.ID})
	}
	if !(p.ThicknessMM >= 0) || math.IsInf(p.ThicknessMM, 0) {
		v.say("", p.nodeAt(0), "Piece %s is %g mm thick. Give it the sheet's thickness.", p.ID, p.ThicknessMM)
		v.mend(Mend{Kind: GiveThickness, Piece: p.ID})
	}
	if p.Face != Front && p.Face != Back {
		v.say("", p.nodeAt(0), "The face %q of piece %s is unknown: choose front or back.", p.Face, p.ID)
		v.mend(Mend{Kind: ShowFront, Piece: p.ID})
	}
	for _, e := range p.Edges {
		if err := e.Cut.Validate(); err != nil {
			v.say(e.ID, p.nodeAt(e.First), "Edge %s: %v.", e.ID, err)
			v.mend(Mend{Kind: CutStraight, Edge: e.ID})
		} else if (e.Cut.Kind != Straight || e.Cut.Varies) && p.ThicknessMM == 0 {
			v.say(e.ID, p.nodeAt(e.First), "Edge %s is cut %g° aslant, but the thickness of piece %s is not known. Give the sheet's thickness.", e.ID, steepest(e.Cut), p.ID)
		}
	}
}

func (v *validator) openings() {
	for i, o := range v.p.Openings {
		if f, bad := v.p.openingFault(v.p.Outline, o, i); bad {
			v.found = append(v.found, f)
		}
		for j := range i {
			if c, meets := o.Meets(v.p.Openings[j], otherFaceToleranceMM); meets {
				v.say("", c.At, "Openings %d and %d of piece %s run into each other. Make them one.", j+1, i+1, v.p.ID)
				v.drop(smaller(v.p.Openings, i, j))
			}
		}
	}
}

func (v *validator) marks() {
	for i, m := range v.p.Marks {
		at, err := v.p.MarkEdge(m)
		if err == nil && at.OffMM <= markToleranceMM {
			continue
		}
		v.say("", m.At, "A registration mark of piece %s ends %.1f mm from the outline. Move or remove it.", v.p.ID, at.OffMM)
		v.found[len(v.found)-1].AmountMM = at.OffMM
		v.mend(Mend{Kind: MarkToOutline, Piece: v.p.ID, Index: i})
	}
}

// smaller returns which of two openings encloses less.
func smaller(openings []curve.Path, i, j int) int {
	if math.Abs(openings[i].Area()) < math.Abs(openings[j].Area()) {
		return i
	}
	return j
}
