package pattern

import (
	"fmt"
	"math"
	"slices"

	"flatwright/rectify/mat"
	"flatwright/trace/align"
	"flatwright/trace/curve"
)

// Parted tells how well two parts of one piece, photographed one after the
// other, fit together.
type Parted struct {
	// Fit is the rigid motion of the second part and what its points miss by.
	Fit align.Fit
	// EndsMM is how far the two outlines miss each other where they meet.
	EndsMM float64
}

// mostPointsMM is how far shared points may miss each other: more is a wrong
// point, or another piece.
const mostPointsMM = 3.0

// JoinParts makes one piece of two parts of it that overlap, by two or more
// points of the first part, mm, and the same points of the second, in order.
// The second is laid on the first by the rigid motion of least squares; both
// are cut along the line through the two points that lie farthest apart, and
// what lies beyond the other is kept of each. Marks that both have are kept
// once. It fails, changing nothing, where the points miss by more than 3 mm, or
// where the parts do not lie on either side of that line.
func (p *Pattern) JoinParts(id string, a []mat.Point, otherID string, b []mat.Point) (Parted, error) {
	next := p.clone()
	out, err := next.joinParts(id, a, otherID, b)
	if err != nil {
		return out, err
	}
	*p = next
	return out, nil
}

func (p *Pattern) joinParts(id string, a []mat.Point, otherID string, b []mat.Point) (Parted, error) {
	q, err := p.Piece(id)
	if err != nil {
		return Parted{}, err
	}
	r, err := p.Piece(otherID)
	if err != nil {
		return Parted{}, err
	}
	if id == otherID {
		return Parted{}, fmt.Errorf("both parts are piece %s: choose points on two pieces", id)
	}
	fit, err := align.Rigid(b, a)
	out := Parted{Fit: fit}
	if err != nil {
		return out, err
	}
	if fit.WorstMM > mostPointsMM {
		return out, fmt.Errorf("the shared points miss each other by %.1f mm: they are not the same points, or a photograph is not squared up well; choose them again", fit.WorstMM)
	}
	*r = r.Moved(fit.Motion)
	marks := append(slices.Clone(q.Marks), r.Marks...)
	from, to := farthest(a)
	sideA, sideB := sideOf(q, from, to), sideOf(r, from, to)
	if sideA*sideB >= 0 {
		return out, fmt.Errorf("pieces %s and %s lie on one side of the line through the shared points: choose points across the place where they overlap", id, otherID)
	}
	cutA, err := p.keepSide(id, from, to, sideA)
	if err != nil {
		return out, err
	}
	cutB, err := p.keepSide(otherID, from, to, sideB)
	if err != nil {
		return out, err
	}
	if q, err = p.Piece(id); err != nil {
		return out, err
	}
	if r, err = p.Piece(otherID); err != nil {
		return out, err
	}
	k, l := q.edgeIndex(cutA), r.edgeIndex(cutB)
	a0, a1 := ends(q.EdgePath(k))
	b0, b1 := ends(r.EdgePath(l))
	out.EndsMM = max(gap(a0, b1), gap(a1, b0))
	if out.EndsMM > mostGapMM {
		return out, fmt.Errorf("where they meet the outlines miss each other by %.1f mm: choose points nearer to the edges on both sides", out.EndsMM)
	}
	if err := p.merge(q, k, *r, l); err != nil {
		return out, err
	}
	p.leaveOut(otherID)
	p.dropEdges([]string{cutA, cutB})
	if q, err = p.Piece(id); err != nil {
		return out, err
	}
	q.onceEach(marks)
	p.joinOver(q, middle(a0, b1), middle(a1, b0))
	return out, nil
}

// farthest returns the two points that lie farthest apart.
func farthest(pts []mat.Point) (a, b mat.Point) {
	a, b = pts[0], pts[len(pts)-1]
	for i, x := range pts {
		for _, y := range pts[:i] {
			if gap(x, y) > gap(a, b) {
				a, b = x, y
			}
		}
	}
	return a, b
}

// sideOf tells on which side of a line most of a piece lies: its area on the
// right less that on the left, roughly.
func sideOf(p *Piece, a, b mat.Point) float64 {
	var x, y, area float64
	pts := p.Outline.Flatten(0.5)
	for i, u := range pts {
		v := pts[(i+1)%len(pts)]
		w := (u.X*v.Y - v.X*u.Y) / 2
		x, y, area = x+w*(u.X+v.X)/3, y+w*(u.Y+v.Y)/3, area+w
	}
	if area == 0 {
		return 0
	}
	c := mat.Point{X: x / area, Y: y / area}
	return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
}

