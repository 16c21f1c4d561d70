// Package mat speaks of the gridded cutting mat: its frame, its printed
// lines, and where they were seen in a photograph.
//
// The frame: millimetres on the mat's surface, x right, y down, the origin
// at one of the printed crossings. The same handedness holds in storage and
// on paper, so that no piece is ever mirrored by accident.
package mat

import "flatwright/rectify/photo"

// Point is a position on the mat, in millimetres of the frame above.
type Point struct{ X, Y float64 }

// Pitch is the true distance between neighbouring printed lines: XMM from
// column to column, YMM from row to row. Mats are printed with errors and
// stretch, so the two differ.
type Pitch struct{ XMM, YMM float64 }

// Square returns the pitch of a mat whose squares are square.
func Square(pitchMM float64) Pitch { return Pitch{XMM: pitchMM, YMM: pitchMM} }

// Of returns the distance between neighbouring lines of a family.
func (p Pitch) Of(f Family) float64 {
	if f == Columns {
		return p.XMM
	}
	return p.YMM
}

// At returns the point so many squares from the origin.
func (p Pitch) At(columns, rows float64) Point {
	return Point{X: columns * p.XMM, Y: rows * p.YMM}
}

// Count returns how many squares from the origin a point lies.
func (p Pitch) Count(at Point) (columns, rows float64) {
	return at.X / p.XMM, at.Y / p.YMM
}

// Family tells the two directions of printed lines apart.
type Family uint8

const (
	// Columns are the lines x = Line() * Pitch.XMM.
	Columns Family = iota
	// Rows are the lines y = Line() * Pitch.YMM.
	Rows
)

// LinePoint is one sub-pixel sample on the centre of a printed line.
type LinePoint struct {
	Family Family
	// Index counts the lines of the family in whole pitches from the origin.
	Index int
	// Part is how far beyond Index a minor line stands, in pitches: 0 for a
	// line of the pitch, 0.25 for the first of the quarters.
	Part float64
	// Along is roughly where on the line the sample lies, in pitches; good to
	// a few hundredths, used for bookkeeping only.
	Along float64
	// At is the measured position.
	At photo.Point
	// SigmaPx is the sample's own standard error across the line.
	SigmaPx float64
}

// Line is where the sample's line stands, in pitches from the origin.
func (p LinePoint) Line() float64 { return float64(p.Index) + p.Part }

// OfPitch reports whether the line is one that stands a whole number of
// pitches from the origin.
func (p LinePoint) OfPitch() bool { return p.Part == 0 }

// Grid is what was read of a mat's lines in one photograph.
type Grid struct {
	Points []LinePoint
	// MinColumn..MaxColumn and MinRow..MaxRow bound the lines that were seen.
	MinColumn, MaxColumn, MinRow, MaxRow int
	// MinorPerPitch is the number of minor divisions a pitch was seen to be
	// printed with; 1 when there are none.
	MinorPerPitch int
	// LineWidthPitch is the width of a major line as a fraction of the pitch.
	LineWidthPitch float64
	// Kinds are the spacings of printed lines that could be told apart, the
	// widest first: any of them may be what is known as the mat's pitch. The
	// one that Index counts is among them, with an EveryPitch of 1.
	Kinds []LineKind
}

// LineKind is one spacing of printed lines.
type LineKind struct {
	// EveryPitch is the spacing in pitches.
	EveryPitch float64
}
