package pattern

import (
	"fmt"
	"math"
)

// Grooving is how a V-groove is cut from the back of a sheet so that it bends
// by an angle when the groove is shut.
type Grooving struct {
	// BendDeg is the turn of one groove, HalfDeg each wall's lean from square.
	BendDeg, HalfDeg float64
	// DepthMM is how deep, WidthMM how wide at the surface.
	DepthMM, WidthMM float64
	// Count grooves lie SpacingMM apart, the first half a spacing from the
	// beginning of the bend.
	Count     int
	SpacingMM float64
}

// Bounds of what a knife can groove (common practice, no source).
const (
	maxGrooveDeg = 150
	maxGrooves   = 500
)

// GrooveFor returns the groove that bends a sheet by an angle about a web of
// webMM left standing: half-angle a = bend/2, depth h = t - w, width at the
// surface 2·h·tan a.
func GrooveFor(bendDeg, thicknessMM, webMM float64) (Grooving, error) {
	switch {
	case !(bendDeg > 0 && bendDeg <= maxGrooveDeg):
		return Grooving{}, fmt.Errorf("a groove cannot bend by %g°: choose a bend up to %d°", bendDeg, maxGrooveDeg)
	case !(thicknessMM > 0) || math.IsInf(thicknessMM, 0):
		return Grooving{}, fmt.Errorf("a groove needs the sheet's thickness; give it one")
	case !(webMM >= 0 && webMM < thicknessMM):
		return Grooving{}, fmt.Errorf("a web of %g mm does not lie within a sheet of %g mm", webMM, thicknessMM)
	}
	h := thicknessMM - webMM
	return Grooving{
		BendDeg: bendDeg, HalfDeg: bendDeg / 2,
		DepthMM: h, WidthMM: 2 * h * math.Tan(bendDeg/2*radPerDeg),
		Count: 1,
	}, nil
}

// GroovesFor returns the run of grooves that bends a sheet to a radius over an
// arc length, both on the face that is not cut: n grooves bend s/(n·R) each.
// The count is the least that keeps each facet within sagittaMM of the arc:
// a facet of length c strays c²/(8R) from it.
func GroovesFor(radiusMM, arcMM, thicknessMM, webMM, sagittaMM float64) (Grooving, error) {
	if !(radiusMM > 0) || !(arcMM > 0) || !(sagittaMM > 0) || math.IsInf(radiusMM+arcMM+sagittaMM, 0) {
		return Grooving{}, fmt.Errorf("a run of grooves needs a radius, a length and how far it may stray, all above zero")
	}
	g, err := groovesFor(radiusMM, arcMM, thicknessMM, webMM, sagittaMM)
	if err == nil && g.WidthMM > g.SpacingMM {
		return Grooving{}, fmt.Errorf("grooves %.1f mm wide do not fit %.1f mm apart: a sheet of %g mm grooved %.1f mm deep does not bend to a radius of %g mm; choose at least %.0f mm, leave more uncut, or take thinner sheet",
			g.WidthMM, g.SpacingMM, thicknessMM, g.DepthMM, radiusMM, leastRadiusMM(radiusMM, arcMM, thicknessMM, webMM, sagittaMM))
	}
	return g, err
}

// groovesFor is GroovesFor for grooves that may be too wide for their spacing.
func groovesFor(radiusMM, arcMM, thicknessMM, webMM, sagittaMM float64) (Grooving, error) {
	n := max(1, math.Ceil(arcMM/math.Sqrt(8*radiusMM*sagittaMM)))
	n = max(n, math.Ceil(arcMM/radiusMM/(maxGrooveDeg*radPerDeg)))
	if n > maxGrooves {
		return Grooving{}, fmt.Errorf("that takes %.0f grooves, more than the %d that are sensible: let the bend stray further or cut it from thinner sheet", n, maxGrooves)
	}
	g, err := GrooveFor(arcMM/(n*radiusMM)/radPerDeg, thicknessMM, webMM)
	if err != nil {
		return Grooving{}, err
	}
	g.Count, g.SpacingMM = int(n), arcMM/n
	return g, nil
}

// leastRadiusMM is a radius in whole mm, above one at which the grooves are
// too wide, at which they fit: walls of depth h that shut over a radius below
// h would cross.
func leastRadiusMM(radiusMM, arcMM, thicknessMM, webMM, sagittaMM float64) float64 {
	for r := math.Ceil(radiusMM + 0.5); ; r++ {
		if g, err := groovesFor(r, arcMM, thicknessMM, webMM, sagittaMM); err != nil || g.WidthMM <= g.SpacingMM {
			return r
		}
	}
}

// SlitBendDeg returns the bend of a slit of a depth that is opened to a gap at
// the surface: 2·asin(g/2h).
func SlitBendDeg(gapMM, depthMM float64) (float64, error) {
	if !(depthMM > 0) || !(gapMM >= 0 && gapMM <= 2*depthMM) {
		return 0, fmt.Errorf("a slit %g mm deep cannot be opened to %g mm: at most twice its depth", depthMM, gapMM)
	}
	return 2 * math.Asin(gapMM/(2*depthMM)) / radPerDeg, nil
}

// SlitGapMM returns the gap to which a slit is opened for a bend:
// 2·h·sin(bend/2).
func SlitGapMM(bendDeg, depthMM float64) (float64, error) {
	if !(depthMM > 0) || !(bendDeg >= 0 && bendDeg <= 180) {
		return 0, fmt.Errorf("a slit %g mm deep cannot bend by %g°", depthMM, bendDeg)
	}
	return 2 * depthMM * math.Sin(bendDeg/2*radPerDeg), nil
}
