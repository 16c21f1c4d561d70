package pattern

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"flatwright/rectify/mat"
)

// PointPieces is how many flat pieces that meet at a point hold each other's
// angles: with more the point is a hinge, and their corners alone do not tell.
const PointPieces = 3

// Point is a place of the form at which three pieces meet by three seams.
type Point struct {
	// Corners are those of the pieces, going round.
	Corners [PointPieces]PointCorner
	// Seams are those between them: the first between the first corner and the
	// second, and so on round.
	Seams [PointPieces]PointSeam
	// Hollow tells that the point points inwards, so that all angles are the
	// rest to 360°.
	Hollow bool
	// Trouble says why there are no angles; empty when there are.
	Trouble string
}

// PointCorner is a piece's corner at a point.
type PointCorner struct {
	Piece string
	At    mat.Point
	// AngleDeg is the angle inside the piece.
	AngleDeg float64
}

// PointSeam is a seam that ends at a point.
type PointSeam struct {
	Seam string
	// InteriorDeg is the angle between the faces that the corners ask for, and
	// HaveDeg the one that the cuts give.
	InteriorDeg, HaveDeg float64
	// BevelADeg and BevelBDeg are the bevels from square that give it, with
	// their sign. Trouble says why there are none; empty when there are.
	BevelADeg, BevelBDeg float64
	Trouble              string
	// Curved tells that a side bends: the angle is then that at this end.
	Curved bool
}

// Points returns the places where three pieces meet, in the order of the
// pieces, found by going round from seam to seam. The angles along the three
// seams follow from the three corners (spherical law of cosines,
// EdgeAngleDeg) when the pieces are flat. Nothing is changed.
func (p *Pattern) Points() []Point {
	var out []Point
	seen := map[edgeEnd]bool{}
	for i := range p.Pieces {
		for _, e := range p.Pieces[i].Edges {
			begin := edgeEnd{e.ID, true}
			if seen[begin] {
				continue
			}
			ends, seams, ok := p.goRound(begin)
			if !ok {
				continue
			}
			for _, x := range ends {
				seen[x] = true
			}
			if q, ok := p.pointOf(ends, seams); ok {
				out = append(out, q)
			}
		}
	}
	return out
}

// goRound goes from an edge's end over seams from piece to piece until it
// comes back; it returns where it came into each corner anew, and the seams
// that it crossed from there. False where a seam is open or ends elsewhere.
func (p *Pattern) goRound(begin edgeEnd) (ends []edgeEnd, seams []string, ok bool) {
	at := begin
	for range mostAround {
		s, mate, closed := p.acrossSeam(at)
		if !closed {
			return nil, nil, false
		}
		ends, seams = append(ends, at), append(seams, s.ID)
		if at, closed = p.acrossCorner(mate); !closed {
			return nil, nil, false
		}
		if at == begin {
			return ends, seams, true
		}
	}
	return nil, nil, false
}

// pointOf works a point out; false unless three different pieces and seams
// meet there.
func (p *Pattern) pointOf(ends []edgeEnd, seams []string) (Point, bool) {
	if len(ends) != PointPieces {
		return Point{}, false
	}
	var pt Point
	for i, e := range ends {
		q, k, err := p.FindEdge(e.edge)
		if err != nil {
			return Point{}, false
		}
		node := q.Edges[k].First
		if !e.start {
			node += q.Edges[k].Count
		}
		pt.Corners[i] = q.cornerOf(node)
		pt.Seams[i].Seam = seams[i]
		for j := range i {
			if pt.Corners[j].Piece == q.ID || seams[j] == seams[i] {
				return Point{}, false
			}
		}
	}
	p.angles(&pt)
	return pt, true
}

// cornerOf returns the piece's corner at the beginning of a segment.
func (p *Piece) cornerOf(segment int) PointCorner {
	n := len(p.Outline.Segments)
	i := segment % n
	a, b := p.Outline.Segments[(i+n-1)%n].Tangent(1), p.Outline.Segments[i].Tangent(0)
	turn := math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)
	if p.Outline.Area() < 0 {
		turn = -turn
	}
	return PointCorner{Piece: p.ID, At: p.Outline.Segments[i].P0, AngleDeg: 180 - turn/radPerDeg}
}

