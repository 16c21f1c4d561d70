package pattern

import "flatwright/rectify/mat"

// FindingKind tells what a finding is about.
type FindingKind string

// The kinds of finding.
const (
	// Faulty: the pattern breaks one of Validate's rules.
	Faulty FindingKind = "faulty"
	// BackFace: the other face of a piece cannot be made.
	BackFace FindingKind = "other face"
	// SeamLength: a seam's sides differ in length.
	SeamLength FindingKind = "seam length"
	// SeamMarks: marks of a seam do not agree.
	SeamMarks FindingKind = "marks"
	// SeamAngle: a seam's angle is out of range or not the wanted one.
	SeamAngle FindingKind = "angle"
	// PointAngle: three pieces meet at a point, and their cuts do not give the
	// angles that follow from their corners.
	PointAngle FindingKind = "angles at a point"
	// SeamStep: the sheets' cut surfaces differ in width.
	SeamStep FindingKind = "step"
	// BareSeam: a long seam has no mark.
	BareSeam FindingKind = "bare seam"
	// Unpaired: an edge is in no seam while others are.
	Unpaired FindingKind = "unpaired edge"
	// SameName: two pieces have one name.
	SameName FindingKind = "same name"
	// TooLarge: a piece does not fit the sheet.
	TooLarge FindingKind = "too large"
	// TooTight: a leaning cut bends too tightly for the sheet.
	TooTight FindingKind = "too tight"
	// EitherWay: the marks of a seam meet turned end for end, too.
	EitherWay FindingKind = "either way"
	// TapeUnsaid: a colour of tape has no meaning yet.
	TapeUnsaid FindingKind = "tape"
	// OutlineFault: the outline has what no knife should follow.
	OutlineFault FindingKind = "outline"
	// AllowanceStrip: an allowance cannot be made.
	AllowanceStrip FindingKind = "allowance"
	// OpenDart: no seam closes a dart.
	OpenDart FindingKind = "open dart"
	// WideDart: a dart opens wide.
	WideDart FindingKind = "wide dart"
)

// Severity tells how much a finding matters.
type Severity uint8

// The severities, from what should be known to what cannot be cut.
const (
	Note Severity = iota
	Warning
	Fault
)

// String is the severity in a word.
func (s Severity) String() string {
	switch s {
	case Fault:
		return "fault"
	case Warning:
		return "warning"
	}
	return "note"
}

// Finding is something about a pattern that the maker should hear.
type Finding struct {
	Kind     FindingKind
	Severity Severity
	// Piece, Edge and Seam name what it is about; any may be empty.
	Piece, Edge, Seam string
	// At is the place on the mat.
	At mat.Point
	// Text says what is wrong and what to do.
	Text string
	// AmountMM and AmountDeg are how much, where it is a length or an angle.
	AmountMM, AmountDeg float64
	// Mend is the change that puts it right; its zero value does nothing.
	Mend Mend
	// Other is another way to put it right; its zero value is none.
	Other Mend
}
