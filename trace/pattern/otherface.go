package pattern

import (
	"errors"
	"fmt"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// otherFaceToleranceMM bounds the distance between the other face's outline
// as returned and the true one.
const otherFaceToleranceMM = 0.01

// OtherFace returns the outline of the face of the sheet that the pattern
// does not show, followed by its openings, as the piece lies (not turned
// over). With the front shown, the back edge lies t·tan b inside; with the
// back shown, the front edge lies t·tan b outside. Where edges meet their
// cuts are mitred. Outlines are within 0.01 mm. Openings are cut straight.
//
// Where the other face vanishes, turns inside out or crosses itself or an
// opening there is a finding with the place, and no outline.
func OtherFace(p Piece) ([]curve.Path, []Finding) {
	if f, ok := p.edgeFault(); ok {
		return nil, []Finding{f}
	}
	outline := p.Outline
	if p.isCutAslant() {
		moved, err := curve.Offset(p.Outline, p.faceDistances(), otherFaceToleranceMM)
		if err != nil {
			return nil, []Finding{p.refused(err)}
		}
		outline = moved
	}
	for i, o := range p.Openings {
		if f, ok := p.openingFault(outline, o, i); ok {
			return nil, []Finding{f}
		}
	}
	return append([]curve.Path{outline}, p.Openings...), nil
}

func (p *Piece) isCutAslant() bool {
	for _, e := range p.Edges {
		if e.Cut.Kind != Straight || e.Cut.Varies {
			return p.ThicknessMM > 0
		}
	}
	return false
}

// faceDistances returns how far into the piece the other face's edge lies
// beside a place of the outline, in mm.
func (p *Piece) faceDistances() func(segment int, t float64) float64 {
	sign := 1.0
	if p.Face == Back {
		sign = -sign
	}
	if p.Outline.Area() < 0 {
		sign = -sign
	}
	n := len(p.Outline.Segments)
	owner := make([]int, n)
	for i := range owner {
		owner[i] = p.EdgeOf(i)
	}
	shares := make([]func(segment int, t float64) float64, len(p.Edges))
	for k, e := range p.Edges {
		if e.Cut.Varies {
			shares[k] = p.shareAlong(k)
		}
	}
	return func(i int, t float64) float64 {
		k := owner[i]
		if k < 0 {
			return 0
		}
		c := p.Edges[k].Cut
		if shares[k] != nil {
			return sign * insetMM(c.SignedDegAt(shares[k](i, t)), p.ThicknessMM)
		}
		return sign * InsetMM(c, p.ThicknessMM)
	}
}

// shareAlong returns the function that tells which part of an edge's length
// lies before a place of the outline on it.
func (p *Piece) shareAlong(edge int) func(segment int, t float64) float64 {
	path := p.EdgePath(edge)
	before := make([]float64, len(path.Segments)+1)
	for i, s := range path.Segments {
		before[i+1] = before[i] + s.Length(lengthToleranceMM)
	}
	first, n := p.Edges[edge].First, len(p.Outline.Segments)
	return func(segment int, t float64) float64 {
		i := (segment - first + n) % n
		s := path.Segments[i]
		along := before[i+1]
		if t < 1 {
			head, _ := s.Split(t)
			along = before[i] + head.Length(lengthToleranceMM)
		}
		return along / before[len(before)-1]
	}
}

// lengthToleranceMM is good enough for the share of an edge's length.
const lengthToleranceMM = 1e-4

func (p *Piece) edgeFault() (Finding, bool) {
	for _, e := range p.Edges {
		if err := e.Cut.Validate(); err != nil {
			return Finding{Kind: Faulty, Severity: Fault, Piece: p.ID, Edge: e.ID, At: p.nodeAt(e.First), Text: err.Error()}, true
		}
	}
	return Finding{}, false
}

func (p *Piece) nodeAt(segment int) mat.Point {
	if n := len(p.Outline.Segments); segment >= 0 && segment < n {
		return p.Outline.Segments[segment].P0
	}
	return mat.Point{}
}

func (p *Piece) faceName() string {
	if p.Face == Back {
		return "front"
	}
	return "back"
}

func (p *Piece) refused(err error) Finding {
	f := Finding{Kind: BackFace, Severity: Fault, Piece: p.ID, Text: fmt.Sprintf("The %s face cannot be made: %v.", p.faceName(), err)}
	var o *curve.OffsetError
	if !errors.As(err, &o) {
		return f
	}
	f.At = o.At
	if k := p.EdgeOf(o.Segment); k >= 0 {
		f.Edge = p.Edges[k].ID
		f.AmountMM = InsetMM(p.Edges[k].Cut, p.ThicknessMM)
	}
	f.Text = fmt.Sprintf("The %s face of piece %s cannot be made near (%.1f, %.1f) mm: %s. Cut there at a smaller angle or from thinner sheet.",
		p.faceName(), p.ID, o.At.X, o.At.Y, o.Why)
	return f
}

// openingFault tells when an opening does not lie wholly inside an outline.
func (p *Piece) openingFault(outline, opening curve.Path, i int) (Finding, bool) {
	if len(opening.Segments) == 0 {
		return Finding{}, false
	}
	at := opening.Segments[0].P0
	c, meets := opening.Meets(outline, otherFaceToleranceMM)
	if meets {
		at = c.At
	}
	if !meets && outline.Contains(at, otherFaceToleranceMM) {
		return Finding{}, false
	}
	return Finding{
		Kind: BackFace, Severity: Fault, Piece: p.ID, At: at, Text: fmt.Sprintf(
			"Opening %d of piece %s breaks through the edge near (%.1f, %.1f) mm. Make the opening or the bevel smaller.", i+1, p.ID, at.X, at.Y),
		Other: Mend{Kind: DropOpening, Piece: p.ID, Index: i},
	}, true
}
