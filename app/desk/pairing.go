package desk

import (
	"fmt"

	"flatwright/app/desk/session"
	"flatwright/trace/pattern"
)

// togglePairing begins to look for the selected edge's mate, or stops.
func (d *desk) togglePairing() {
	if d.pairing != "" {
		d.stopPairing()
		return
	}
	e, ok := d.s.SelectedEdge()
	if !ok {
		d.strip.say(tr.pickEdge)
		return
	}
	if m, taken := d.s.SelectedSeam(); taken {
		d.strip.say(fmt.Sprintf(tr.seam.sides, m.A.String(), m.B.String()))
		return
	}
	d.pairing, d.siding = e.ID, ""
	d.strip.say(fmt.Sprintf(tr.seam.pick, e.ID))
	d.changed()
}

func (d *desk) stopPairing() {
	d.pairing = ""
	d.strip.hide()
	d.changed()
}

// mate takes a clicked edge as the mate that is being looked for, or as one
// more of a side; false when neither is.
func (d *desk) mate(edgeID string) bool {
	if d.pairing == "" {
		return d.side(edgeID)
	}
	first := d.pairing
	d.pairing = ""
	d.strip.hide()
	if _, err := d.s.Pair(first, edgeID); err != nil {
		d.strip.say(d.inWords(err) + ".")
	}
	d.s.SelectEdge(first)
	return true
}

// joinSure joins all pairs of edges that are sure to be mates.
func (d *desk) joinSure() {
	n, err := d.s.AcceptSure()
	switch {
	case err != nil:
		d.strip.say(d.inWords(err) + ".")
	case n == 1:
		d.strip.tell(tr.seam.joinedOne)
		d.strip.passes()
	default:
		d.strip.tell(fmt.Sprintf(tr.seam.joined, n))
		d.strip.passes()
	}
	d.changed()
}

// mend makes the change that a finding offers.
func (d *desk) mend(f session.Finding) {
	if err := d.s.Mend(f.Mend); err != nil {
		d.strip.say(d.inWords(err) + ".")
	} else if f.Mend.Kind == pattern.TurnPiece {
		d.strip.tell(fmt.Sprintf(tr.seam.offPicture, f.Mend.Piece))
	}
	d.changed()
}
