package pattern

// Limits are what the findings hold a pattern to. A zero value means the one
// of DefaultLimits; a negative one switches the check off.
type Limits struct {
	// SeamMM and SeamPart: a seam whose sides differ by more than both is
	// reported.
	SeamMM, SeamPart float64
	// MarkMM is how far two marks that belong together may lie apart along the
	// closed seam.
	MarkMM float64
	// BareSeamMM is the length from which a seam should have a mark.
	BareSeamMM float64
	// LeastDeg and MostDeg bound the interior angle of a seam.
	LeastDeg, MostDeg float64
	// AngleDeg is how far a seam's angle may be from the wanted one.
	AngleDeg float64
	// RadiusThicknesses is the least radius to which a sheet bends, in
	// thicknesses.
	RadiusThicknesses float64
	// DartMM is the width from which an open dart is reported.
	DartMM float64
	// SheetWidthMM and SheetHeightMM are the sheet the pieces are cut from; no
	// sheet is known by default.
	SheetWidthMM, SheetHeightMM float64
	// SpikeMM is the length from which a spike of an outline is reported, and
	// SliverMM that below which an edge is too short to be cut.
	SpikeMM, SliverMM float64
}

// DefaultLimits are what a careful maker would hold foam work to (common
// practice, no source).
func DefaultLimits() Limits {
	return Limits{
		SeamMM: 1.5, SeamPart: 0.005, MarkMM: 1, BareSeamMM: 120,
		LeastDeg: 30, MostDeg: 270, AngleDeg: 3, RadiusThicknesses: 3, DartMM: 40,
		SpikeMM: 1, SliverMM: 2,
	}
}

// whole returns the limits with zero values filled in.
func (l Limits) whole() Limits {
	d := DefaultLimits()
	for _, f := range []struct{ have, or *float64 }{
		{&l.SeamMM, &d.SeamMM},
		{&l.SeamPart, &d.SeamPart},
		{&l.MarkMM, &d.MarkMM},
		{&l.BareSeamMM, &d.BareSeamMM},
		{&l.LeastDeg, &d.LeastDeg},
		{&l.MostDeg, &d.MostDeg},
		{&l.AngleDeg, &d.AngleDeg},
		{&l.RadiusThicknesses, &d.RadiusThicknesses},
		{&l.DartMM, &d.DartMM},
		{&l.SpikeMM, &d.SpikeMM},
		{&l.SliverMM, &d.SliverMM},
	} {
		if *f.have == 0 {
			*f.have = *f.or
		}
	}
	return l
}
