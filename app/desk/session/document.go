// Package session is the state of the window without the window: the
// photograph, what was made of it, what is selected, and the history of edits.
// It belongs to one goroutine.
package session

import (
	"slices"

	"flatwright/rectify"
	"flatwright/rectify/photo"
	"flatwright/trace"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// Document is everything that undo brings back. It is treated as a value:
// what its pointers and slices refer to is never written to once it has been
// stored, so that old states stay whole.
type Document struct {
	// Work is that on the photograph looked at.
	Work
	// Pattern began as what was traced and carries the maker's edits.
	Pattern pattern.Pattern
	// Shots are all photographs of the pattern in the order of adding, none while
	// there is one only. What they have of the work on that of Active, which is
	// looked at, may be old.
	Shots  []Shot
	Active int
	// From tells where pieces came from that are not simply of the first
	// photograph. The map is never written to.
	From map[string]Origin
	// Measured holds the outlines of pieces as they were measured in the
	// photograph, by piece. The map is never written to: another takes its place.
	Measured map[string]Measured
	// Seen are findings that the maker has looked at and left as they are.
	Seen []string
	// Print is how the pattern is printed. The zero value is unknown: a project
	// of an older program.
	Print Print
}

// Work is what is done with one photograph.
type Work struct {
	Settings
	// Corners are crossings placed by hand, in the order of placing.
	Corners []Corner
	Sheet   Sheet
	// Checks are lengths that the maker knows, in the order of asking.
	Checks []LengthCheck
	// Squared is nil until the photograph has been squared up; SolvedBy and
	// Solved are the way and the settings it came of, SolvedWith all that it was
	// solved with: what it takes to solve it again.
	Squared    *rectify.Squared
	SolvedBy   Means
	Solved     Settings
	SolvedWith rectify.Options
	// Traced is what the tracer said; nil until traced.
	Traced *trace.Traced
	// Place takes the photograph's mat into the pattern's frame, mm: a rigid
	// motion. The zero value is no motion.
	Place curve.Transform
}

// Corner is a crossing placed by hand.
type Corner struct {
	At photo.Point
	// Snapped tells that At lies on a crossing that was found near the click.
	Snapped     bool
	Column, Row int
	// Known tells that Column and Row were typed or proposed; without them the
	// corner cannot be used.
	Known bool
	// Proposed tells that Column and Row are a guess that nobody has confirmed.
	Proposed bool
}

// clone copies what edits write to: the corners, the checks, the pieces with their
// edges, the seams and the tapes. Outlines are shared, nothing here changes them.
func (d Document) clone() Document {
	d.Corners = slices.Clone(d.Corners)
	d.Sheet.Corners = slices.Clone(d.Sheet.Corners)
	d.Checks = slices.Clone(d.Checks)
	d.Seen = slices.Clone(d.Seen)
	d.Shots = slices.Clone(d.Shots)
	d.Pattern.Pieces = slices.Clone(d.Pattern.Pieces)
	d.Pattern.Seams = slices.Clone(d.Pattern.Seams)
	d.Pattern.Tapes = slices.Clone(d.Pattern.Tapes)
	for i := range d.Pattern.Pieces {
		p := &d.Pattern.Pieces[i]
		p.Edges = slices.Clone(p.Edges)
	}
	return d
}

// piece returns the piece with an ID, nil when there is none.
func (d *Document) piece(id string) *pattern.Piece {
	for i := range d.Pattern.Pieces {
		if d.Pattern.Pieces[i].ID == id {
			return &d.Pattern.Pieces[i]
		}
	}
	return nil
}

// edge returns the edge with an ID and the piece it belongs to.
func (d *Document) edge(id string) (*pattern.Piece, *pattern.Edge) {
	for i := range d.Pattern.Pieces {
		p := &d.Pattern.Pieces[i]
		for j := range p.Edges {
			if p.Edges[j].ID == id {
				return p, &p.Edges[j]
			}
		}
	}
	return nil, nil
}