// keepSide cuts a piece along a line and keeps, under its own letter, the part
// on one side; it returns the edge along the cut.
func (p *Pattern) keepSide(id string, a, b mat.Point, side float64) (string, error) {
	// A line through two points of a slanted edge has to reach past them.
	d := mat.Point{X: (b.X - a.X) / 2, Y: (b.Y - a.Y) / 2}
	from, to := mat.Point{X: a.X - d.X, Y: a.Y - d.Y}, mat.Point{X: b.X + d.X, Y: b.Y + d.Y}
	if side < 0 {
		// The part that keeps its letter lies on the right of the line.
		from, to = to, from
	}
	cut, err := p.split(id, from, to)
	if err != nil {
		return "", err
	}
	if cut.keptSide > 1 {
		return "", fmt.Errorf("the line through the shared points runs through an opening of piece %s: choose points beside the opening", id)
	}
	p.leaveOut(cut.apart)
	q, err := p.Piece(id)
	if err != nil {
		return "", err
	}
	return q.Edges[len(q.Edges)-1].ID, nil
}

// onceEach gives the piece those of some registration marks that meet its
// outline, of several close together the first.
func (p *Piece) onceEach(marks []Mark) {
	const sameMarkMM = 2
	var kept []Mark
	for _, m := range marks {
		if off(m, p.Outline) {
			continue
		}
		if !slices.ContainsFunc(kept, func(k Mark) bool { return gap(k.At, m.At) < sameMarkMM }) {
			kept = append(kept, m)
		}
	}
	p.Marks = kept
}

// Append takes all of another pattern's pieces in, under the next free letters,
// and returns the letter of each of its old ones. Its seams and tapes come
// along; tapes of one name are one.
func (p *Pattern) Append(other Pattern, move curve.Transform) map[string]string {
	letters, edges, tapes := map[string]string{}, map[string]string{}, map[string]string{}
	p.Tapes = slices.Clone(p.Tapes)
	for _, t := range other.Tapes {
		k := slices.IndexFunc(p.Tapes, func(x Tape) bool { return x.Name == t.Name })
		if k < 0 {
			tapes[t.ID] = p.AddTape(t.Name, t.SRGB)
			k = len(p.Tapes) - 1
			p.Tapes[k].Meant, p.Tapes[k].Cut = t.Meant, t.Cut
		}
		tapes[t.ID] = p.Tapes[k].ID
	}
	p.Pieces = slices.Clone(p.Pieces)
	for _, q := range other.Pieces {
		q = q.Moved(move)
		id := q.ID
		if _, err := p.Piece(id); err == nil || id == "" {
			id = p.freshPieceID()
		}
		letters[q.ID] = id
		for k := range q.Edges {
			e := &q.Edges[k]
			old := e.ID
			if id != q.ID {
				e.ID = edgeID(id, k+1)
			}
			edges[old], e.Tape = e.ID, tapes[e.Tape]
		}
		q.ID = id
		p.Pieces = append(p.Pieces, q)
	}
	for _, s := range other.Seams {
		for _, run := range []*Run{&s.A, &s.B} {
			*run = slices.Clone(*run)
			for i := range *run {
				if id, ok := edges[(*run)[i].Edge]; ok {
					(*run)[i].Edge = id
				}
			}
		}
		s.ID = p.freshSeamID()
		p.Seams = append(slices.Clip(p.Seams), s)
	}
	return letters
}

// Below is the shift that takes another pattern's pieces below all there are.
func (p *Pattern) Below(other Pattern) mat.Point {
	const apartMM = 20
	low, left := math.Inf(-1), math.Inf(1)
	for _, q := range p.Pieces {
		b := q.Outline.Bounds()
		low, left = max(low, b.Max.Y), min(left, b.Min.X)
	}
	top, start := math.Inf(1), math.Inf(1)
	for _, q := range other.Pieces {
		b := q.Outline.Bounds()
		top, start = min(top, b.Min.Y), min(start, b.Min.X)
	}
	if math.IsInf(low, -1) || math.IsInf(top, 1) {
		return mat.Point{}
	}
	return mat.Point{X: left - start, Y: low + apartMM - top}
}
