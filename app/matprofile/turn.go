package matprofile

import "flatwright/rectify/mat"

// Turn says how a mat lies in a photograph against how it lay when it was
// measured.
type Turn uint8

const (
	// TurnUnknown: the count of squares allows both.
	TurnUnknown Turn = iota
	// AsMeasured: the mat lies as when it was measured, or turned by a half,
	// which changes nothing.
	AsMeasured
	// ByAQuarter: the mat lies turned by a quarter.
	ByAQuarter
	// AnotherMat: the photograph shows more squares than the mat has.
	AnotherMat
)

// Turn returns how the mat lies in a photograph, as far as the count of
// squares in view proves it.
func (p Profile) Turn(g mat.Grid) Turn {
	if p.Columns == 0 || p.Rows == 0 {
		return TurnUnknown
	}
	columns, rows := g.MaxColumn-g.MinColumn, g.MaxRow-g.MinRow
	straight := columns <= p.Columns && rows <= p.Rows
	quarter := columns <= p.Rows && rows <= p.Columns
	switch {
	case straight && quarter:
		return TurnUnknown
	case straight:
		return AsMeasured
	case quarter:
		return ByAQuarter
	}
	return AnotherMat
}
