package session

import (
	"math"
	"reflect"

	"flatwright/app/desk/view"
	"flatwright/export/page"
	"flatwright/rectify"
	"flatwright/rectify/lens"
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Space is the plane that is looked at.
type Space uint8

const (
	// InPhoto is the photograph, in its pixels.
	InPhoto Space = iota
	// OnMat is the mat, in millimetres.
	OnMat
)

// Track is a line of points in both spaces; InPhoto is empty when there is no
// photograph squared up.
type Track struct{ OnMat, InPhoto []view.Point }

// In returns the points in one space.
func (t Track) In(s Space) []view.Point {
	if s == OnMat {
		return t.OnMat
	}
	return t.InPhoto
}

// Node is a point between two segments of an outline.
type Node struct {
	Track
	// Corner tells a bend of more than 15 degrees from a smooth node.
	Corner bool
}

// EdgeShape is one edge ready to be drawn and hit.
type EdgeShape struct {
	ID       string
	PieceID  string
	Cut      pattern.Cut
	LengthMM float64
	Line     Track
	// OtherFace is the same edge on the other face of the sheet, as it is
	// printed; empty for a straight cut, while the piece has no thickness, and
	// where there is no other face.
	OtherFace []Track
	bounds    [2]view.Rect
}

// PieceShape is one piece ready to be drawn and hit.
type PieceShape struct {
	ID, Name string
	Edges    []EdgeShape
	Openings []Track
	Lines    []Track
	Marks    []Track
	Nodes    []Node
	// Label is the place inside the piece that lies farthest from its outline,
	// openings and lines, one point.
	Label Track
	// Outline is the whole outline, closed.
	Outline Track
	// Printed are lines that only the print has; of shapes on paper.
	Printed []Track
}

// Shapes is the pattern's geometry.
type Shapes struct {
	Pieces []PieceShape
	bounds [2]view.Rect
}

// Shapes returns the geometry of the present pattern. It is made once for
// every state of the document.
func (s *Session) Shapes() *Shapes {
	return s.shapes.of(s.work, func() *Shapes {
		v, _ := s.View()
		out := &Shapes{}
		for _, p := range s.doc.Pattern.Pieces {
			b := builder{toleranceMM: flattenToleranceMM}
			if s.doc.shown(p.ID) {
				b.view = v
			}
			out.Pieces = append(out.Pieces, s.shapeOf(b, p))
		}
		for _, in := range []Space{InPhoto, OnMat} {
			for _, p := range out.Pieces {
				out.bounds[in] = out.bounds[in].Union(view.Bounds(p.Outline.In(in)))
			}
		}
		return out
	})
}

// made is the shape of a piece and what it was made from.
type made struct {
	piece   pattern.Piece
	squared *rectify.Squared
	place   curve.Transform
	shown   bool
	shape   PieceShape
}

// shapeOf returns the piece's shape, made anew only when the piece or the
// camera has changed: an edit touches one piece of many.
func (s *Session) shapeOf(b builder, p pattern.Piece) PieceShape {
	if m, ok := s.made[p.ID]; ok && m.squared == s.doc.Squared && m.place == s.doc.Place && m.shown == (b.view != nil) && reflect.DeepEqual(m.piece, p) {
		return m.shape
	}
	if s.made == nil {
		s.made = map[string]made{}
	}
	m := made{p, s.doc.Squared, s.doc.Place, b.view != nil, b.piece(p)}
	s.made[p.ID] = m
	return m.shape
}

// flattenToleranceMM keeps chords a tenth of a photograph's pixel from the
// curve at the usual 0.25 mm per pixel.
const flattenToleranceMM = 0.025

// cornerBendRad is the bend from which a node is shown as a corner.
const cornerBendRad = 15 * math.Pi / 180

type builder struct {
	view        lens.Mapping
	toleranceMM float64
}

// track takes points on the mat into both spaces.
func (b builder) track(pts []mat.Point) Track {
	t := Track{OnMat: make([]view.Point, len(pts))}
	if b.view != nil {
		t.InPhoto = make([]view.Point, len(pts))
	}
	for i, p := range pts {
		t.OnMat[i] = view.Point(p)
		if b.view != nil {
			t.InPhoto[i] = view.Point(b.view.ToPhoto(p))
		}
	}
	return t
}

// loop is track for a path; a closed one ends where it begins.
func (b builder) loop(p curve.Path) Track {
	pts := p.Flatten(b.toleranceMM)
	if p.Closed && len(pts) > 0 {
		pts = append(pts, pts[0])
	}
	return b.track(pts)
}

func (b builder) piece(p pattern.Piece) PieceShape {
	out := PieceShape{ID: p.ID, Name: p.Name, Outline: b.loop(p.Outline), Nodes: b.nodes(p.Outline)}
	for _, o := range p.Openings {
		out.Openings = append(out.Openings, b.loop(o))
	}
	for _, l := range p.Lines {
		out.Lines = append(out.Lines, b.loop(l.Path))
	}
	for _, m := range p.Marks {
		out.Marks = append(out.Marks, b.track([]mat.Point{m.At, m.In}))
	}
	out.Label = b.track([]mat.Point{labelPlace(p)})
	out.Edges = b.edges(p)
	return out
}

// edgePath returns the segments of one edge as an open path.
func edgePath(outline curve.Path, e pattern.Edge) curve.Path {
	var p curve.Path
	n := len(outline.Segments)
	if n == 0 {
		return p
	}
	for i := range min(e.Count, n) {
		p.Segments = append(p.Segments, outline.Segments[((e.First+i)%n+n)%n])
	}
	return p
}

func (b builder) edges(p pattern.Piece) []EdgeShape {
	runs := make([][]mat.Point, len(p.Edges))
	for i, e := range p.Edges {
		runs[i] = edgePath(p.Outline, e).Flatten(b.toleranceMM)
	}
	other := b.otherFace(p)
	out := make([]EdgeShape, len(p.Edges))
	for i, e := range p.Edges {
		s := EdgeShape{ID: e.ID, PieceID: p.ID, Cut: e.Cut, Line: b.track(runs[i]), OtherFace: other[e.ID]}
		s.LengthMM = lengthMM(runs[i])
		s.bounds = [2]view.Rect{InPhoto: view.Bounds(s.Line.InPhoto), OnMat: view.Bounds(s.Line.OnMat)}
		out[i] = s
	}
	return out
}

// otherFace returns the tracks of the other face by edge.
func (b builder) otherFace(p pattern.Piece) map[string][]Track {
	out := map[string][]Track{}
	if len(p.Outline.Segments) == 0 {
		return out
	}
	lines, _ := page.OtherFaceLines(p)
	for _, l := range lines {
		out[l.EdgeID] = append(out[l.EdgeID], b.loop(l.Path))
	}
	return out
}

// OffsetMM returns how far the edge on the other face lies inside the drawn
// one, outside when negative; 0 for a straight cut or an unknown thickness.
func OffsetMM(c pattern.Cut, p pattern.Piece) float64 { return page.InsetMM(&p, c) }

// lengthMM sums the chords; with the flattening tolerance used here they fall
// short of the curve by less than a few micrometres per chord.
func lengthMM(pts []mat.Point) float64 {
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		sum += math.Hypot(pts[i].X-pts[i-1].X, pts[i].Y-pts[i-1].Y)
	}
	return sum
}

