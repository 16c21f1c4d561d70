package pattern

import (
	"fmt"
	"math"
	"slices"
)

// pointAngles compares the cuts at points where three pieces meet with what
// their corners ask for.
func (c *checker) pointAngles() {
	if !on(c.limits.AngleDeg) {
		return
	}
	for _, pt := range c.p.Points() {
		f := Finding{Kind: PointAngle, Severity: Note, Piece: pt.Corners[0].Piece, Seam: pt.Seams[0].Seam, At: pt.Corners[0].At, AmountDeg: pt.MissDeg()}
		if s, ok := c.p.seam(f.Seam); ok {
			f.Edge = s.A[0].Edge
		}
		switch {
		case pt.Trouble != "":
			c.openPoint(pt, &f)
		case pt.MissDeg() <= c.limits.AngleDeg || !c.thick(pt):
			continue
		default:
			f.Text = pt.Words() + pt.advice()
			f.Mend, f.Other = pt.Mend(), c.p.Turned(pt).Mend()
			c.uncuttable(pt, &f)
		}
		c.add(f)
	}
}

// openPoint reports corners that do not close, by how much, and the seam that
// is least sure.
func (c *checker) openPoint(pt Point, f *Finding) {
	f.Severity, f.AmountDeg = Warning, pt.openDeg()
	seam, why := c.leastSure(pt)
	if s, ok := c.p.seam(seam); ok {
		f.Seam, f.Edge = seam, s.A[0].Edge
	}
	f.Text = fmt.Sprintf("%s Trace the corners again, or take a seam apart: %s.", pt.Words(), why)
	f.Mend = Mend{Kind: TakeApart, Seam: seam}
}

// uncuttable looks for a way where a seam at a point cannot be cut: one
// thickness for all three pieces, or the seam that is least sure.
func (c *checker) uncuttable(pt Point, f *Finding) {
	if f.Mend.Kind != "" {
		return
	}
	seams := make([]string, len(pt.Seams))
	level := Mend{Kind: BevelPoint, Hollow: pt.Hollow}
	for i, s := range pt.Seams {
		seams[i], level.Seams[i], level.Degs[i] = s.Seam, s.Seam, s.InteriorDeg
	}
	for _, mm := range c.p.usedThicknesses(seams...) {
		level.MM = mm
		if trial := c.p.clone(); trial.apply(level) == nil {
			f.Mend = level
			return
		}
	}
	seam, why := c.leastSure(pt)
	f.Text += " " + begins(why) + "."
	f.Mend = Mend{Kind: TakeApart, Seam: seam}
}

// cornerSlackDeg is how far the corners of a point that closes stay from the
// bound: at the bound the point is flat.
const cornerSlackDeg = 1e-9

// openDeg is by how many degrees three corners are too much to close.
func (pt Point) openDeg() float64 {
	sum, largest := 0.0, 0.0
	for _, c := range pt.Corners {
		sum += c.AngleDeg
		largest = max(largest, c.AngleDeg)
	}
	return max(sum-360, 2*largest-sum, 0)
}

// misfit says which of a point's corners add up wrongly.
func (pt Point) misfit() string {
	sum, at := 0.0, 0
	for i, c := range pt.Corners {
		sum += c.AngleDeg
		if c.AngleDeg > pt.Corners[at].AngleDeg {
			at = i
		}
	}
	largest := pt.Corners[at]
	switch rest := sum - largest.AngleDeg; {
	case sum >= 360-cornerSlackDeg:
		return fmt.Sprintf("they add up to %.1f°, and less than 360° is needed: %.1f° too much", sum, sum-360)
	case largest.AngleDeg >= rest-cornerSlackDeg:
		return fmt.Sprintf("the corner of piece %s has %.1f°, and the others only %.1f° together: %.1f° too much", largest.Piece, largest.AngleDeg, rest, largest.AngleDeg-rest)
	}
	return pt.Trouble
}

// leastSure returns the seam at a point whose sides agree least, and says why:
// by their lengths and marks over the limits. Where all agree alike it is the
// one with the fewest marks to tell by, then the shortest.
func (c *checker) leastSure(pt Point) (seamID, why string) {
	least := math.Inf(-1)
	for _, s := range pt.Seams {
		m, err := c.p.MeasureSeam(s.Seam)
		if err != nil {
			return s.Seam, fmt.Sprintf("seam %s cannot be measured", s.Seam)
		}
		if doubt := c.doubt(m); doubt > least {
			least, seamID, why = doubt, s.Seam, doubtWords(m)
		}
	}
	return seamID, why
}

// doubt is how little the two sides of a seam agree.
func (c *checker) doubt(m SeamMeasure) float64 {
	usual := DefaultLimits()
	off := math.Abs(m.DifferenceMM()) / usual.SeamMM
	for _, j := range m.Joints {
		off = max(off, math.Abs(j.OffMM-m.A.Marks[j.A].AlongMM*m.Part())/usual.MarkMM)
	}
	off += float64(len(m.A.Alone) + len(m.B.Alone))
	return off - 1e-3*float64(len(m.Joints)) - 1e-6*(m.A.LengthMM+m.B.LengthMM)
}

func doubtWords(m SeamMeasure) string {
	return fmt.Sprintf("seam %s is the least sure, its sides differ by %.1f mm, %d of its marks meet and %d do not",
		m.SeamID, math.Abs(m.DifferenceMM()), len(m.Joints), len(m.A.Alone)+len(m.B.Alone))
}

// advice says what to do about the cuts, or why nothing can be done.
func (pt Point) advice() string {
	for _, s := range pt.Seams {
		if s.Trouble != "" {
			return fmt.Sprintf(" Seam %s cannot be cut for that: %s.", s.Seam, s.Trouble)
		}
	}
	return " Bevel the three seams for that, unless the pieces are to bend."
}

// thick tells whether all pieces at a point have a thickness.
func (c *checker) thick(pt Point) bool {
	return !slices.ContainsFunc(pt.Corners[:], func(x PointCorner) bool {
		q, err := c.p.Piece(x.Piece)
		return err != nil || q.ThicknessMM == 0
	})
}
