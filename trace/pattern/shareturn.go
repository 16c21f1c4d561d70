package pattern

import (
	"errors"
	"fmt"
	"math"
)

// ShareTurn gives every edge of a seam the bevel with which sheets of their
// thickness meet flush at an interior angle, on the back as on the front, and
// notes the angle as wanted. The first edges' thicknesses count. Sheets that
// lie flat are cut straight. It refuses, with the angles that would do, what
// needs cuts beyond those that Cut.Validate allows; nothing is changed then.
func (p *Pattern) ShareTurn(seamID string, interiorDeg float64) error {
	s, ok := p.seam(seamID)
	if !ok {
		return fmt.Errorf("there is no seam %q", seamID)
	}
	if len(s.A) == 0 || len(s.B) == 0 {
		return fmt.Errorf("seam %s lacks a side", seamID)
	}
	t1, t2 := p.thicknesses(s)
	bevelA, bevelB, err := sharedBevels(t1, t2, interiorDeg)
	if err != nil {
		return fmt.Errorf("seam %s: %w", seamID, err)
	}
	next := p.clone()
	for _, side := range []struct {
		run Run
		deg float64
	}{{s.A, bevelA}, {s.B, bevelB}} {
		for _, r := range side.run {
			if err := next.SetCut(r.Edge, CutOf(side.deg)); err != nil {
				return err
			}
		}
	}
	t, _ := next.seam(seamID)
	t.WantDeg = interiorDeg
	*p = next
	return nil
}

// flatDeg is how near to 180° two faces lie flat: cuts cannot differ by less.
const flatDeg = 0.01

// sharedBevels are the bevels for an interior angle: half the turn each for
// equal sheets and for those that lie flat, else the mitre that takes both
// faces from one common edge to the other, on ridges and in hollows.
func sharedBevels(t1MM, t2MM, interiorDeg float64) (b1Deg, b2Deg float64, err error) {
	if !(interiorDeg > 0 && interiorDeg < 360) {
		return 0, 0, fmt.Errorf("an interior angle of %g° is no angle between faces: choose one between 0° and 360°", interiorDeg)
	}
	b1Deg, b2Deg, err = bevelsFor(t1MM, t2MM, interiorDeg)
	if err != nil || canCut(b1Deg, b2Deg) {
		return b1Deg, b2Deg, err
	}
	return 0, 0, beyondKnife(t1MM, t2MM, interiorDeg, b1Deg, b2Deg)
}

func bevelsFor(t1MM, t2MM, interiorDeg float64) (b1Deg, b2Deg float64, err error) {
	if t1MM == t2MM || math.Abs(interiorDeg-180) < flatDeg {
		b := MitreDeg(interiorDeg)
		return b, b, nil
	}
	return MitreDegs(t1MM, t2MM, interiorDeg)
}

func canCut(b1Deg, b2Deg float64) bool {
	return CutOf(b1Deg).Validate() == nil && CutOf(b2Deg).Validate() == nil
}

// beyondKnife says which cuts an angle would take, which angle nearby can be
// cut, and what an even share leaves.
func beyondKnife(t1MM, t2MM, interiorDeg, b1Deg, b2Deg float64) error {
	text := fmt.Sprintf("sheets of %g and %g mm meet flush on both faces at %.1f° inside only with cuts %.1f° and %.1f° from square, and a knife cuts from %d° to %d°",
		t1MM, t2MM, interiorDeg, math.Abs(b1Deg), math.Abs(b2Deg), minAngleDeg, maxAngleDeg)
	if deg, ok := nearestAngle(t1MM, t2MM, interiorDeg); ok {
		text += fmt.Sprintf("; the nearest angle that can be cut is %.0f°", deg)
	} else {
		text += "; sheets so unequal do so at no angle on this side of flat"
	}
	if even := MitreDeg(interiorDeg); t1MM != t2MM && canCut(even, even) {
		text += fmt.Sprintf(", or cut both %.1f° from square and expect a step of %.1f mm inside",
			math.Abs(even), math.Abs(t2MM-t1MM)/math.Cos(even*radPerDeg))
	}
	return errors.New(text)
}

// nearestAngle returns the angle in whole degrees, on the same side of flat
// and nearest to one, for which both sheets can be cut.
func nearestAngle(t1MM, t2MM, interiorDeg float64) (float64, bool) {
	hollow := interiorDeg > 180
	for off := 0.0; off < 180; off++ {
		for _, deg := range [2]float64{math.Floor(interiorDeg) - off, math.Ceil(interiorDeg) + off} {
			if deg <= 0 || deg >= 360 || deg == 180 || deg > 180 != hollow {
				continue
			}
			if b1, b2, err := bevelsFor(t1MM, t2MM, deg); err == nil && canCut(b1, b2) {
				return deg, true
			}
		}
	}
	return 0, false
}

// shareMend offers to share a seam's turn for an interior angle; where that
// cannot be, it says why instead.
func (c *checker) shareMend(s *Seam, interiorDeg float64) (Mend, string) {
	t1, t2 := c.p.thicknesses(s)
	if _, _, err := sharedBevels(t1, t2, interiorDeg); err != nil {
		return Mend{}, " " + begins(err.Error()) + "."
	}
	return Mend{Kind: ShareTurn, Seam: s.ID, Deg: interiorDeg}, ""
}
