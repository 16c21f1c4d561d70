package desk

import (
	"fmt"
	"math"

	"flatwright/app/desk/units"
	"flatwright/trace/pattern"
)

// toggleSiding begins to take more edges into the sides of the selected edge's
// seam, or stops.
func (d *desk) toggleSiding() {
	if d.siding != "" {
		d.stopSiding()
		return
	}
	m, ok := d.s.SelectedSeam()
	if !ok {
		d.strip.say(tr.side.needsSeam)
		return
	}
	d.siding, d.pairing = m.ID, ""
	d.tellSides(m)
	d.changed()
}

func (d *desk) stopSiding() {
	d.siding = ""
	d.strip.hide()
	d.changed()
}

// side takes an edge into the seam whose sides are being worked on, or off it;
// false when none is.
func (d *desk) side(edgeID string) bool {
	if _, ok := d.s.Seam(d.siding); !ok {
		// Undo may have taken the seam away.
		d.siding = ""
		return false
	}
	if err := d.s.SetSideEdge(d.siding, edgeID); err != nil {
		d.strip.say(d.inWords(err) + ". " + tr.side.how)
		return true
	}
	m, _ := d.s.Seam(d.siding)
	d.s.SelectEdge(m.A[0].Edge)
	d.tellSides(m)
	return true
}

// tellSides says how long the sides are and what can be done.
func (d *desk) tellSides(m pattern.Seam) {
	if measure, err := d.s.Measure(m.ID); err == nil {
		d.strip.say(sidesText(m, measure, d.system()) + " " + tr.side.how)
	}
}

// tellSide says what a click on the edge under the pointer would make of the
// sides.
func (d *desk) tellSide(edgeID string) {
	if d.siding == "" || edgeID == d.sideTold {
		return
	}
	d.sideTold = edgeID
	m, measure, err := d.s.TrySideEdge(d.siding, edgeID)
	if err != nil {
		if m, ok := d.s.Seam(d.siding); ok {
			d.tellSides(m)
		}
		return
	}
	d.strip.say(fmt.Sprintf(tr.side.would, edgeID) + " " + sidesText(m, measure, d.system()))
}

// sidesText says how long the sides of a seam are and by how much they differ.
func sidesText(s pattern.Seam, m pattern.SeamMeasure, in units.System) string {
	text := fmt.Sprintf(tr.side.lengths, s.ID, s.A, in.Length(m.A.LengthMM, 1), s.B, in.Length(m.B.LengthMM, 1))
	if d := m.DifferenceMM(); math.Abs(d) > worthMM {
		return fmt.Sprintf(tr.side.differ, text, in.Residual(math.Abs(d), 1))
	}
	return fmt.Sprintf(tr.side.equal, text)
}