func (b builder) nodes(p curve.Path) []Node {
	n := len(p.Segments)
	out := make([]Node, n)
	for i, s := range p.Segments {
		before := p.Segments[(i+n-1)%n].Tangent(1)
		after := s.Tangent(0)
		bend := math.Abs(math.Atan2(before.X*after.Y-before.Y*after.X, before.X*after.X+before.Y*after.Y))
		out[i] = Node{Track: b.track([]mat.Point{s.P0}), Corner: bend > cornerBendRad}
	}
	return out
}

// Bounds returns the rectangle around an edge in a space.
func (e *EdgeShape) Bounds(in Space) view.Rect { return e.bounds[in] }

// Edge returns the shape of an edge; false when there is none.
func (s *Shapes) Edge(id string) (EdgeShape, bool) {
	for _, p := range s.Pieces {
		for _, e := range p.Edges {
			if e.ID == id {
				return e, true
			}
		}
	}
	return EdgeShape{}, false
}

// Bounds returns the rectangle around all outlines in a space.
func (s *Shapes) Bounds(in Space) view.Rect { return s.bounds[in] }

// EdgeAt returns the ID of the edge nearest to a position, at most reach away
// in the space's own unit; empty for none.
func (s *Shapes) EdgeAt(in Space, at view.Point, reach float64) string {
	id := ""
	for _, p := range s.Pieces {
		for _, e := range p.Edges {
			spot := view.Rect{Min: at, Max: at}.Grown(reach)
			if !e.bounds[in].Overlaps(spot) {
				continue
			}
			if d := distance(e.Line.In(in), at); d <= reach {
				id, reach = e.ID, d
			}
		}
	}
	return id
}

// distance is how far a position lies from a line of points.
func distance(pts []view.Point, at view.Point) float64 {
	best := math.Inf(1)
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		dx, dy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if l := dx*dx + dy*dy; l > 0 {
			t = math.Max(0, math.Min(1, ((at.X-a.X)*dx+(at.Y-a.Y)*dy)/l))
		}
		best = math.Min(best, math.Hypot(at.X-a.X-t*dx, at.Y-a.Y-t*dy))
	}
	return best
}

// PieceAt returns the ID of the piece that a position lies in; empty for none.
// Its openings count as part of it: a click there means the piece.
func (s *Shapes) PieceAt(in Space, at view.Point) string {
	for _, p := range s.Pieces {
		if view.Inside(p.Outline.In(in), at) {
			return p.ID
		}
	}
	return ""
}
