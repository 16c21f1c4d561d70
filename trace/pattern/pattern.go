// Package pattern holds what is cut: pieces with their edges, cuts, marks
// and seams, and the trade's rules about them. Plain values; coordinates are
// millimetres on the mat (frame of mat.Point, y down) as the pieces lay.
package pattern

import (
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
)

// CutKind is the way the knife goes through an edge.
type CutKind string

// The kinds of cut on an edge.
const (
	// Straight is square to the face.
	Straight CutKind = "straight"
	// Bevel leans so that the back face is smaller.
	Bevel CutKind = "bevel"
	// Undercut leans so that the back face is larger.
	Undercut CutKind = "undercut"
)

// Cut is how one edge is cut.
type Cut struct {
	Kind CutKind
	// AngleDeg is measured from square, 0 < AngleDeg < 90 for Bevel and
	// Undercut; it is ignored for Straight. Its sign is in the Kind.
	AngleDeg float64
}

// Edge is a run of whole segments of a piece's outline between two break
// points: it begins with segment First and is Count segments long, going
// round past the last segment to the first when needed.
type Edge struct {
	// ID is unique in the pattern, like "A3": the piece's letter and a number.
	ID           string
	First, Count int
	Cut          Cut
}

// Mark is a registration mark (notch): a short stroke that meets the
// outline at At and runs inwards to In.
type Mark struct {
	At, In mat.Point
}

// InsideLine is a line drawn inside a piece with the pen.
type InsideLine struct {
	Path curve.Path
}

// Face says which face of the sheet the pattern shows.
type Face string

// The two faces of a sheet.
const (
	// Front: lifted off the outside of the form.
	Front Face = "front"
	// Back: lifted off a body or a core.
	Back Face = "back"
)

// Piece is one flat part.
type Piece struct {
	// ID is unique in the pattern: "A", "B", … "Z", "AA", …
	ID string
	// Name is the maker's; empty until typed.
	Name     string
	Outline  curve.Path
	Openings []curve.Path
	// Edges cover the outline once, in order.
	Edges       []Edge
	Marks       []Mark
	Lines       []InsideLine
	Quantity    int
	Mirrored    bool
	ThicknessMM float64
	Face        Face
}

// Pattern is everything that came from one mat.
type Pattern struct {
	Name   string
	Pieces []Piece
}

// Nodes returns the ends of the segments of all outlines, in mm on the mat:
// the places at which the pattern's accuracy is asked for.
func (p Pattern) Nodes() []mat.Point {
	var nodes []mat.Point
	for _, piece := range p.Pieces {
		for _, s := range piece.Outline.Segments {
			nodes = append(nodes, s.P0)
		}
	}
	return nodes
}
