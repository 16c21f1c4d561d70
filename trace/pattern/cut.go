package pattern

import (
	"fmt"
	"math"
)

// Presets are the usual bevel and undercut angles in degrees from square
// (common practice, no source).
var Presets = [4]float64{15, 30, 45, 60}

// Cut angles beyond these cannot be held by hand with a knife (common
// practice, no source).
const (
	minAngleDeg = 1
	maxAngleDeg = 75
)

// Validate returns an error, naming the fault, when the kind is unknown or
// the angle of a bevel or an undercut is not between 1° and 75°. A cut that
// varies may pass through square.
func (c Cut) Validate() error {
	if c.Varies && !(math.Abs(c.ToDeg) <= maxAngleDeg) {
		return fmt.Errorf("a cut that ends at %g°: the angle from square must lie within %d°", c.ToDeg, maxAngleDeg)
	}
	switch c.Kind {
	case Straight:
		return nil
	case Bevel, Undercut:
		if c.AngleDeg >= minAngleDeg && c.AngleDeg <= maxAngleDeg {
			return nil
		}
		return fmt.Errorf("%s of %g°: the angle from square must lie between %d° and %d°", c.Kind, c.AngleDeg, minAngleDeg, maxAngleDeg)
	}
	return fmt.Errorf("unknown cut %q: choose %s, %s or %s", c.Kind, Straight, Bevel, Undercut)
}

// SignedDeg returns the angle from square with its sign: positive when the
// back face is smaller, negative for an undercut, 0 for a straight cut.
func (c Cut) SignedDeg() float64 {
	switch c.Kind {
	case Bevel:
		return c.AngleDeg
	case Undercut:
		return -c.AngleDeg
	}
	return 0
}

// SignedDegAt is SignedDeg at a part of the edge's length, 0 at its start to 1
// at its end; the two differ only where the cut varies.
func (c Cut) SignedDegAt(share float64) float64 {
	from := c.SignedDeg()
	if !c.Varies {
		return from
	}
	return from + share*(c.ToDeg-from)
}

// CutOf returns the cut with the signed angle given; angles below a hundredth
// of a degree are straight.
func CutOf(signedDeg float64) Cut {
	switch {
	case signedDeg >= 0.01:
		return Cut{Kind: Bevel, AngleDeg: signedDeg}
	case signedDeg <= -0.01:
		return Cut{Kind: Undercut, AngleDeg: -signedDeg}
	}
	return Cut{Kind: Straight}
}

// InsetMM returns how far inside the front edge the back edge lies, in mm,
// in a sheet of the thickness given: t·tan b, negative for an undercut.
func InsetMM(c Cut, thicknessMM float64) float64 {
	return insetMM(c.SignedDeg(), thicknessMM)
}

func insetMM(signedDeg, thicknessMM float64) float64 {
	return thicknessMM * math.Tan(signedDeg*math.Pi/180)
}

// InteriorDeg returns the angle between the faces of two sheets glued with
// the cuts a and b flush, inside, in degrees: 180° − (b1 + b2).
func InteriorDeg(a, b Cut) float64 { return 180 - a.SignedDeg() - b.SignedDeg() }

// MitreDeg returns the bevel from square, in degrees, that both edges need
// for the interior angle given between equal sheets.
func MitreDeg(interiorDeg float64) float64 { return (180 - interiorDeg) / 2 }

// MitreInsetsMM returns the insets d1 and d2 in mm with which sheets of
// thickness t1 and t2 meet flush at the interior angle given:
// d1 = (t2 + t1·cos T)/sin T, d2 = (t1 + t2·cos T)/sin T. Derived: the inner
// faces, t1 and t2 inside the outer ones, meet there; in hollows, beyond 180°,
// they meet beyond the outer edge and the insets are negative. It fails at 180°,
// where faces of unequal sheets never meet, and outside 0° < T < 360°.
func MitreInsetsMM(t1MM, t2MM, interiorDeg float64) (d1MM, d2MM float64, err error) {
	if !(interiorDeg > 0 && interiorDeg < 360) || interiorDeg == 180 {
		return 0, 0, fmt.Errorf("mitre: the interior angle %g° must lie between 0° and 360°, and not be 180°", interiorDeg)
	}
	s, c := math.Sincos(interiorDeg * math.Pi / 180)
	return (t2MM + t1MM*c) / s, (t1MM + t2MM*c) / s, nil
}

// EdgeAngleDeg returns the interior angle in degrees along the edge that two
// of three flat pieces share, where their corners meet in a point: aDeg is
// the corner of the third piece, bDeg and cDeg those of the two. Spherical
// law of cosines, cos T = (cos A − cos B·cos C)/(sin B·sin C). It fails when
// three such corners cannot close.
func EdgeAngleDeg(aDeg, bDeg, cDeg float64) (float64, error) {
	const rad = math.Pi / 180
	k := (math.Cos(aDeg*rad) - math.Cos(bDeg*rad)*math.Cos(cDeg*rad)) / (math.Sin(bDeg*rad) * math.Sin(cDeg*rad))
	if !(k >= -1 && k <= 1) {
		return 0, fmt.Errorf("corners of %g°, %g° and %g° do not close: the largest must be less than the sum of the others, and all three together less than 360°", aDeg, bDeg, cDeg)
	}
	return math.Acos(k) / rad, nil
}
