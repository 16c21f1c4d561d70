package session

import (
	"flatwright/rectify/mat"
	"flatwright/trace/curve"
	"flatwright/trace/pattern"
)

// OntoMat takes a path of the pattern's frame to the mat of the photograph
// looked at, FromMat back; both also take points.
func (s *Session) OntoMat(p curve.Path) curve.Path {
	if s.doc.Place == (curve.Transform{}) {
		return p
	}
	return p.Transform(back(s.doc.Place))
}

// FromMat is the way back from OntoMat.
func (s *Session) FromMat(p curve.Path) curve.Path {
	if s.doc.Place == (curve.Transform{}) {
		return p
	}
	return p.Transform(s.doc.Place)
}

// PointOntoMat is OntoMat for a point.
func (s *Session) PointOntoMat(p mat.Point) mat.Point { return back(motion(s.doc.Place)).Apply(p) }

// SamplesFromMat is FromMat for measured points.
func (s *Session) SamplesFromMat(in []curve.Sample) []curve.Sample {
	if s.doc.Place == (curve.Transform{}) {
		return in
	}
	return movedSamples(in, s.doc.Place)
}

// SamplesOntoMat is OntoMat for measured points.
func (s *Session) SamplesOntoMat(in []curve.Sample) []curve.Sample {
	if s.doc.Place == (curve.Transform{}) {
		return in
	}
	return movedSamples(in, back(s.doc.Place))
}

// PieceFromMat is FromMat for a piece.
func (s *Session) PieceFromMat(p pattern.Piece) pattern.Piece {
	if s.doc.Place == (curve.Transform{}) {
		return p
	}
	return p.Moved(s.doc.Place)
}
