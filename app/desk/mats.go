package desk

import (
	"fmt"
	"strings"

	"flatwright/app/desk/session"
)

// listMats reads the known mats anew, the likeliest in the photograph first.
func (d *desk) listMats() {
	d.mats = nil
	if d.o.Mats == nil {
		return
	}
	all, err := d.o.Mats.Mats(d.s.Document().Squared)
	if err != nil {
		d.strip.say(fmt.Sprintf(tr.square.matsFailed, plain(err)))
		return
	}
	d.mats = all
}

// likelyMat returns the known mat that the photograph very likely shows, while
// the mat's printing is still taken as true.
func (d *desk) likelyMat() (KnownMat, bool) {
	doc := d.s.Document()
	if doc.Squared == nil || doc.SolvedBy == session.BySheet || doc.ScaleFrom != session.AsPrinted {
		return KnownMat{}, false
	}
	for _, m := range d.mats {
		if m.Likely && m.Lies != MatIsAnother {
			return m, true
		}
	}
	return KnownMat{}, false
}

// liesOf returns how a known mat lies in the photograph.
func (d *desk) liesOf(name string) MatLies {
	for _, m := range d.mats {
		if m.Name == name {
			return m.Lies
		}
	}
	return MatLiesUnknown
}

// useMat takes the true size of a known mat.
func (d *desk) useMat(m KnownMat) {
	d.squarePanel().size.fold.open(true)
	d.settingChanged(d.s.SetMat(m.Mat, m.Lies == MatLiesTurned))
}

// keepMat keeps what was measured of this mat under a name.
func (d *desk) keepMat(name string) {
	doc := d.s.Document()
	name = strings.TrimSpace(name)
	switch {
	case d.o.Mats == nil || doc.Squared == nil || d.s.Stale():
		return
	case name == "":
		d.strip.say(tr.square.needName)
		return
	}
	if err := d.o.Mats.Keep(name, doc.Kind, doc.Squared); err != nil {
		d.strip.say(opening(err) + ".")
		return
	}
	d.listMats()
	d.squarePanel().size.keepName.SetText("")
	d.strip.tell(fmt.Sprintf(tr.square.kept, name))
	d.changed()
}
