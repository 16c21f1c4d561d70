package pattern

import (
	"errors"
	"fmt"

	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// Finding is something about a pattern that the maker should hear.
type Finding struct {
	// Piece and Edge name what it is about; Edge may be empty.
	Piece, Edge string
	// At is the place on the mat.
	At mat.Point
	// Text says what is wrong and what to do.
	Text string
	// AmountMM is how much, where that is a length; else 0.
	AmountMM float64
}

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
		moved, err := curve.Offset(p.Outline, p.faceDistance, otherFaceToleranceMM)
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
	for i := range p.Outline.Segments {
		if p.faceDistance(i, 0) != 0 {
			return true
		}
	}
	return false
}

// faceDistance returns how far into the piece the other face's edge lies
// beside segment i, in mm.
func (p *Piece) faceDistance(i int, _ float64) float64 {
	k := p.EdgeOf(i)
	if k < 0 {
		return 0
	}
	d := InsetMM(p.Edges[k].Cut, p.ThicknessMM)
	if p.Face == Back {
		d = -d
	}
	if p.Outline.Area() < 0 {
		d = -d
	}
	return d
}

func (p *Piece) edgeFault() (Finding, bool) {
	for _, e := range p.Edges {
		if err := e.Cut.Validate(); err != nil {
			return Finding{Piece: p.ID, Edge: e.ID, At: p.nodeAt(e.First), Text: err.Error()}, true
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
	f := Finding{Piece: p.ID, Text: fmt.Sprintf("The %s face cannot be made: %v.", p.faceName(), err)}
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
	return Finding{Piece: p.ID, At: at, Text: fmt.Sprintf(
		"Opening %d of piece %s breaks through the edge near (%.1f, %.1f) mm. Make the opening or the bevel smaller.", i+1, p.ID, at.X, at.Y)}, true
}
