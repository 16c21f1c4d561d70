package pattern

import (
	"fmt"
	"math"

	"flatwright/rectify/mat"
)

const radPerDeg = math.Pi / 180

// Joint is the cross-section of two sheets joined along a seam, seen along
// it, in mm: the front faces meet at the origin, sheet A lies to the left with
// its front up, and the material below (y down). B is turned about the origin.
type Joint struct {
	// TurnDeg is the turn between the faces: the sum of the bevels, or what is
	// left to 180° of the wanted interior angle. Positive is a ridge outwards.
	TurnDeg float64
	// InteriorDeg is 180° less the turn.
	InteriorDeg float64
	// A and B are the sheets' sections, four points each: far and near end of
	// the front face, near and far end of the back face.
	A, B [4]mat.Point
	// WedgeDeg is the turn less the sum of the bevels: above zero the cut
	// surfaces meet at the back and gape at the front, below zero they gape at
	// the back. 0 when no angle was wanted.
	WedgeDeg float64
	// GapMM is how wide they gape there.
	GapMM float64
	// StepMM is how far B's cut surface is longer than A's: the back faces miss
	// each other by so much.
	StepMM float64
}

// SheetEnd is one sheet at a seam.
type SheetEnd struct {
	Cut         Cut
	ThicknessMM float64
}

// JointOf returns the section of a joint, each sheet drawn armMM long. With
// wantDeg 0 the cut surfaces lie flush; otherwise the faces meet at that
// interior angle, and the wedge between the surfaces is reported. Cuts that
// vary are taken at their beginning. It fails on sheets without thickness and
// on angles that no joint has.
func JointOf(a, b SheetEnd, wantDeg, armMM float64) (Joint, error) {
	for _, s := range []SheetEnd{a, b} {
		if !(s.ThicknessMM > 0) || math.IsInf(s.ThicknessMM, 0) {
			return Joint{}, fmt.Errorf("the joint cannot be drawn: a sheet has no thickness; give it one")
		}
		if err := s.Cut.Validate(); err != nil {
			return Joint{}, fmt.Errorf("the joint cannot be drawn: %w", err)
		}
	}
	if wantDeg < 0 || wantDeg >= 360 || math.IsNaN(wantDeg) {
		return Joint{}, fmt.Errorf("an interior angle of %g° is no angle between faces: choose one between 0° and 360°", wantDeg)
	}
	bevelA, bevelB := a.Cut.SignedDeg(), b.Cut.SignedDeg()
	j := Joint{TurnDeg: bevelA + bevelB}
	if wantDeg > 0 {
		j.TurnDeg = 180 - wantDeg
	}
	j.InteriorDeg = 180 - j.TurnDeg
	j.WedgeDeg = j.TurnDeg - bevelA - bevelB
	longA := a.ThicknessMM / math.Cos(bevelA*radPerDeg)
	longB := b.ThicknessMM / math.Cos(bevelB*radPerDeg)
	j.StepMM = longB - longA
	j.GapMM = 2 * min(longA, longB) * math.Abs(math.Sin(j.WedgeDeg/2*radPerDeg))
	j.A = a.section(-armMM)
	j.B = b.section(armMM)
	for i, q := range j.B {
		s, c := math.Sincos(j.TurnDeg * radPerDeg)
		j.B[i] = mat.Point{X: c*q.X - s*q.Y, Y: s*q.X + c*q.Y}
	}
	return j, nil
}

// section is a flat sheet that ends at the origin, its far end at x = farMM.
func (s SheetEnd) section(farMM float64) [4]mat.Point {
	near := math.Copysign(1, farMM) * InsetMM(s.Cut, s.ThicknessMM)
	return [4]mat.Point{{X: farMM}, {}, {X: near, Y: s.ThicknessMM}, {X: farMM, Y: s.ThicknessMM}}
}

// MitreDegs returns the bevels from square with which two sheets, of unequal
// thickness perhaps, meet flush at an interior angle with their faces flush
// inside as well as outside. Equal sheets share the turn evenly.
func MitreDegs(t1MM, t2MM, interiorDeg float64) (b1Deg, b2Deg float64, err error) {
	if !(t1MM > 0) || !(t2MM > 0) {
		return 0, 0, fmt.Errorf("mitre: sheets of %g and %g mm; give both a thickness", t1MM, t2MM)
	}
	d1, d2, err := MitreInsetsMM(t1MM, t2MM, interiorDeg)
	if err != nil {
		return 0, 0, err
	}
	return math.Atan2(d1, t1MM) / radPerDeg, math.Atan2(d2, t2MM) / radPerDeg, nil
}

// PointAnglesDeg returns the interior angles along the three edges at a point
// where three flat pieces with these corners meet: the first along the edge
// that the pieces with corners b and c share, and so on round.
func PointAnglesDeg(aDeg, bDeg, cDeg float64) ([3]float64, error) {
	var out [3]float64
	var err error
	for i, k := range [3][3]float64{{aDeg, bDeg, cDeg}, {bDeg, cDeg, aDeg}, {cDeg, aDeg, bDeg}} {
		if out[i], err = EdgeAngleDeg(k[0], k[1], k[2]); err != nil {
			return out, err
		}
	}
	return out, nil
}
