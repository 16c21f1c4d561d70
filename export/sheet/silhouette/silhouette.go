// Package silhouette turns pieces of a pattern into polygons that cover all that
// is cut of them: the face that is drawn, the other face, and allowances.
package silhouette

import (
	"fmt"
	"slices"

	"flatwright/export/sheet/polygon"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// CurveToleranceMM is how far the chords that stand for curves may lie inside
// of them.
const CurveToleranceMM = 0.02

// Of returns polygons that together cover a piece, openings left out: first its
// outline, or the other face where that is larger all round; then what lies
// beyond. They reach at most toleranceMM beyond the true curves, and nowhere
// more than CurveToleranceMM inside of them. The notes are sentences about what
// could not be made. It fails for an outline that is open, has no area or
// crosses itself.
func Of(q *pattern.Piece, toleranceMM float64) ([]polygon.Shape, []string, error) {
	fault := func(why string) error {
		return fmt.Errorf("piece %s cannot be laid out: %s; mend its outline or remove it", q.ID, why)
	}
	if !q.Outline.Closed || len(q.Outline.Segments) == 0 {
		return nil, nil, fault("it has no closed outline")
	}
	cover := func(paths ...curve.Path) polygon.Shape {
		s := polygon.Shape{Outline: paths[0].Flatten(CurveToleranceMM)}
		for _, o := range paths[1:] {
			s.Openings = append(s.Openings, o.Flatten(CurveToleranceMM))
		}
		return polygon.Cover(s, toleranceMM)
	}
	face := cover(append([]curve.Path{q.Outline}, q.Openings...)...)
	if len(face.Outline) < 3 {
		return nil, nil, fault("its outline has no area")
	}
	if _, err := polygon.Parts(face); err != nil {
		return nil, nil, fault(err.Error())
	}
	shapes := []polygon.Shape{face}
	var notes []string
	other, findings := pattern.OtherFace(*q)
	for _, f := range findings {
		notes = append(notes, fmt.Sprintf("Piece %s is laid out by the face that is drawn: %s", q.ID, f.Text))
	}
	switch in, out := leans(q); {
	case len(other) == 0 || !out: // the face that is drawn covers it
	case !in:
		shapes[0] = cover(other...)
	default:
		shapes = append(shapes, cover(other...))
	}
	strips, err := q.Allowances()
	if err != nil {
		notes = append(notes, fmt.Sprintf("Piece %s is laid out without its allowances: %v.", q.ID, err))
	}
	for _, s := range strips {
		ring := s.Cut
		if !ring.Closed {
			ring = stripRing(q, s)
		}
		shapes = append(shapes, cover(ring))
	}
	// Of further shapes only those that can be taken apart are told of.
	kept := shapes[:1]
	for _, s := range shapes[1:] {
		if len(s.Outline) < 3 {
			continue
		}
		if _, err := polygon.Parts(s); err != nil {
			notes = append(notes, fmt.Sprintf("Piece %s: part of its other face or allowance is left out of the plan, for %v.", q.ID, err))
			continue
		}
		kept = append(kept, s)
	}
	return kept, notes, nil
}

// stripRing closes an allowance along the edge that it lies on.
func stripRing(q *pattern.Piece, s pattern.Strip) curve.Path {
	pts := s.Cut.Flatten(CurveToleranceMM)
	for k, e := range q.Edges {
		if e.ID != s.EdgeID {
			continue
		}
		path := q.EdgePath(k)
		back := path.Flatten(CurveToleranceMM)
		slices.Reverse(back)
		pts = append(pts, back...)
	}
	return curve.Polygon(polygon.Clean(pts)...)
}

// leans reports whether some edge of the other face lies inside of the one that
// is drawn, and whether some lies outside.
func leans(q *pattern.Piece) (in, out bool) {
	if q.ThicknessMM <= 0 {
		return false, false
	}
	for _, e := range q.Edges {
		degs := []float64{e.Cut.SignedDeg()}
		if e.Cut.Varies {
			degs = append(degs, e.Cut.ToDeg)
		}
		for _, d := range degs {
			if q.Face == pattern.Back {
				d = -d
			}
			in, out = in || d > 0, out || d < 0
		}
	}
	return in, out
}