// angles fills in what the corners ask of the seams. Cuts that give a hollow
// along most of the seams make the point a hollow one.
func (p *Pattern) angles(pt *Point) {
	open := 0
	for i := range pt.Seams {
		s := &pt.Seams[i]
		seam, _ := p.seam(s.Seam)
		s.HaveDeg = p.cutsGiveDeg(seam)
		s.Curved = p.curvedRun(seam.A) || p.curvedRun(seam.B)
		if s.HaveDeg > 180.01 || seam.WantDeg > 180.01 {
			open++
		}
	}
	pt.Hollow = open > PointPieces/2
	c := pt.Corners
	deg, err := PointAnglesDeg(c[2].AngleDeg, c[0].AngleDeg, c[1].AngleDeg)
	if err != nil {
		pt.Trouble = err.Error()
		return
	}
	for i := range pt.Seams {
		pt.Seams[i].InteriorDeg = deg[i]
	}
	p.bevel(pt)
}

// bevel fills in the bevels for the angles.
func (p *Pattern) bevel(pt *Point) {
	for i := range pt.Seams {
		s := &pt.Seams[i]
		if pt.Hollow == (s.InteriorDeg < 180) {
			s.InteriorDeg = 360 - s.InteriorDeg
		}
		seam, _ := p.seam(s.Seam)
		t1, t2 := p.thicknesses(seam)
		var err error
		s.Trouble = ""
		if s.BevelADeg, s.BevelBDeg, err = sharedBevels(t1, t2, s.InteriorDeg); err != nil {
			s.Trouble = err.Error()
		}
	}
}

// Turned returns the point as it is when it points the other way.
func (p *Pattern) Turned(pt Point) Point {
	pt.Hollow = !pt.Hollow
	if pt.Trouble == "" {
		p.bevel(&pt)
	}
	return pt
}

// cutsGiveDeg is the angle inside that the cuts of a seam's first edges give.
func (p *Pattern) cutsGiveDeg(s *Seam) float64 {
	a, ka, err1 := p.FindEdge(s.A[0].Edge)
	b, kb, err2 := p.FindEdge(s.B[0].Edge)
	if err1 != nil || err2 != nil {
		return 180
	}
	return InteriorDeg(a.Edges[ka].Cut, b.Edges[kb].Cut)
}

// thicknesses are those of the pieces of a seam's first edges, mm.
func (p *Pattern) thicknesses(s *Seam) (aMM, bMM float64) {
	if q, _, err := p.FindEdge(s.A[0].Edge); err == nil {
		aMM = q.ThicknessMM
	}
	if q, _, err := p.FindEdge(s.B[0].Edge); err == nil {
		bMM = q.ThicknessMM
	}
	return aMM, bMM
}

func (p *Pattern) curvedRun(run Run) bool {
	for _, r := range run {
		path, err := p.EdgeRun(r)
		if err != nil {
			return true
		}
		if _, _, _, err := straight(path, ""); err != nil {
			return true
		}
	}
	return len(run) > 1
}

// MissDeg is how far the cuts are from the angles that the corners ask for,
// the worst of the three seams; 0 where there are none.
func (pt Point) MissDeg() float64 {
	worst := 0.0
	if pt.Trouble != "" {
		return 0
	}
	for _, s := range pt.Seams {
		worst = max(worst, math.Abs(s.InteriorDeg-s.HaveDeg))
	}
	return worst
}

// Mend is the change that bevels the three seams; its zero value where the
// point has no angles, or one of them cannot be cut.
func (pt Point) Mend() Mend {
	m := Mend{Kind: BevelPoint, Hollow: pt.Hollow}
	if pt.Trouble != "" {
		return Mend{}
	}
	for i, s := range pt.Seams {
		if s.Trouble != "" {
			return Mend{}
		}
		m.Seams[i], m.Degs[i] = s.Seam, s.InteriorDeg
	}
	return m
}

// Words says which pieces meet and what follows from their corners.
func (pt Point) Words() string {
	var pieces, corners, seams []string
	for _, c := range pt.Corners {
		pieces, corners = append(pieces, c.Piece), append(corners, fmt.Sprintf("%.1f°", c.AngleDeg))
	}
	text := fmt.Sprintf("Pieces %s meet at a point with corners of %s", listed(pieces), listed(corners))
	if pt.Trouble != "" {
		return text + ". That does not close: " + pt.misfit() + "."
	}
	curved := slices.ContainsFunc(pt.Seams[:], func(s PointSeam) bool { return s.Curved })
	for _, s := range pt.Seams {
		seams = append(seams, fmt.Sprintf("%.1f° inside in seam %s (the cuts give %.1f°)", s.InteriorDeg, s.Seam, s.HaveDeg))
	}
	text += ". Flat pieces then meet at " + strings.Join(seams, ", ")
	if curved {
		text += ", at this end of a seam that bends"
	}
	return text + "."
}
