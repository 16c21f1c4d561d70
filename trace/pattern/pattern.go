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
	// Varies makes the angle change evenly along the edge, by arc length, from
	// the one above at its start to ToDeg at its end. ToDeg has its sign: above
	// zero leans like a bevel, below zero like an undercut. The edge runs with
	// the outline.
	Varies bool
	ToDeg  float64
}

// Edge is a run of whole segments of a piece's outline between two break
// points: it begins with segment First and is Count segments long, going
// round past the last segment to the first when needed.
type Edge struct {
	// ID is unique in the pattern, like "A3": the piece's letter and a number.
	ID           string
	First, Count int
	Cut          Cut
	// Allowance is material left on beyond the edge.
	Allowance Allowance
	// Tape is the ID of the coloured tape that runs along the edge; empty for
	// none. One that the pattern does not list means nothing.
	Tape string
	// Rim: the maker said that the edge stays open, as a part of the form's rim.
	Rim bool
}

// Allowance is the strip left on along an edge of fabric, leather or paper, to
// be sewn or glued under.
type Allowance struct {
	// WidthMM is 0 for none.
	WidthMM float64
	// Corner says how the strip ends where the next edge begins.
	Corner AllowanceCorner
}

// AllowanceCorner is a way to end an allowance at a corner.
type AllowanceCorner string

// The ways to end an allowance; the empty one is Mitred.
const (
	// Mitred prolongs both strips to where they meet.
	Mitred AllowanceCorner = "mitred"
	// Square cuts the strip off square to the edge.
	Square AllowanceCorner = "square"
	// Folded mirrors the next edge, so that the strip, folded under along its
	// own edge, ends flush with it.
	Folded AllowanceCorner = "folded"
)

// Mark is a registration mark (notch): a short stroke that meets the
// outline at At and runs inwards to In.
type Mark struct {
	At, In mat.Point
	// Ticks is how many strokes stand side by side, so that seams that meet can
	// be told apart; 0 means one.
	Ticks int
}

// InsideLine is a line drawn inside a piece with the pen.
type InsideLine struct {
	Path curve.Path
	// Work is what is done along it; the zero value is only drawn.
	Work LineWork
	// Run names the run of grooves that the line belongs to: its grooves and
	// the line they are spread beside, or the edge that they stand on. Empty for
	// none.
	Run string
}

// LineWorkKind is a way to work a sheet along a line inside it.
type LineWorkKind string

// The kinds of work along a line; the empty one is Drawn.
const (
	// Drawn: the line is printed and nothing is cut.
	Drawn LineWorkKind = ""
	// Score: cut in to a depth from the face that the pattern shows.
	Score LineWorkKind = "score"
	// Groove: a V cut out of the back, which shuts when the sheet is bent.
	Groove LineWorkKind = "groove"
	// Slit: cut in from the front and opened by bending backwards to a gap.
	Slit LineWorkKind = "slit"
)

// LineWork is what is done along an inside line.
type LineWork struct {
	Kind LineWorkKind
	// DepthMM is how deep the knife goes.
	DepthMM float64
	// BendDeg is the turn that a groove gives when it is shut.
	BendDeg float64
	// GapMM is the width to which a slit is opened at the surface.
	GapMM float64
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
	// Material and Note are the maker's words.
	Material, Note string
}

// Pattern is everything that came from one mat.
type Pattern struct {
	Name   string
	Pieces []Piece
	// Seams pair edges that will be glued or sewn together.
	Seams []Seam
	// Tapes are the colours of tape along edges.
	Tapes []Tape
	// Limits are what the findings hold the pattern to; zero values mean
	// DefaultLimits.
	Limits Limits
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
